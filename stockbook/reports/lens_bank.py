"""How the lens bank looks."""

from collections.abc import Sequence

from stockbook.domain.amounts import quantity_text, text_from_whole
from stockbook.domain.answers import Site
from stockbook.domain.lens_bank import Chances, LensBank, LensCell, LensMove, ModelBank
from stockbook.domain.lenses import power_text
from stockbook.reports.amounts import expiry, lot_name
from stockbook.reports.narrow import fold
from stockbook.reports.tables import heading, past, plural, table

COLUMNS = 80
ACROSS = 6
"""So many models stand side by side on 80 columns."""
MOVES_SHOWN = 10
NO_BASIS = "no basis but the published shape"
IDLE = "\nWeeks: of cover, as use was. Idle: there, of powers not used in twelve months."
CAUTION = (
    "About stock alone. Stockbook never chooses a lens for a patient and computes no power: those "
    "are in the signed lens plan. Decide with the surgeons before anything is ordered or sent back."
)


def bank_page(bank: LensBank, site: Site) -> str:
    """The models, the powers, the chances now and at best, the moves, and what it rests on."""
    whose = f" of {bank.asked.model}" if bank.asked.model else ""
    title = f"Lens bank{whose}, {bank.day}{past(bank.as_of)}"
    parts = [
        heading(title, site) + "\n" + _models(bank), _powers(bank) + _beside(bank), _chances(bank),
        _add(bank, site), _send_back(bank), _basis(bank), _prose(CAUTION),
    ]  # fmt: skip
    return "\n\n".join(part for part in parts if part)


def percent(millionths: int | None) -> str:
    """Parts of a million as parts of a hundred; what is neither nothing nor all says so.

    >>> percent(838406), percent(12), percent(999990), percent(0)
    ('83.8 %', '< 0.1 %', '> 99.9 %', '0 %')
    """
    if millionths is None:
        return ""
    if millionths in (0, 1_000_000):
        return f"{millionths // 10_000} %"
    if millionths < 1_000:
        return "< 0.1 %"
    return f"{millionths / 10_000:.1f} %" if millionths <= 999_000 else "> 99.9 %"


def _weeks(tenths: int | None) -> str:
    return "" if tenths is None else text_from_whole(tenths, 1)


def _models(bank: LensBank) -> str:
    shape = "" if bank.use_seen else f"\nNo use was seen: {NO_BASIS}."
    headers = ("Model", "Share", "On hand", "Used", "Weeks", "Idle", "Finds it",
               f"All of {bank.asked.patients}")  # fmt: skip
    rows = [_model(model, spare=bank.asked.spare) for model in bank.models]
    coming = "\n+: on order." if any(model.on_order for model in bank.models) else ""
    return table(headers, rows, ",".join(headers[1:])) + coming + IDLE + shape


def _there(model: ModelBank | LensCell) -> str:
    """On hand, and what is on order beside it."""
    return f"{model.on_hand} + {model.on_order}" if model.on_order else str(model.on_hand)


def _model(model: ModelBank, *, spare: bool) -> tuple[object, ...]:
    chances = model.bank.spare if spare else model.bank.plain
    return (
        model.model, percent(model.weight) if model.use.quantity else "no basis", _there(model),
        model.use.quantity, _weeks(model.tenths_of_a_week), model.not_used,
        percent(chances.finds), percent(chances.all_exactly),
    )  # fmt: skip


def _powers(bank: LensBank) -> str:
    """One model power by power; several as a grid, or as grids one below another."""
    if bank.asked.model:
        return _one_model(bank.models[0])
    grids = [bank.models[n : n + ACROSS] for n in range(0, len(bank.models), ACROSS)]
    return "\n\n".join(map(_grid, grids)) + "\nIn each: on hand / used in twelve months / at best."


def _grid(models: Sequence[ModelBank]) -> str:
    cells = {(cell.model, cell.power): cell for model in models for cell in model.cells}
    powers = sorted({power for _, power in cells})
    rows = [
        (power_text(power), *(_cell(cells.get((model.model, power))) for model in models))
        for power in powers
    ]
    totals = ("all", *(_total(model) for model in models))
    names = ("Power", *(model.model for model in models))
    return table(names, [*rows, totals], ",".join(names))


def _cell(cell: LensCell | None) -> str:
    if cell is None:
        return "."
    return f"{cell.on_hand}/{cell.use.quantity}/{'-' if cell.best is None else cell.best}"


def _total(model: ModelBank) -> str:
    best = "-" if model.best is None else model.best
    return f"{model.on_hand}/{model.use.quantity}/{best}"


def _one_model(model: ModelBank) -> str:
    rows = [
        (
            power_text(c.power), percent(c.share), _there(c), c.planned or "",
            c.use.quantity,
            "idle" if c.on_hand and not c.use.quantity else _weeks(c.tenths_of_a_week),
            percent(c.wanted), c.best,
        )
        for c in model.cells
    ]  # fmt: skip
    total = (
        "all", "100 %", _there(model), sum(c.planned for c in model.cells),
        model.use.quantity,
        _weeks(model.tenths_of_a_week), "", model.best,
    )  # fmt: skip
    headers = ("Power", "Share", "On hand", "Planned", "Used", "Weeks", "Too few", "Best")
    return table(headers, [*rows, total], ",".join(headers)) + (
        "\n+: on order. Planned: by cases of lists to come, not issued yet. Too few: the\n"
        "chance that the next patients want more than is there."
    )


def _beside(bank: LensBank) -> str:
    late = bank.below_nothing
    said = [f"Not to be used and not counted: {bank.not_usable}."] if bank.not_usable else []
    if late:
        said.append(f"Less than nothing as at this day, because a sheet came late: {late}.")
    return "".join(f"\n{line}" for line in said)


def _chances(bank: LensBank) -> str:
    """The bank as it is beside the best one, each without and with the identical spare."""
    n = bank.asked.patients
    headers = ("", f"Now ({bank.now.lenses})", "with spare", f"Best ({bank.best.lenses})",
               "with spare")  # fmt: skip
    columns_ = [_told(c) for b in (bank.now, bank.best) for c in (b.plain, b.spare)]
    names = (
        "A patient finds the power", f"Served of the next {n}", f"All of exactly {n}",
        f"All of {n} on average",
    )  # fmt: skip
    rows = list(zip(names, *columns_, strict=True))
    return table(headers, rows, ",".join(headers[1:])) + _shaped(bank)


def _told(chances: Chances) -> list[str]:
    found = (chances.finds, chances.served, chances.all_exactly, chances.all_poisson)
    return [percent(chance) for chance in found]


def _shaped(bank: LensBank) -> str:
    spare = "with a spare of each power" if bank.asked.spare else "without a spare"
    what = "what lies there and what the budget adds, " if bank.asked.budget else ""
    said = "\n" + _prose(f"Best: {what}chosen {spare}.")
    if bank.best.lenses < bank.size:
        said += f"\nMore than {bank.best.lenses} lenses add nothing for so few patients."
    return said


def _add(bank: LensBank, site: Site) -> str:
    if not bank.add:
        poor = "the budget pays for nothing that is wanted" if bank.asked.budget else "nothing"
        return f"To add: {poor}."
    rows = [
        (m.item.code, m.lenses, percent(m.wanted), "" if m.price is None else _price(m, site))
        for m in bank.add[:MOVES_SHOWN]
    ]
    page = table(("To add", "Lenses", "Wanted", "Cost"), rows, "Lenses,Wanted,Cost")
    known = sum(m.price or 0 for m in bank.add)
    said = f"In all {_lenses(bank.add)}, {site.money.code} {site.money.text(known)} at last prices"
    if any(m.price is None for m in bank.add):
        said += ", without those that no price is known of"
    if bank.asked.budget is not None:
        said += f", of {site.money.text(bank.asked.budget)}"
    return f"{page}\n{_prose(said + '.')}{_more(bank.add)}"


def _price(move: LensMove, site: Site) -> str:
    return site.money.text(move.price or 0)


def _lenses(moves: Sequence[LensMove]) -> str:
    return plural(sum(move.lenses for move in moves), "lens")


def _more(moves: Sequence[LensMove]) -> str:
    more = moves[MOVES_SHOWN:]
    if not more:
        return ""
    return f"\nNot shown: {plural(len(more), 'line')}, {_lenses(more)} (--csv shows all)."


def _send_back(bank: LensBank) -> str:
    if bank.asked.budget is not None:
        return ""
    if not bank.send_back:
        return "To send back: nothing."
    rows = [
        (m.item.code, m.lenses, m.row.place, lot_name(m.row.lot), expiry(m.row.lot),
         percent(m.wanted))
        for m in bank.send_back[:MOVES_SHOWN] if m.row
    ]  # fmt: skip
    headers = ("To send back", "Lenses", "Place", "Lot", "Expiry", "Wanted")
    said = (
        f"In all {_lenses(bank.send_back)}, the least useful first, of a power the soonest expiry "
        "first. What cases of lists to come are planned with stays."
    )
    return f"{table(headers, rows, 'Lenses,Wanted')}\n{_prose(said)}{_more(bank.send_back)}"


def _basis(bank: LensBank) -> str:
    """What the numbers rest on."""
    days = max((model.use.days for model in bank.models), default=0)
    unused = [model.model for model in bank.models if not model.use.quantity]
    lines = [
        f"Use: {plural(bank.use_seen, 'lens')} implanted in {days} days ({bank.use_days} where the "
        "book knows them; past use counts). Wanted: the chance that the next "
        f"{bank.asked.patients} patients want more than is there (to add) or would stay (to send "
        "back).",
        f"Powers begin at the published shape, {quantity_text(bank.mean, 2)} dioptres with a "
        f"standard deviation of {quantity_text(bank.deviation, 2)} (lens_power_mean, "
        "lens_power_sd); the site's own cases take over. Powers that are no item of this book "
        "are not reckoned with.",
    ]
    if unused:
        lines.append(f"{', '.join(unused)}: {NO_BASIS}.")
    if bank.use_seen and unused:
        lines.append("Chances and proposals leave it out; ask for it with --model.")
    return "\n".join(map(_prose, lines))


def _prose(text: str) -> str:
    """A sentence as it is read on 80 columns."""
    return "\n".join(fold(text, COLUMNS))
