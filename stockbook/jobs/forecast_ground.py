"""What a forecast rests on, the same for every item: cases, kits, shelves, estimates."""

import sqlite3
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stockbook.domain.calendar import PlannedSpan
from stockbook.domain.case_history import History, amounts_taken
from stockbook.domain.facts import Item, Kit
from stockbook.domain.forecasts import Estimate, Shares
from stockbook.domain.picking import Shelf, Wish
from stockbook.domain.service_levels import ServiceLevel, service_from_text
from stockbook.forecast.coming import Coming
from stockbook.forecast.year_ahead import YEAR, coming_year, stated_amounts
from stockbook.jobs.forecast_history import history_of
from stockbook.jobs.kits_in_force import KitAsked, layers_of
from stockbook.ledger.settings import setting
from stockbook.ledger.stock import on_hand, places_of_kind, quarantines

Stated = Mapping[str, Mapping[str, Sequence[tuple[int, float]]]]
"""By kind of case and item, what kits say that a case takes: amounts with their chances."""


@dataclass(frozen=True, slots=True)
class Ground:
    """What is the same for every item."""

    day: str
    review_days: int
    service: ServiceLevel
    """The site's, where an item says nothing else."""
    history: History
    kinds: tuple[str, ...]
    categories: tuple[str, ...]
    done: Mapping[str, int]
    """How many cases of each kind are finished."""
    coming: Coming
    taken: Mapping[tuple[str, str], Mapping[int, int]]
    stated: Stated
    shelf: Shelf
    wish: Wish
    standby: Mapping[str, int]
    """The most of an item that a kit wants in reach, whatever the forecast says."""
    estimates: tuple[Estimate | Shares, ...]
    replaced: Mapping[str, str]
    """By item, the one that replaced it."""

    def service_of(self, item: Item) -> ServiceLevel:
        """The item's own level of service, or the site's."""
        return service_from_text(item.service) if item.service else self.service

    def standby_of(self, item: Item) -> int:
        """What must be there of an item: by itself or by a kit."""
        return max(item.standby, self.standby.get(item.code, 0))


def ground_of(
    db: sqlite3.Connection, day: str, items: Sequence[Item], plan: Sequence[PlannedSpan]
) -> Ground:
    """The ground on a day; a replaced item's use counts as that of the one that replaced it."""
    history = history_of(db, day, YEAR)
    kinds = tuple(dict.fromkeys(case.kind for case in (*history.done, *history.listed)))
    coming, seen = coming_year(history, kinds, day, plan)
    replaced = _replaced(items)
    by_case = {case.code: case.kind for case in history.done}
    taken: Counter[tuple[str, str]] = Counter()
    for (case, item), quantity in history.taken.items():
        taken[case, replaced.get(item, item)] += quantity
    stores = [place.code for place in places_of_kind(db, "store", "theatre")]
    least = {item.code: item.least_days_left for item in items}
    wish = Wish(day, tuple(stores), least_days_left=least, quarantines=quarantines(db))
    layers = {kind: _layers(db, kind, day) for kind in kinds}
    stated = {kind: _renamed(stated_amounts(kits), replaced) for kind, kits in layers.items()}
    return Ground(
        day, int(setting(db, "review_days")), service_from_text(setting(db, "service_level")),
        history, kinds, tuple(dict.fromkeys(kind.split("/")[1] for kind in kinds)),
        Counter(by_case.values()), coming, amounts_taken(taken, by_case), stated,
        Shelf(on_hand(db, items=[item.code for item in items], places=stores)), wish,
        _standby([kit for kits in layers.values() for kit in kits]), seen, replaced,
    )  # fmt: skip


def _replaced(items: Sequence[Item]) -> dict[str, str]:
    """The last of a row of replacements for every replaced item; a ring replaces nothing."""
    by = {item.replaces: item.code for item in items if item.replaces}
    found = {}
    for old in by:
        seen, last = {old}, by[old]
        while last in by and last not in seen:
            seen.add(last)
            last = by[last]
        if last not in seen:
            found[old] = last
    return found


def _renamed(
    stated: Mapping[str, Sequence[tuple[int, float]]], replaced: Mapping[str, str]
) -> dict[str, Sequence[tuple[int, float]]]:
    """What kits state of a replaced item is stated of the new one, unless they name that too."""
    found = {item: amounts for item, amounts in stated.items() if item not in replaced}
    for old, new in replaced.items():
        if old in stated:
            found.setdefault(new, stated[old])
    return found


def _layers(db: sqlite3.Connection, kind: str, day: str) -> list[Kit]:
    """The kits in force for this kind of case; none where there is no kit."""
    procedure, category = kind.split("/")[:2]
    return layers_of(db, KitAsked(procedure, category, None, day))


def _standby(kits: Sequence[Kit]) -> dict[str, int]:
    found: dict[str, int] = {}
    for line in (line for kit in kits for line in kit.lines if line.kind == "standby"):
        found[line.items[0]] = max(found.get(line.items[0], 0), line.quantity)
    return found
