"""Questions of claims: sponsors' cases, the lenses they used, and what was claimed for them."""

import sqlite3
from collections.abc import Collection, Iterator, Sequence
from typing import Any

from stockbook.domain.claims import WITHDRAWN
from stockbook.domain.codec import fact_from_row, field_names
from stockbook.domain.facts import Case
from stockbook.domain.finance_facts import ClaimedCase, Sponsor
from stockbook.ledger.cases import recorded_of_cases
from stockbook.ledger.facts import all_of, codes, marks

AT_ONCE = 10_000
"""So many cases are asked about in one question; SQLite takes 32,766 values in one."""

_CASE = ", ".join(f"theatre_case.{name}" for name in field_names(Case))
_CLAIMED = (
    "EXISTS (SELECT 1 FROM claimed_case WHERE case_code = theatre_case.code "
    f"AND state <> '{WITHDRAWN}' AND claimed_case.sponsor = ?1)"
)


def cases_of_period(
    db: sqlite3.Connection, sponsor: str, first_day: str, last_day: str
) -> list[tuple[Case, str]]:
    """A sponsor's patients' cases on the lists of some days, each with its day, in their order.

    A case that was claimed of the sponsor is among them whoever pays for it now.
    """
    rows = db.execute(
        f"SELECT day, {_CASE} FROM theatre_list "
        "CROSS JOIN theatre_case ON theatre_case.list = theatre_list.code "
        f"WHERE day BETWEEN ?2 AND ?3 AND kind = 'patient' AND (sponsor = ?1 OR {_CLAIMED}) "
        "ORDER BY day, list, position, theatre_case.code",
        (sponsor, first_day, last_day),
    )
    return [_dated(row) for row in rows.fetchall()]


def cases_of_sponsor(db: sqlite3.Connection, sponsor: str) -> list[tuple[Case, str]]:
    """The same on any day."""
    rows = db.execute(
        "WITH of_sponsor (code) AS (SELECT code FROM theatre_case WHERE sponsor = ?1 "
        "UNION SELECT case_code FROM claimed_case "
        f"WHERE sponsor = ?1 AND state <> '{WITHDRAWN}') "
        f"SELECT day, {_CASE} FROM of_sponsor CROSS JOIN theatre_case "
        "ON theatre_case.code = of_sponsor.code "
        "CROSS JOIN theatre_list ON theatre_list.code = theatre_case.list "
        "WHERE kind = 'patient' ORDER BY day, list, position, theatre_case.code",
        (sponsor,),
    )
    return [_dated(row) for row in rows.fetchall()]


def unclaimed_cases(db: sqlite3.Connection, sponsor: str, through: str) -> list[tuple[Case, str]]:
    """A sponsor's cases on lists through a day that no claim names, each with its day."""
    rows = db.execute(
        f"SELECT day, {_CASE} FROM theatre_case CROSS JOIN theatre_list "
        "ON theatre_list.code = theatre_case.list "
        "WHERE sponsor = ? AND kind = 'patient' AND day <= ? AND cancelled = 0 AND NOT EXISTS "
        "(SELECT 1 FROM claimed_case WHERE case_code = theatre_case.code "
        f"AND state <> '{WITHDRAWN}') ORDER BY day, list, position, theatre_case.code",
        (sponsor, through),
    )
    return [_dated(row) for row in rows.fetchall()]


def _dated(row: Sequence[Any]) -> tuple[Case, str]:
    case: Case = fact_from_row(Case, row[1:])
    return case, str(row[0])


def sponsors_named(db: sqlite3.Connection) -> list[str]:
    """Every sponsor that the book describes or a case or claim names, in order."""
    rows = db.execute(
        "SELECT sponsor FROM theatre_case WHERE sponsor IS NOT NULL "
        f"UNION SELECT sponsor FROM claimed_case WHERE state <> '{WITHDRAWN}'"
    )
    return sorted({*codes(db, Sponsor), *(str(row[0]) for row in rows.fetchall())})


def is_named(db: sqlite3.Connection, sponsor: str) -> bool:
    """Whether any case names a sponsor."""
    row = db.execute("SELECT 1 FROM theatre_case WHERE sponsor = ? LIMIT 1", (sponsor,)).fetchone()
    return row is not None


def finished_of(db: sqlite3.Connection, cases: Sequence[str]) -> dict[str, set[str]]:
    """The issues and finishes of cases that still stand."""
    found: dict[str, set[str]] = {}
    for part in _in_parts(cases):
        found |= {case: set(kinds) for case, kinds in recorded_of_cases(db, part).items()}
    return found


def lenses_used(db: sqlite3.Connection, cases: Sequence[str]) -> dict[str, list[tuple[int, int]]]:
    """Lots of lenses that cases used, with their finest steps, by case."""
    found: dict[str, list[tuple[int, int]]] = {}
    for part in _in_parts(cases):
        rows = db.execute(
            "SELECT case_code, lot, SUM(case_balance.quantity) FROM case_balance "
            "JOIN lot ON lot.code = case_balance.lot "
            "JOIN item ON item.code = lot.item AND lens_model IS NOT NULL "
            f"WHERE case_code IN ({marks(part)}) AND place >= 'used/' AND place < 'used0' "
            "GROUP BY case_code, lot ORDER BY case_code, lot",
            tuple(part),
        )
        for case, lot, steps in rows.fetchall():
            found.setdefault(case, []).append((int(lot), int(steps)))
    return found


def claims_of_cases(db: sqlite3.Connection, cases: Sequence[str]) -> dict[str, list[ClaimedCase]]:
    """What was claimed for cases and not withdrawn, of whichever sponsor, by case."""
    found: dict[str, list[ClaimedCase]] = {}
    for part in _in_parts(cases):
        for one in all_of(db, ClaimedCase, case_code=part):
            if one.state != WITHDRAWN:
                found.setdefault(one.case_code, []).append(one)
    return found


def claim_of_document(db: sqlite3.Connection, document: str) -> list[ClaimedCase]:
    """The cases of a claim that were not withdrawn."""
    return [one for one in all_of(db, ClaimedCase, document=document) if one.state != WITHDRAWN]


def documents(db: sqlite3.Connection) -> list[str]:
    """The documents of all claims."""
    rows = db.execute("SELECT DISTINCT document FROM claimed_case ORDER BY 1")
    return [str(row[0]) for row in rows.fetchall()]


def _in_parts(cases: Sequence[str]) -> Iterator[Collection[str]]:
    return (cases[n : n + AT_ONCE] for n in range(0, len(cases), AT_ONCE))
