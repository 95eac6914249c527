"""Sponsors whose deadline comes soon or has passed for cases that nobody has claimed."""

import sqlite3
from collections.abc import Iterable, Sequence

from stockbook.domain.amounts import plural
from stockbook.domain.claims import NEAR_DAYS, TO_CLAIM, SponsoredCase
from stockbook.domain.days import days_after
from stockbook.domain.finance_facts import Sponsor
from stockbook.domain.today import Point
from stockbook.jobs.claims_view import sponsored
from stockbook.ledger.claims import unclaimed_cases
from stockbook.ledger.facts import all_of


def claims_due(db: sqlite3.Connection, day: str) -> list[Point]:
    """For each sponsor the finished cases whose deadline has passed, then those within a week."""
    return [
        point for sponsor in all_of(db, Sponsor) if sponsor.days is not None
        for point in _of_sponsor(db, sponsor, sponsor.days, day)
    ]  # fmt: skip


def _of_sponsor(db: sqlite3.Connection, sponsor: Sponsor, days: int, day: str) -> list[Point]:
    cases = unclaimed_cases(db, sponsor.code, days_after(day, NEAR_DAYS - days))
    open_ones = [row for row in sponsored(db, sponsor.code, cases) if row.state == TO_CLAIM]
    late = [row for row in open_ones if row.days_late(day)]
    near = [row for row in open_ones if not row.days_late(day)]
    parts = ((late, "LATE since the first deadline"), (near, "to claim by then"))
    return [_point(sponsor, rows, words) for rows, words in parts if rows]


def _point(sponsor: Sponsor, rows: Sequence[SponsoredCase], words: str) -> Point:
    first = min(_deadlines(rows))
    return Point(sponsor.code, f"{plural(len(rows), 'case')} {words}", first)


def _deadlines(rows: Iterable[SponsoredCase]) -> list[str]:
    return [row.deadline for row in rows if row.deadline is not None]
