"""How an issued and a finished case look."""

from collections.abc import Sequence

from stockbook.domain.answers import Site
from stockbook.domain.facts import Case
from stockbook.domain.lenses import power_text
from stockbook.domain.records import FinishedCase, IssuedCase, Moved
from stockbook.errors import Missing
from stockbook.reports.amounts import amount, expiry, lot_name
from stockbook.reports.tables import heading, plural, table

CHECK_LENS = (
    "Check the lens in your hand against the signed lens plan: patient, eye, model, power, expiry."
)


def issued_page(issued: IssuedCase, site: Site) -> str:
    """The picks of one case, with what is missing and what to mind."""
    parts = [heading(f"Kit of case {about_case(issued.case)}", site), *issued.notes, _picks(issued)]
    if issued.beside:
        parts.append(f"Once for list {issued.case.list}:\n{_picks(issued.beside)}")
    if issued.missing:
        parts.append(f"MISSING, recorded with the case:\n{missing_table(issued.missing)}")
    parts += [f"Warning: {words}" for words in issued.warnings]
    if any(issued.items[d.lot.item].lens_model for d in issued.draws):
        parts.append(CHECK_LENS)
    return "\n".join(parts)


def service_page(issued: IssuedCase, site: Site) -> str:
    """What a service was given and has used."""
    case = issued.case
    parts = [heading(f"For {case.list}, used in common: {case.code}", site), _picks(issued)]
    return "\n".join([*parts, *(f"Warning: {words}" for words in issued.warnings)])


def about_case(case: Case) -> str:
    """A case in words: its operation, or whose common use it carries."""
    if case.kind != "patient":
        return f"{case.code}: {COMMON_USE[case.kind]}"
    lens = f", lens {case.lens_model} {power_text(case.power)}" if case.power is not None else ""
    return (
        f"{case.code}: {case.procedure}, {case.category}, {case.eye} eye{lens}, "
        f"reference {case.patient}"
    )


COMMON_USE = {"list": "used in common by the list", "service": "used by a service"}


TYPED_AGAIN = "The same was recorded just before. If this is another one, say so with --comment."


def rescue_page(issued: IssuedCase, site: Site, *, explained: bool) -> str:
    """The picks of a rescue kit, what of it is missing, and that it waits for a word."""
    parts = [heading(f"Rescue kit of case {issued.case.code}", site), _picks(issued)]
    if issued.missing:
        parts.append(f"MISSING:\n{missing_table(issued.missing)}")
    if not explained:
        parts.append(
            f"Explain it when there is time: issue {issued.case.code} --explain WORD, or --reason "
            "WORD at the finish."
        )
    return "\n".join(parts)


def _picks(issued: IssuedCase) -> str:
    """The picks as one walks; a column of shelf labels where there are any."""
    labels = [issued.labels.get((d.place, d.lot.item), "") for d in issued.draws]
    shelf = ("Shelf",) if any(labels) else ()
    rows = [
        (
            d.place, *((label,) if shelf else ()), d.lot.item, issued.items[d.lot.item].name,
            lot_name(d.lot), expiry(d.lot), amount(issued.items[d.lot.item], d.quantity),
            "seen" if d.seen else "",
        )
        for d, label in zip(issued.draws, labels, strict=True)
    ]  # fmt: skip
    return table(("From", *shelf, "Item", "Name", "Lot", "Expiry", "Units", "Seen"), rows, "Units")


def missing_table(missing: Sequence[Missing]) -> str:
    """All that is missing, by how much, and what is near."""
    rows = [(m.case, m.item, m.wanted, m.usable, m.short, m.near) for m in missing]
    headers = ("Case", "Item", "Wanted", "Usable", "Short", "Near")
    return table(headers, rows, "Wanted,Usable,Short")


def issued_line(issued: IssuedCase) -> str:
    """One case of a list in one line, its lens with lot and place."""
    case = issued.case
    if case.kind != "patient":
        count = len({draw.lot.item for draw in issued.draws})
        return f"{about_case(case)}, {plural(count, 'item')}; entry {issued.entry}"
    lens = f"{case.lens_model} {power_text(case.power)}" if case.power is not None else "no lens"
    drawn = [d for d in issued.draws if issued.items[d.lot.item].lens_model]
    found = ", ".join(f"{lot_name(d.lot)} in {d.place}" for d in drawn)
    words = f"{case.code}  {case.procedure} {case.category}, {case.eye} eye, {lens}"
    words += f" ({found})" if found else ""
    if issued.missing:
        words += f"; MISSING {', '.join(f'{m.item} {m.short}' for m in issued.missing)}"
    if issued.warnings:
        words += f"; {' '.join(issued.warnings)}"
    return f"{words}; entry {issued.entry}"


def finished_page(finished: FinishedCase, site: Site) -> str:
    """Where everything of the case went; what came back and what was wasted stands first."""
    case = finished.case
    what = COMMON_USE.get(case.kind) or f"{case.procedure}, {case.category}"
    title = f"Case {case.code} finished: {what}"
    notable = [m for m in finished.moves if m.quantity and not m.to_place.startswith("used/")]
    rows = [
        (
            finished.lots[m.lot].item, lot_name(finished.lots[m.lot]),
            amount(finished.items[finished.lots[m.lot].item], m.quantity), m.from_place, m.to_place,
            m.reason, "seen" if m.seen else "presumed",
        )
        for m in notable
    ]  # fmt: skip
    used = sum(m.value for m in finished.moves if m.to_place.startswith("used/"))
    parts = [heading(title, site)]
    if rows:
        headers = ("Item", "Lot", "Units", "From", "To", "Reason", "How known")
        parts.append(table(headers, rows, "Units"))
    else:
        parts.append("All as issued.")
    parts += [f"Warning: {words}" for words in finished.warnings]
    parts.append(f"Used: {site.money.code} {site.money.text(used)}")
    return "\n".join(parts)


def finished_line(finished: FinishedCase, site: Site) -> str:
    """One case of a list in one line."""
    moves = finished.moves
    used = sum(m.value for m in moves if m.to_place.startswith("used/"))
    wasted = sum(m.value for m in moves if m.to_place.startswith("waste/"))
    apart = f", wasted {site.money.text(wasted)}" if wasted else ""
    words = f" {' '.join(finished.warnings)}" if finished.warnings else ""
    return (
        f"{finished.case.code}  used {site.money.text(used)}{apart}; entry {finished.entry}{words}"
    )


def moved_page(moved: Moved, site: Site) -> str:
    """Which lots went from one place to another."""
    rows = [
        (lot_name(d.lot), expiry(d.lot), amount(moved.item, d.quantity), site.money.text(d.value))
        for d in moved.draws
    ]
    title = f"{moved.item.code} from {moved.from_place} to {moved.to_place}"
    return (
        f"{heading(title, site)}\n{table(('Lot', 'Expiry', 'Units', 'Value'), rows, 'Units,Value')}"
    )
