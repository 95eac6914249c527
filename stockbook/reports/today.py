"""What waits today, on one screen."""

from typing import TYPE_CHECKING

from stockbook.domain.answers import Site
from stockbook.domain.entries import Entry
from stockbook.domain.today import (
    AGAINST,
    BELOW,
    CLAIM,
    COPIED,
    DESK,
    DUE,
    EXPIRED,
    FOUND,
    LATE,
    OWED,
    PROVISIONAL,
    RESCUE,
    UNFINISHED,
    VERIFIED,
    Point,
    Today,
    Waiting,
)
from stockbook.reports.amounts import amount, expiry, lot_name
from stockbook.reports.tables import columns_at_most, folded, heading

if TYPE_CHECKING:
    from stockbook.reports.data import DataSheet

LINES, COLUMNS = 23, 80
"""A terminal of 24 lines, one left for the prompt; a narrower one cuts a point where it ends."""

TITLES = {
    UNFINISHED: "Cases issued and not finished",
    RESCUE: "Rescue kits issued, not yet explained",
    EXPIRED: "Expired and still on a shelf",
    BELOW: "Below their levels",
    LATE: "Orders late",
    DUE: "Orders due today",
    DESK: "Begun by scanner and not recorded",
    OWED: "Sent back and not yet credited",
    PROVISIONAL: "Lots with a provisional price",
    CLAIM: "Claims whose deadline is near or past",
    FOUND: "Lots found at use, not yet counted",
    AGAINST: "Recorded against a rule in the last 30 days",
}


def today_page(today: Today, site: Site) -> str:
    """Every kind with its number and as many of its lines as the screen holds."""
    title = f"Today, {today.day}" + (f", for {today.role}" if today.role else "")
    head = heading(title, site).splitlines()
    foot = [*(folded(_last(today.last)) if today.last else ()), *folded(_kept(today))]
    taken = sum(len(folded(_title(part, 1))) for part in today.parts) + len(head) + len(foot)
    shown = _shared(LINES - taken - 1, [len(part.points) for part in today.parts])
    lines = list(head)
    for part, count in zip(today.parts, shown, strict=True):
        lines += _part(part, count)
    hidden = sum(shown) < sum(len(part.points) for part in today.parts)
    if hidden or lines != [_cut(line) for line in lines]:
        lines.append("All of it: stockbook today --csv")
    return "\n".join(_cut(line) for line in [*lines, *foot])


def _shared(room: int, wanted: list[int]) -> list[int]:
    """So many lines for each part, dealt out one by one until the screen is full."""
    given = [0] * len(wanted)
    while room > 0 and given != wanted:
        for n, most in enumerate(wanted):
            if given[n] < most and room > 0:
                given[n] += 1
                room -= 1
    return given


def _title(part: Waiting, count: int) -> str:
    there = len(part.points)
    cut = f" (the first {count})" if 0 < count < there else ""
    return f"{TITLES[part.kind]}: {there or 'none'}{cut}"


def _part(part: Waiting, count: int) -> list[str]:
    points = [f"  {_line(part.kind, point)}" for point in part.points[:count]]
    return [*folded(_title(part, count)), *points]


def _line(kind: str, point: Point) -> str:
    """One point in one line: what, where, and the words that belong to it."""
    units = amount(point.item, point.quantity or 0) if point.item else ""
    if kind == BELOW:
        words = [point.place, f"{units} there, {point.words}"]
    elif kind == UNFINISHED:
        words = [point.day, point.place, point.words]
    elif point.lot is None:
        words = [point.day, point.words]
    elif kind == EXPIRED:
        words = [point.place, f"lot {lot_name(point.lot)}", expiry(point.lot), units]
    else:
        words = [f"lot {lot_name(point.lot)}", units, f"on {point.day}", point.words]
    return f"{point.code:<14}  " + "  ".join(word for word in words if word)


def _last(entry: Entry) -> str:
    document = f" {entry.document}" if entry.document else ""
    return (
        f"Last entry: {entry.number}, {entry.kind}{document}, happened {entry.happened_on}, "
        f"by {entry.by}"
    )


def _kept(today: Today) -> str:
    """When the book was last verified and backed up."""
    done = {one.what: f"{one.made_at[:16].replace('T', ' ')} UTC" for one in today.upkeep}
    return f"Last verify: {done.get(VERIFIED, 'never')}; last backup: {done.get(COPIED, 'never')}"


def _cut(line: str) -> str:
    columns = columns_at_most(COLUMNS)
    return line if len(line) <= columns else f"{line[: columns - 1]}…"


def today_sheets(today: Today) -> "list[DataSheet]":
    """Everything that waits, one row each."""
    from stockbook.reports.data import DataSheet, Quantity, columns

    rows = [
        (
            part.kind, point.code, point.day, point.place,
            lot_name(point.lot) if point.lot else None,
            Quantity(point.quantity, point.item.unit_places)
            if point.item and point.quantity is not None else None,
            point.item.unit if point.item else None, point.words or None,
        )
        for part in today.parts for point in part.points
    ]  # fmt: skip
    names = columns("what", "code", "day:day", "place", "lot", "quantity:quantity", "unit", "words")
    about = (
        ("day", today.day), ("role", today.role or "anyone"),
        *((f"last_{one.what}", one.made_at) for one in today.upkeep),
    )  # fmt: skip
    return [DataSheet("today", about, names, tuple(rows))]
