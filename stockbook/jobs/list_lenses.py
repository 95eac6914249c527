"""What a changed list does to the lenses of its day: missing, freed, no spare left."""

import sqlite3
from collections.abc import Iterable, Mapping

from stockbook.domain.facts import Case, Item, OperatingList
from stockbook.domain.lens_walk import LensAsked, LensWalk, consequences, walk_lenses
from stockbook.domain.lenses import power_text
from stockbook.domain.list_changes import Consequences, Scheduled
from stockbook.domain.picking import Shelf, Wish
from stockbook.ledger.cases import cases_of_list, kinds_recorded
from stockbook.ledger.facts import all_of
from stockbook.ledger.stock import on_hand, places_of_kind, quarantines

Day = tuple[dict[str, OperatingList], dict[str, Case]]
"""Lists and cases by code, as they are or as they will be."""


def lens_consequences(
    db: sqlite3.Connection, lists: Mapping[str, OperatingList], book: Mapping[str, Scheduled],
    after: Mapping[str, Case],
) -> Consequences:  # fmt: skip
    """All lists of the days concerned, walked as the book has them and as they will be."""
    days = {one.day for one in lists.values()} | {one.day for one in book.values()}
    found = {one.code: one for one in all_of(db, OperatingList, day=days)}
    of_day = {c.code: c for code in found for c in cases_of_list(db, code)}
    before = {**of_day, **{code: one.case for code, one in book.items()}}
    waiting = {code for code in before | dict(after) if not kinds_recorded(db, code)}
    lenses = {
        (i.lens_model, i.power): i for i in all_of(db, Item, lens_model=_models(after, before))
    }
    shelf = Shelf(on_hand(db, items={item.code for item in lenses.values()}))
    now = _walk(db, (found, before), waiting, lenses, shelf)
    then = _walk(db, ({**found, **lists}, {**of_day, **after}), waiting, lenses, shelf)
    return consequences(now, then)


def _models(*groups: Mapping[str, Case]) -> set[str]:
    return {c.lens_model for cases in groups for c in cases.values() if c.lens_model}


def _walk(
    db: sqlite3.Connection, day: Day, waiting: set[str],
    lenses: Mapping[tuple[str | None, int | None], Item], shelf: Shelf,
) -> LensWalk:  # fmt: skip
    lists, cases = day
    stores = [place.code for place in places_of_kind(db, "store")]
    stopped = quarantines(db)
    asked = []
    for case in _in_order(lists, cases.values()):
        if case.code not in waiting or case.lens_model is None or case.power is None:
            continue
        of = lists[case.list]
        item = lenses.get((case.lens_model, case.power))
        least = {item.code: item.least_days_left} if item else {}
        wish = Wish(of.day, (of.theatre, *stores), case.category, case.sponsor, least, stopped)
        lens = f"{case.lens_model} {power_text(case.power)}"
        asked.append(LensAsked(case.code, lens, item.code if item else None, wish))
    return walk_lenses(asked, shelf)


def _in_order(lists: Mapping[str, OperatingList], cases: Iterable[Case]) -> list[Case]:
    """The cases that take place, by day, list and position."""
    here = [case for case in cases if not case.cancelled and case.list in lists]
    return sorted(here, key=lambda c: (lists[c.list].day, c.list, c.position, c.code))
