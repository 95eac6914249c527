"""Questions of money: what a period's cases used, and whether every place adds up (rule 5)."""

import sqlite3
from collections import defaultdict
from collections.abc import Collection, Mapping
from typing import NamedTuple

from stockbook.domain.cost_movements import EndedMove
from stockbook.domain.costs import Ended, Given, PeriodLine, Proof
from stockbook.domain.places import STOCK_KINDS
from stockbook.ledger.facts import marks
from stockbook.ledger.settings import last_entry

_STOCK = ", ".join(f"'{kind}'" for kind in sorted(STOCK_KINDS))


EVER = ("0001-01-01", "9999-12-31")
"""A period that leaves nothing out."""

BATCH = 10_000
"""So many cases are asked about at once: SQLite takes no more than 32,766 values."""

_ENDS = "(SELECT code FROM place WHERE kind IN ('used', 'waste'))"


def ended(db: sqlite3.Connection, first_day: str, last_day: str) -> Ended:
    """What ended as used or waste, booked in a period, read once and summed as a page needs it."""
    rows = db.execute(
        "SELECT case_code, lot, quantity, value, to_place, from_place FROM entry "
        "CROSS JOIN movement ON movement.entry = entry.number WHERE booked_on BETWEEN ?1 AND ?2 "
        f"AND (to_place IN {_ENDS} OR from_place IN {_ENDS})",
        (first_day, last_day),
    )
    ends = {row[0] for row in db.execute(_ENDS[1:-1])}
    sums: dict[tuple[str | None, str, str], list[int]] = {}
    given: dict[tuple[str | None, str, int], int] = defaultdict(int)
    provisional: dict[str | None, int] = defaultdict(int)
    lots = _lots_moved(db, first_day, last_day)
    for case, lot, quantity, value, to_place, from_place in rows:
        item_class, is_provisional, shadow, _ = lots[lot]
        for place, sign in ((to_place, 1), (from_place, -1)):
            if place in ends:
                both = sums.setdefault((case, place, item_class), [0, 0])
                both[0] += sign * value
                both[1] += sign * quantity
                if is_provisional:
                    provisional[case] += sign * value
                if shadow:
                    given[case, _category(place), lot] += sign * quantity
    lines = [
        PeriodLine(case, _category(place), item_class, place.startswith("waste/"), value)
        for (case, place, item_class), (value, units) in sums.items()
        if value or units
    ]
    gifts = [Given(*key, units, *lots[key[2]][2:]) for key, units in given.items()]
    return Ended(lines, gifts, provisional)


_MOVES = (
    "SELECT number, booked_on, entry.kind, case_code, lot, quantity, value, from_place, to_place, "
    "seen, movement.reason FROM {joined} "
    f"WHERE {{which}} AND (to_place IN {_ENDS} OR from_place IN {_ENDS}) ORDER BY number, line"
)


def ended_moves(db: sqlite3.Connection, first_day: str, last_day: str) -> list[EndedMove]:
    """Every movement behind what ended in a period, by entry."""
    joined = "entry CROSS JOIN movement ON movement.entry = entry.number"
    asked = _MOVES.format(joined=joined, which="booked_on BETWEEN ?1 AND ?2")
    return [EndedMove(*row) for row in db.execute(asked, (first_day, last_day)).fetchall()]


def ended_moves_of_case(db: sqlite3.Connection, case: str) -> list[EndedMove]:
    """Every movement behind what a case used and wasted, by entry."""
    joined = "movement CROSS JOIN entry ON entry.number = movement.entry"
    asked = _MOVES.format(joined=joined, which="case_code = ?1")
    return [EndedMove(*row) for row in db.execute(asked, (case,)).fetchall()]


LotFacts = tuple[str, int, int, int]
"""Of a lot: its item's class, whether its price is provisional, its shadow value, for how much."""


def _lots_moved(db: sqlite3.Connection, first_day: str, last_day: str) -> dict[int, LotFacts]:
    rows = db.execute(
        "SELECT lot.code, item_class, provisional, shadow_value, quantity FROM lot "
        "JOIN item ON item.code = lot.item WHERE lot.code IN (SELECT lot FROM entry "
        "CROSS JOIN movement ON movement.entry = entry.number WHERE booked_on BETWEEN ? AND ?)",
        (first_day, last_day),
    )
    return {code: tuple(facts) for code, *facts in rows.fetchall()}


def _category(place: str) -> str:
    return place.partition("/")[2]


ItemEnded = tuple[str, str, str, int, int]
"""Case, item, the terms its lots came on, and the steps and value that ended, used or wasted."""


def ended_items(db: sqlite3.Connection, first_day: str, last_day: str) -> list[ItemEnded]:
    """What ended of each item in each case, booked in a period; what came back is taken off."""
    rows = db.execute(
        f"WITH ends AS {_ENDS} SELECT case_code, lot.item, lot.terms, "
        "SUM(movement.quantity * sign), SUM(value * sign) FROM ("
        "SELECT case_code, movement.lot, movement.quantity, value, "
        "(to_place IN ends) - (from_place IN ends) AS sign FROM entry "
        "CROSS JOIN movement ON movement.entry = entry.number "
        "WHERE booked_on BETWEEN ? AND ? AND case_code IS NOT NULL) AS movement "
        "CROSS JOIN lot ON lot.code = movement.lot WHERE sign <> 0 GROUP BY 1, 2, 3",
        (first_day, last_day),
    )
    return rows.fetchall()


class PlanOf(NamedTuple):
    """What cases are grouped by, without the rest of their facts."""

    code: str
    list: str
    procedure: str | None
    category: str | None
    sponsor: str | None
    surgeon: str | None
    lens_model: str | None


def plans_of(db: sqlite3.Connection, cases: Collection[str]) -> list[PlanOf]:
    """The patients' cases among these, by code."""
    found: list[PlanOf] = []
    codes = sorted(cases)
    for start in range(0, len(codes), BATCH):
        part = codes[start : start + BATCH]
        rows = db.execute(
            f"SELECT {', '.join(PlanOf._fields)} FROM theatre_case WHERE kind = 'patient' "
            f"AND code IN ({marks(part)}) ORDER BY code",
            part,
        )
        found += map(PlanOf._make, rows.fetchall())
    return found


def first_used(
    db: sqlite3.Connection, cases: Collection[str], first_day: str, last_day: str
) -> dict[str, str]:
    """For every one of these cases that used something: when it was first used.

    The day its first use was booked that stood at the period's end, or stood when it began: a
    reversal booked later never changes what an earlier period says.
    """
    found: dict[str, str] = {}
    codes = sorted(cases)
    for start in range(0, len(codes), BATCH):
        found |= _first_used(db, codes[start : start + BATCH], first_day, last_day)
    return found


def _first_used(
    db: sqlite3.Connection, cases: Collection[str], first_day: str, last_day: str
) -> dict[str, str]:
    numbers = ", ".join(f"?{n}" for n in range(3, len(cases) + 3))
    rows = db.execute(
        "SELECT first.code, entry.booked_on FROM ("
        "SELECT uses.code, MIN(uses.number) AS number FROM ("
        "SELECT DISTINCT case_code AS code, movement.entry AS number FROM movement "
        f"WHERE case_code IN ({numbers}) AND movement.quantity > 0 "
        "AND to_place IN (SELECT code FROM place WHERE kind = 'used')) AS uses "
        "CROSS JOIN entry AS own ON own.number = uses.number AND own.reverses IS NULL "
        "WHERE NOT EXISTS (SELECT 1 FROM entry AS back WHERE back.reverses = uses.number "
        "  AND back.booked_on <= ?2 AND NOT (own.booked_on < ?1 AND back.booked_on >= ?1)) "
        "GROUP BY uses.code) AS first JOIN entry ON entry.number = first.number",
        (first_day, last_day, *cases),
    )
    return dict(rows.fetchall())


def _flows(db: sqlite3.Connection, where: str, values: tuple[str, ...]) -> dict[str, int]:
    """Net value into each kind of place over the days a condition keeps."""
    rows = db.execute(
        "SELECT f.kind, t.kind, SUM(value) FROM day_flow "
        "JOIN place AS f ON f.code = from_place JOIN place AS t ON t.code = to_place "
        f"WHERE {where} GROUP BY 1, 2",
        values,
    )
    net: dict[str, int] = {}
    for source, target, value in rows.fetchall():
        net[source] = net.get(source, 0) - value
        net[target] = net.get(target, 0) + value
    return net


def _in_stock(net: Mapping[str, int]) -> int:
    return sum(net.get(kind, 0) for kind in STOCK_KINDS)


def proof(db: sqlite3.Connection, first_day: str, last_day: str) -> Proof:
    """Rule 5 for all places: opening by the movements, closing by the shelves as they are.

    The closing is what lies on hand now, walked back over what was booked later.
    """
    before = _flows(db, "booked_on < ?", (first_day,))
    during = _flows(db, "booked_on BETWEEN ? AND ?", (first_day, last_day))
    after = _flows(db, "booked_on > ?", (last_day,))
    now = int(db.execute("SELECT COALESCE(SUM(value), 0) FROM on_hand").fetchone()[0])
    number, checksum, _, _ = last_entry(db)
    return Proof(
        opening=_in_stock(before),
        received=-during.get("supplier", 0),
        opening_stock=-during.get("opening", 0),
        made=-during.get("reprocessing", 0),
        used=during.get("used", 0),
        wasted=during.get("waste", 0),
        sent_back=during.get("sent back", 0),
        differences=-during.get("difference", 0),
        on_hand=now - _in_stock(after),
        last_entry=number,
        checksum=checksum,
    )
