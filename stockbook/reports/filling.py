"""How a place beside its levels looks, and what would move."""

from stockbook.domain.answers import Site
from stockbook.domain.levels import Filling, FillLine
from stockbook.domain.picking import Draw
from stockbook.reports.amounts import amount, expiry, lot_name
from stockbook.reports.tables import heading, plural, table

HEADERS = (
    "Shelf", "Item", "Name", "There", "Keep", "Fill to", "Move", "Units", "Lot", "Expiry",
    "Store", "Short",
)  # fmt: skip
_RIGHT = "There,Keep,Fill to,Units,Short"


def filling_page(filling: Filling, site: Site) -> str:
    """One table of what moves and what is short; what is within its level is only counted."""
    parts = [heading(f"{filling.place} beside its levels, {filling.day}", site)]
    apart = [line for line in filling.lines if not line.is_within]
    if apart:
        rows = [row for line in apart for row in _rows(line, filling)]
        parts.append(table(HEADERS, rows, _RIGHT))
        parts.append(
            "There: usable units. Below Keep an item is filled to Fill to; what is above Fill to "
            "goes back, the latest expiry first."
        )
    parts += _notes(filling)
    return "\n".join(parts)


def _notes(filling: Filling) -> list[str]:
    within = sum(line.is_within for line in filling.lines)
    notes = [f"Within their levels: {plural(within, 'item')}."] if within else []
    if any(line.lists for line in filling.lines):
        notes.append(f"Lists that levels were taken from: {', '.join(filling.lists) or 'none'}.")
    if filling.left_out:
        notes.append(f"Cases left out of them: {', '.join(filling.left_out)}.")
    if filling.without_level:
        notes.append(
            f"Lenses of these lists without a level here: {', '.join(filling.without_level)}."
        )
    return notes


def _rows(line: FillLine, filling: Filling) -> list[tuple[str, ...]]:
    """A row for each lot that moves; the item stands in the first."""
    item = line.item
    label = filling.labels.get((filling.place, item.code), "")
    numbers = [amount(item, n) for n in (line.there, line.keep_at_least, line.fill_to)]
    head = (label, item.code, item.name, *numbers)
    short = amount(item, line.short) if line.short else ""
    moves = [_move(line, draw, filling) for draw in (*line.into, *line.back)]
    first, *others = moves or [("", "", "", "", "")]
    return [(*head, *first, short), *(("",) * len(head) + (*m, "") for m in others)]


def _move(line: FillLine, draw: Draw, filling: Filling) -> tuple[str, str, str, str, str]:
    store = draw.place if line.into else str(line.store)
    label = filling.labels.get((store, line.item.code))
    return (
        "in" if line.into else "back", amount(line.item, draw.quantity), lot_name(draw.lot),
        expiry(draw.lot), f"{store} {label}" if label else store,
    )  # fmt: skip


def filling_question(filling: Filling) -> str:
    """What is asked before anything moves."""
    into = sum(bool(line.into) for line in filling.lines)
    back = sum(bool(line.back) for line in filling.lines)
    parts = [f"{plural(into, 'item')} into {filling.place}"] if into else []
    parts += [f"{plural(back, 'item')} back to {_stores(filling)}"] if back else []
    warned = f"{' '.join(filling.warnings)} " if filling.warnings else ""
    return f"{warned}Move {' and '.join(parts)}?"


def _stores(filling: Filling) -> str:
    return " and ".join(sorted({line.store for line in filling.lines if line.store}))


def nothing_to_move(filling: Filling) -> str:
    """Said when every item is within its level."""
    return f"{filling.place}: nothing to move; every item is within its level."


def short_words(filling: Filling) -> str | None:
    """What the stores could not give, said after the rest has moved; none when all was there."""
    short = [f"{line.item.code} {amount(line.item, line.short)}" for line in filling.lines
             if line.short]  # fmt: skip
    return f"Still short in {filling.place}: {', '.join(short)}." if short else None
