"""Questions of money: what a period's cases used, and whether every place adds up (rule 5)."""

import sqlite3
from collections.abc import Mapping

from stockbook.domain.amounts import half_even
from stockbook.domain.costs import PeriodLine, Proof
from stockbook.domain.places import STOCK_KINDS
from stockbook.ledger.settings import last_entry

_STOCK = ", ".join(f"'{kind}'" for kind in sorted(STOCK_KINDS))


def _side(side: str, sign: str, columns: str) -> str:
    """One arm of a two-sided question: filters inside, so that an index serves it."""
    return (
        f"SELECT case_code, {side}_place AS place, lot, "
        f"{sign}movement.quantity AS quantity, {sign}movement.value AS value {columns} "
        "FROM entry JOIN movement ON movement.entry = entry.number "
        f"JOIN place ON place.code = {side}_place AND place.kind IN ('used', 'waste') "
        "WHERE entry.booked_on BETWEEN ?1 AND ?2"
    )


_ENDED = f"({_side('to', '', '')} UNION ALL {_side('from', '-', '')})"


def period_lines(db: sqlite3.Connection, first_day: str, last_day: str) -> list[PeriodLine]:
    """What ended as used or waste, booked in a period, by case, category and class."""
    rows = db.execute(
        "SELECT case_code, substr(place, instr(place, '/') + 1), item_class, "
        f"place GLOB 'waste/*', SUM(ended.value) FROM {_ENDED} AS ended "
        "JOIN lot ON lot.code = ended.lot JOIN item ON item.code = lot.item "
        "GROUP BY 1, 2, 3, 4 ORDER BY 2, 1, 3, 4",
        (first_day, last_day),
    )
    return [PeriodLine(*row) for row in rows.fetchall()]


def first_used(db: sqlite3.Connection, first_day: str, last_day: str) -> dict[str, str]:
    """For every case that used or wasted something booked in the period: when it was first used.

    The day its first use was booked that stood at the period's end, or stood when it began: a
    reversal booked later never changes what an earlier period says.
    """
    rows = db.execute(
        "WITH touched AS (SELECT DISTINCT case_code AS code FROM entry "
        "JOIN movement ON movement.entry = entry.number "
        "WHERE booked_on BETWEEN ?1 AND ?2 AND case_code IS NOT NULL) "
        "SELECT first.code, entry.booked_on FROM ("
        "SELECT touched.code, MIN(movement.entry) AS number FROM touched "
        "JOIN movement ON movement.case_code = touched.code AND movement.quantity > 0 "
        "JOIN place ON place.code = movement.to_place AND place.kind = 'used' "
        "JOIN entry AS own ON own.number = movement.entry AND own.reverses IS NULL "
        "WHERE NOT EXISTS (SELECT 1 FROM entry AS back WHERE back.reverses = movement.entry "
        "  AND back.booked_on <= ?2 AND NOT (own.booked_on < ?1 AND back.booked_on >= ?1)) "
        "GROUP BY touched.code) AS first JOIN entry ON entry.number = first.number",
        (first_day, last_day),
    )
    return dict(rows.fetchall())


def shadow_values(db: sqlite3.Connection, first_day: str, last_day: str) -> dict[str, int]:
    """By category, what the given lots that ended in the period would have cost."""
    rows = db.execute(
        "SELECT substr(place, instr(place, '/') + 1), shadow_value, lot.quantity, "
        f"SUM(ended.quantity) FROM {_ENDED} AS ended "
        "JOIN lot ON lot.code = ended.lot AND lot.shadow_value > 0 GROUP BY 1, ended.lot",
        (first_day, last_day),
    )
    sums: dict[str, int] = {}
    for category, shadow, received, ended in rows.fetchall():
        sums[category] = sums.get(category, 0) + half_even(shadow * ended, received)
    return sums


def provisional_value(db: sqlite3.Connection, first_day: str, last_day: str) -> int:
    """How much of what ended in the period has a price that is not final."""
    row = db.execute(
        f"SELECT COALESCE(SUM(ended.value), 0) FROM {_ENDED} AS ended "
        "JOIN lot ON lot.code = ended.lot AND lot.provisional = 1",
        (first_day, last_day),
    ).fetchone()
    return int(row[0])


def _flows(db: sqlite3.Connection, where: str, values: tuple[str, ...]) -> dict[str, int]:
    """Net value into each kind of place over the entries a condition keeps."""
    rows = db.execute(
        "SELECT f.kind, t.kind, SUM(movement.value) FROM entry "
        "JOIN movement ON movement.entry = entry.number "
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
