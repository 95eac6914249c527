"""What the forecast learns from: the cases of the last year, those on the lists, the calendar."""

import sqlite3
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stockbook.domain.case_history import DatedCase
from stockbook.domain.days import days_after
from stockbook.domain.facts import Case, Kit
from stockbook.domain.kits import kit_code
from stockbook.ledger.cases import recorded_of_cases
from stockbook.ledger.demand_history import (
    first_known,
    lists_between,
    patients_of_lists,
    use_beside_patients,
)
from stockbook.ledger.kit_use import finished_cases, flows_of_cases

HISTORY_DAYS = 365


@dataclass(frozen=True, slots=True)
class History:
    """A year of the site's own cases, and the cases to come."""

    since: str
    done: tuple[DatedCase, ...]
    cancelled: int
    taken: Mapping[tuple[str, str], int]
    """By case and item: steps used and wasted."""
    beside: Mapping[str, Mapping[str, int]]
    """By item and day: what lists and services used."""
    listed: tuple[DatedCase, ...]
    """On lists from today on, not cancelled and not issued."""


def history_of(db: sqlite3.Connection, day: str, horizon: int) -> History:
    """Everything counted that the estimates need; `horizon` is how many days ahead lists count."""
    since = days_after(day, -HISTORY_DAYS)
    lists = {one.code: one.day for one in lists_between(db, since, days_after(day, horizon))}
    planned = patients_of_lists(db, lists)
    done = finished_cases(db, since, day)
    known = first_known(db, [case.code for case in done])
    taken: Counter[tuple[str, str]] = Counter()
    for flow in flows_of_cases(db, since, day):
        if flow.end in ("used", "wasted"):
            taken[flow.case, flow.item] += flow.quantity
    beside: dict[str, dict[str, int]] = defaultdict(dict)
    for when, item, quantity in use_beside_patients(db, since, day):
        beside[item][when] = quantity
    finished = tuple(_dated(case, lists, known) for case in done if case.list in lists)
    began = min((case.day for case in finished), default=day)
    return History(
        max(since, began), finished,
        sum(case.cancelled for case in planned if lists[case.list] < day), taken, beside,
        _listed(db, planned, lists, day),
    )  # fmt: skip


def _dated(case: Case, lists: Mapping[str, str], known: Mapping[str, str]) -> DatedCase:
    category = str(case.category)
    return DatedCase(
        case.code, kit_code(str(case.procedure), category), category, lists[case.list],
        known.get(case.code, lists[case.list]), case.lens_model, case.power,
    )  # fmt: skip


def _listed(
    db: sqlite3.Connection, planned: Sequence[Case], lists: Mapping[str, str], day: str
) -> tuple[DatedCase, ...]:
    """What lies on a trolley already has left the shelves."""
    coming = [c for c in planned if lists[c.list] >= day and not c.cancelled and c.procedure]
    recorded = recorded_of_cases(db, [case.code for case in coming])
    return tuple(_dated(case, lists, {}) for case in coming if not recorded[case.code])


WHEN_RATE = 0.10
"""How often a requirement is believed to come up before the site has its own cases: ours."""


def stated_amounts(kit: Kit) -> dict[str, list[tuple[int, float]]]:
    """What a kit says that a case takes of each item: amounts with their chances.

    Of alternatives the first counts; the others are learned from the cases. Lenses are forecast
    by their powers.
    """
    found: dict[str, list[tuple[int, float]]] = defaultdict(list)
    for line in kit.lines:
        if line.kind in ("always", "one-of", "with-machine"):
            found[line.items[0]].append((line.quantity, 1.0))
        elif line.kind in ("when", "with-lens"):
            found[line.items[0]].append((line.quantity, WHEN_RATE))
    return {item: _together(amounts) for item, amounts in found.items()}


def _together(amounts: list[tuple[int, float]]) -> list[tuple[int, float]]:
    """Several lines of one item: sure ones added up, the chance ones beside them."""
    sure = sum(quantity for quantity, chance in amounts if chance == 1.0)
    rest = [(quantity, chance) for quantity, chance in amounts if chance < 1.0]
    left = 1.0 - sum(chance for _, chance in rest)
    made = [(sure + quantity, chance) for quantity, chance in rest]
    return [*made, (sure, left)] if sure else made
