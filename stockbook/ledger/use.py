"""Recent use of items: what went into cases, minus what came back."""

import sqlite3
from collections.abc import Collection, Sequence

from stockbook.domain.days import days_after, days_between, last_day_of_month
from stockbook.domain.facts import PastUse
from stockbook.domain.leftover import RecentUse
from stockbook.ledger.facts import all_of, marks
from stockbook.ledger.standing import stands

ENDS = ("used", "waste")
"""The kinds of place where use on a case ends."""


def recent_use(
    db: sqlite3.Connection, items: Collection[str], day: str, days: int, *, wasted: bool = True
) -> dict[str, RecentUse]:
    """How much of each item was used or wasted on cases in the `days` days that end with `day`.

    With `wasted` false only what was used: a lens that was implanted.

    Reversed entries and their mirrors count for nothing; neither does what was discarded from a
    shelf, which no case asked for. In a book younger than that the days are those it has had,
    with the whole months of use from before it (past use) that fall into the time.
    """
    first = days_after(day, 1 - days)
    began = _began(db) or day
    since = max(first, min(began, day))
    covered = days_between(since, day) + 1
    sums = used_between(db, items, since, day, ENDS if wasted else ENDS[:1])
    past = _past(db, items, first, began)
    return {
        item: RecentUse(sums.get(item, 0) + past.get(item, (0, 0))[0],
                        covered + past.get(item, (0, 0))[1])
        for item in items
    }  # fmt: skip


def _began(db: sqlite3.Connection) -> str | None:
    """The earliest day on which anything moved."""
    row = db.execute("SELECT MIN(happened_on) FROM entry WHERE movement_count > 0").fetchone()
    return None if row[0] is None else str(row[0])


def used_between(
    db: sqlite3.Connection, items: Collection[str], first: str, last: str, ends: Sequence[str]
) -> dict[str, int]:
    """By item, what cases, lists and services brought to these kinds of place in a time."""
    rows = db.execute(
        f"SELECT lot.item, SUM(movement.quantity * ((t.kind IN ({marks(ends)})) "
        f"- (f.kind IN ({marks(ends)})))) FROM entry "
        "JOIN movement ON movement.entry = entry.number AND case_code IS NOT NULL "
        f"JOIN lot ON lot.code = movement.lot AND lot.item IN ({marks(items)}) "
        "JOIN place AS f ON f.code = from_place JOIN place AS t ON t.code = to_place "
        f"WHERE happened_on BETWEEN ? AND ? AND {stands()} GROUP BY 1",
        (*ends, *ends, *items, first, last),
    )
    return {str(item): int(quantity) for item, quantity in rows.fetchall()}


def _past(
    db: sqlite3.Connection, items: Collection[str], first: str, began: str
) -> dict[str, tuple[int, int]]:
    """Quantity and days of whole months that lie in the time and before the book."""
    sums: dict[str, tuple[int, int]] = {}
    for fact in all_of(db, PastUse, item=list(items)):
        opens = f"{fact.month}-01"
        ends = last_day_of_month(int(fact.month[:4]), int(fact.month[5:]))
        if first <= opens and ends < began:
            quantity, days = sums.get(fact.item, (0, 0))
            month = days_between(opens, ends) + 1
            sums[fact.item] = (quantity + fact.quantity, days + month)
    return sums
