"""What a period's cases cost by category, sponsor, procedure, lens, surgeon, theatre or month."""

import sqlite3
from collections.abc import Mapping, Sequence

from stockbook.domain import texts
from stockbook.domain.asking import AsOf, period_end
from stockbook.domain.cost_groups import NONE, WAYS, CaseSum, CostGroups, case_sums, groups_of
from stockbook.domain.costs import PeriodLine
from stockbook.domain.facts import Case, OperatingList
from stockbook.ledger import money
from stockbook.ledger.as_of import reading_as_of
from stockbook.ledger.facts import all_of
from stockbook.ledger.opening import Book
from stockbook.ledger.settings import last_entry


def cost_by(
    book: Book, first_day: str, last_day: str, by: str, as_of: AsOf | None = None
) -> CostGroups:
    """Patients' cases first used in the period, grouped; what lists used in common is apart."""
    way = texts.one_of(by, WAYS, "--per")
    last_day = period_end(first_day, last_day, as_of)
    with reading_as_of(book, as_of if as_of and as_of.entry else None) as db:
        sums = counted_cases(db, first_day, last_day, way)
        number, checksum, _, _ = last_entry(db)
    return CostGroups(way, first_day, last_day, *groups_of(sums), number, checksum)


def counted_cases(db: sqlite3.Connection, first_day: str, last_day: str, way: str) -> list[CaseSum]:
    """Every patient's case that is counted in a period, with its sums and its group."""
    ended = money.ended(db, first_day, last_day)
    codes = {line.case for line in ended.lines if line.case}
    began = money.first_used(db, codes, first_day, last_day)
    cases = all_of(db, Case, code=codes, kind="patient")
    group_of = _groups(db, cases, way)
    if way == "category":
        group_of |= _categories(ended.lines, group_of)
    return case_sums(
        ended.lines, lambda code: first_day <= began.get(code, "") <= last_day, group_of,
        {case.code: case.procedure or NONE for case in cases},
    )  # fmt: skip


def _groups(db: sqlite3.Connection, cases: list[Case], way: str) -> dict[str, str]:
    """By case, what it is grouped under."""
    if way in ("theatre", "month"):
        lists = {
            one.code: one.theatre if way == "theatre" else one.day[:7]
            for one in all_of(db, OperatingList, code={case.list for case in cases})
        }
        return {case.code: lists.get(case.list, NONE) for case in cases}
    field = {"lens": "lens_model"}.get(way, way)
    return {case.code: getattr(case, field) or NONE for case in cases}


def _categories(lines: Sequence[PeriodLine], known: Mapping[str, str]) -> dict[str, str]:
    """The category in which a case ended, as it was booked; corrected ones as they are now."""
    found: dict[str, str] = {}
    for line in lines:
        if line.case in known and not line.wasted and line.value > 0:
            found[str(line.case)] = line.category
    return found
