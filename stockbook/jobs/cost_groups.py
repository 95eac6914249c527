"""What a period's cases cost by category, sponsor, procedure, lens, surgeon, theatre or month."""

import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stockbook.domain import texts
from stockbook.domain.asking import AsOf, period_end
from stockbook.domain.cost_groups import (
    NONE,
    WAYS,
    CaseSum,
    CostGroups,
    GroupCost,
    case_sums,
    groups_of,
)
from stockbook.domain.costs import EARLIER, Ended, PeriodLine, shadows_by
from stockbook.domain.facts import Case, OperatingList
from stockbook.domain.full_cost import FullCost, Own, borne_by, full_costs, together
from stockbook.domain.list_shares import shares_of
from stockbook.domain.places import COMMON
from stockbook.jobs.list_shares import parts_of_period
from stockbook.jobs.overhead import overheads
from stockbook.ledger import money
from stockbook.ledger.as_of import reading_as_of
from stockbook.ledger.facts import all_of
from stockbook.ledger.money import PlanOf
from stockbook.ledger.opening import Book
from stockbook.ledger.settings import last_entry


@dataclass(frozen=True, slots=True)
class Grouped:
    """A period's patients' cases that are counted in it, each with its group."""

    ended: Ended
    began: Mapping[str, str]
    sums: list[CaseSum]

    @property
    def counted(self) -> dict[str, str]:
        """By case its group."""
        return {one.case: one.group for one in self.sums}


def grouped(db: sqlite3.Connection, first_day: str, last_day: str, way: str) -> Grouped:
    """What ended in a period, and its cases by group."""
    ended = money.ended(db, first_day, last_day)
    codes = {line.case for line in ended.lines if line.case}
    began = money.first_used(db, codes, first_day, last_day)
    cases = money.plans_of(db, codes)
    group_of = group_names(db, cases, way)
    if way == "category":
        group_of |= _categories(ended.lines, group_of)
    sums = case_sums(
        ended.lines, lambda code: first_day <= began.get(code, "") <= last_day, group_of,
        {case.code: case.procedure or NONE for case in cases},
    )  # fmt: skip
    return Grouped(ended, began, sums)


def cost_by(
    book: Book, first_day: str, last_day: str, by: str, as_of: AsOf | None = None
) -> CostGroups:
    """Patients' cases first used in the period, grouped; what was used in common is apart."""
    way = texts.one_of(by, WAYS, "--per")
    last_day = period_end(first_day, last_day, as_of)
    with reading_as_of(book, as_of if as_of and as_of.entry else None) as db:
        found = grouped(db, first_day, last_day, way)
        counted = found.counted
        groups, everything = groups_of(found.sums)
        full = _full(db, groups, found.ended.lines, counted, found.began, last_day)
        number, checksum, _, _ = last_entry(db)
    return CostGroups(
        way, first_day, last_day, groups, everything, number, checksum, full,
        shadows_by(found.ended.given, lambda gift: counted.get(gift.case or "")),
        _by_group(found.ended.provisional, counted),
    )  # fmt: skip


def _full(
    db: sqlite3.Connection, groups: Sequence[GroupCost], lines: Sequence[PeriodLine],
    counted: Mapping[str, str], began: Mapping[str, str], last_day: str,
) -> tuple[FullCost, ...]:  # fmt: skip
    """What each group bears in all, then all groups together.

    Parts of lists' common use that fall to cases of earlier periods are nobody's here.
    """
    parts = parts_of_period(db, lines, last_day)
    shares = shares_of(parts, lambda part: counted.get(part.case, EARLIER))
    borne = borne_by(overheads(db, {c: began[c] for c in counted}).values(), counted.get)
    common = sum(line.value for line in lines if line.category == COMMON)
    own = [Own(one.name, one.cases, one.used, one.wasted) for one in groups]
    shared = full_costs([*own, Own(COMMON, 0, common, 0, common=True)], shares, borne)
    return (*shared[:-1], together("all", shared[:-1]))


def _by_group(values: Mapping[str | None, int], counted: Mapping[str, str]) -> dict[str, int]:
    sums: dict[str, int] = {}
    for case, value in values.items():
        if case is not None and case in counted:
            sums[counted[case]] = sums.get(counted[case], 0) + value
    return sums


def group_names(db: sqlite3.Connection, cases: Sequence[Case | PlanOf], way: str) -> dict[str, str]:
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
    for case, category, _, wasted, value in lines:
        if value > 0 and not wasted and case is not None and case in known:
            found[case] = category
    return found
