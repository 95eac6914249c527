"""The lists to come, and what their cases need: the kits, the lens of each case among them."""

import sqlite3
from collections.abc import Collection, Sequence

from stockbook.domain.facts import Case, OperatingList, Place
from stockbook.domain.kits import Need, needs_of, wants_lens
from stockbook.domain.levels import ListNeeds, needed
from stockbook.errors import InputError, NoMachine, Refused
from stockbook.jobs.list_lines import lines_of_list, waiting_lists
from stockbook.jobs.preparing import is_served, kit_of, lens_of
from stockbook.ledger.cases import cases_of_list, kinds_recorded
from stockbook.ledger.facts import all_of
from stockbook.ledger.stock import items_by_code

_PARTS = ("morning", "day", "afternoon", "evening")
"""Parts of the day in the order in which their lists are served."""


def lists_to_serve(db: sqlite3.Connection, day: str, place: Place, count: int) -> list[ListNeeds]:
    """The next lists of a theatre (of a store: of all theatres) with a case not yet issued."""
    if not count:
        return []
    wanted = {"theatre": place.code} if place.kind == "theatre" else {}
    coming = [one for one in all_of(db, OperatingList, **wanted) if one.day >= day]
    found: list[ListNeeds] = []
    for one in sorted(coming, key=in_time):
        waiting = [c for c in cases_of_list(db, one.code) if is_served(c)]
        waiting = [c for c in waiting if not kinds_recorded(db, c.code)]
        if waiting:
            found.append(_needs(db, one, waiting))
        if len(found) == count:
            break
    return found


def in_time(one: OperatingList) -> tuple[str, int, str]:
    """What lists are sorted by: day, part of the day, code."""
    part = _PARTS.index(one.part) if one.part in _PARTS else len(_PARTS)
    return one.day, part, one.code


def _needs(db: sqlite3.Connection, one: OperatingList, cases: Sequence[Case]) -> ListNeeds:
    needs = [tuple(_needs_in_common(db, one, cases))]
    left_out = []
    for case in cases:
        found = _needs_of_case(db, case)
        if isinstance(found, str):
            left_out.append(f"{case.code} ({found})")
        else:
            needs.append(tuple(found))
    return ListNeeds(one.code, tuple(needs), tuple(left_out))


def _needs_in_common(
    db: sqlite3.Connection, one: OperatingList, cases: Sequence[Case]
) -> list[Need]:
    """What the list itself still needs: its lines *per list*, until they are issued."""
    waiting = waiting_lists(db, cases)
    return [Need(items, q) for items, q in lines_of_list(db, one.code)] if waiting else []


def _needs_of_case(db: sqlite3.Connection, case: Case) -> list[Need] | str:
    """A case's needs, its lens among them; or why they are not known."""
    try:
        kit = kit_of(db, case)
    except NoMachine:
        return "no machine for its kit"
    except Refused:
        return "no kit"
    if not wants_lens(kit.lines):
        return needs_of(kit.lines, case.needs, "")
    try:
        lens = lens_of(db, case).code
    except Refused:
        return "no lens power"
    except InputError:
        return "its lens is no item of this book"
    return needs_of(kit.lines, case.needs, lens)


def lenses_without_level(
    db: sqlite3.Connection, lists: Sequence[ListNeeds], levelled: Collection[str]
) -> tuple[str, ...]:
    """Lenses that the lists need and for which the place has no level."""
    wanted = needed((needs for one in lists for needs in one.cases), levelled)
    items = items_by_code(db, [code for code in wanted if code not in levelled])
    return tuple(code for code, item in sorted(items.items()) if item.lens_model)
