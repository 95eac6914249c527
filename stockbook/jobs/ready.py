"""Whether a list, or every list of a day, can be served as the shelves are now."""

import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from stockbook.domain.days import day_typed, days_after
from stockbook.domain.entries import Signature
from stockbook.domain.facts import Case, Item, Kit, OperatingList
from stockbook.domain.lenses import power_text
from stockbook.domain.list_shares import LIST
from stockbook.domain.picking import Draw, Shelf, ShelfRow, Wish
from stockbook.domain.places import trolley_place
from stockbook.domain.ready import Ready, ReadyCase, ToServe, lacks, walk
from stockbook.domain.ready_acts import Ground, with_acts
from stockbook.errors import InputError, NoMachine, Refused
from stockbook.jobs.coming_lists import in_time
from stockbook.jobs.finding import known_list
from stockbook.jobs.list_lines import open_list_case, waiting_lists
from stockbook.jobs.ordering import to_come
from stockbook.jobs.preparing import Prepared, Shared, prepare, shelf_labels
from stockbook.ledger.cases import case_rows, cases_of_list, kinds_recorded, recorded_of_cases
from stockbook.ledger.facts import all_of, find
from stockbook.ledger.opening import Book
from stockbook.ledger.settings import last_entry, setting
from stockbook.ledger.stock import items_by_code, lots_by_code, on_hand, places_of_kind

NO_MACHINE = "no machine for its kit"
"""What stands in a case's line where its kit follows a machine and none is in the theatre."""

GIVING = ("store", "theatre")
"""The kinds of place from which something may be fetched."""


def ready_lists(book: Book, asked: str, today: str) -> Ready:
    """The list of a code, or every list of a day in order of part of the day, served on a copy.

    Usable is judged as at the lists' day (today, where that has passed). Nothing is recorded.
    """
    with book.reading() as db:
        lists = lists_asked(db, asked, today)
        day = max(lists[0].day, today) if lists else _day(asked, today)
        waiting, items, left_out = _waiting(db, lists, day)
        ground = _ground(db, waiting, items)
        served = walk(waiting, Shelf(ground.rows), items)
        within = int(setting(db, "expiring_days"))
        number, checksum, *_ = last_entry(db)
        found = Ready(
            asked, day, tuple(lists), served, with_acts(ground, lacks(served)), items,
            expiring=_expiring(served, days_after(day, within)), expiring_days=within,
            left_out=tuple(left_out), other_lists=_others(db, lists), today=today,
            last_entry=number, checksum=checksum,
            procedures=tuple(dict.fromkeys(kit.procedure for kit in all_of(db, Kit))),
        )  # fmt: skip
        if found.lacks:
            found = replace(found, on_order=to_come(db))
        return _with_places(db, found)


def lists_asked(db: sqlite3.Connection, asked: str, today: str) -> list[OperatingList]:
    """The list of this code, else the lists of this day in the order in which they are served."""
    one = find(db, OperatingList, asked.strip().upper())
    if one is not None:
        return [one]
    try:
        day = _day(asked, today)
    except InputError:
        return [known_list(db, asked)]
    return sorted(all_of(db, OperatingList, day=day), key=in_time)


def _day(asked: str, today: str) -> str:
    return days_after(today, 1) if asked == "tomorrow" else day_typed(asked, today)


def _others(db: sqlite3.Connection, lists: Sequence[OperatingList]) -> tuple[str, ...]:
    """Lists of the same day that still wait for their kits and draw from the same stores."""
    codes = {one.code for one in lists}
    same_day = all_of(db, OperatingList, day=lists[0].day) if lists else []
    return tuple(
        one.code for one in same_day if one.code not in codes
        and any(not kinds_recorded(db, case.code) for case in _patients(db, one))
    )  # fmt: skip


def _patients(db: sqlite3.Connection, one: OperatingList) -> list[Case]:
    """The operations of a list that were not cancelled, in their order."""
    cases = cases_of_list(db, one.code)
    return [case for case in cases if case.kind == "patient" and not case.cancelled]


def _waiting(
    db: sqlite3.Connection, lists: Sequence[OperatingList], day: str
) -> tuple[tuple[ToServe, ...], dict[str, Item], list[str]]:
    """Every case that is still to be operated, with the items it needs; and who is left out."""
    signature, shared = Signature("", day, "", day), Shared(db)
    waiting: list[ToServe] = []
    items: dict[str, Item] = {}
    left_out = []
    for one in lists:
        left_out += [f"{c.code} (cancelled)" for c in cases_of_list(db, one.code) if c.cancelled]
        cases = _patients(db, one)
        kinds = recorded_of_cases(db, [*(case.code for case in cases), one.code])
        left_out += [f"{c.code} (finished)" for c in cases if "finish" in kinds[c.code]]
        cases = [case for case in cases if "finish" not in kinds[case.code]]
        for case in (*_in_common(db, one, cases), *cases):
            issued = "issue" in kinds[case.code]
            to_serve, known = _to_serve(db, signature, case, one, shared, issued=issued)
            waiting.append(to_serve)
            items |= known
    return tuple(waiting), items, left_out


def _in_common(db: sqlite3.Connection, one: OperatingList, cases: Sequence[Case]) -> list[Case]:
    """What the list of these cases uses in common, as a case: waiting, or on the trolley.

    A list of which a patient's case bears the code has it all the same; it says so in its line.
    """
    try:
        opened = open_list_case(db, one.code) if cases else None
        return [opened] if opened else waiting_lists(db, cases)
    except Refused:
        return [Case(one.code, one.code, 0, LIST)]


def _to_serve(
    db: sqlite3.Connection,
    signature: Signature,
    case: Case,
    one: OperatingList,
    shared: Shared,
    *,
    issued: bool,
) -> tuple[ToServe, Mapping[str, Item]]:
    """A case with its needs; of an issued one only what it did not get is still to be drawn."""
    prepared, unknown = _prepared(db, signature, case, shared)
    if prepared is None:
        nothing = Wish(signature.happened_on, (one.theatre,), case.category, case.sponsor)
        made, items = ToServe(case, one.theatre, nothing, unknown=unknown), {}
    else:
        drawn = tuple(need for need in prepared.needs if not need.standby)
        made = ToServe(case, one.theatre, prepared.wish, prepared.needs, drawn, unknown=unknown)
        items = dict(prepared.items)
    if not issued:
        return made, items
    rest = prepare(db, signature, case, (), kit=False, rest=True, shared=shared)
    staged = _staged(db, case)
    items |= {**rest.items, **items_by_code(db, {draw.lot.item for draw in staged})}
    unknown = unknown if unknown == NO_MACHINE else None
    made = replace(made, to_draw=rest.needs, issued=True, staged=staged, unknown=unknown)
    return made if prepared else replace(made, wish=rest.wish), items


def _prepared(
    db: sqlite3.Connection, signature: Signature, case: Case, shared: Shared
) -> tuple[Prepared | None, str | None]:
    """The case's kit as issuing would have it; without its lens, and why, when that is unknown."""
    if case.kind == LIST and (known := find(db, Case, case.code)) and known.kind != LIST:
        return None, "a patient's case bears the code of the list"
    try:
        return prepare(db, signature, case, case.needs, shared=shared), None
    except (InputError, Refused):
        pass
    try:
        without = prepare(db, signature, case, case.needs, lens=False, shared=shared)
    except NoMachine:
        return None, NO_MACHINE
    except Refused:
        kit = f"{case.procedure}/{case.category}"
        return None, f"no kit {kit}" if case.procedure and case.category else "no kit"
    except InputError as error:
        return None, error.message.removeprefix(f"case {case.code}: ").rstrip(".")
    if case.power is None or case.lens_model is None:
        return without, "power unknown" if case.power is None else "lens model unknown"
    return without, f"lens {case.lens_model} {power_text(case.power)} is no item of this book"


def _staged(db: sqlite3.Connection, case: Case) -> tuple[Draw, ...]:
    """What an issued case has on a trolley."""
    trolleys = trolley_place("")
    rows = [row for row in case_rows(db, case.code) if row.place.startswith(trolleys)]
    lots = lots_by_code(db, {row.lot for row in rows})
    return tuple(Draw(row.place, lots[row.lot], row.quantity, row.value) for row in rows)


def _ground(
    db: sqlite3.Connection, waiting: tuple[ToServe, ...], items: Mapping[str, Item]
) -> Ground:
    """All that lies on shelves of what the cases need (trolleys are somebody's)."""
    places = {p.code: p.kind for p in places_of_kind(db, *GIVING, "quarantine")}
    needed = {i for one in waiting for n in (*one.needs, *one.to_draw) for i in n.items}
    rows: Iterable[ShelfRow] = on_hand(db, items=needed, places=places, ordered=False)
    giving = {code for code, kind in places.items() if kind in GIVING}
    return Ground(waiting, tuple(rows), items, giving)


def _expiring(served: Sequence[ReadyCase], last: str) -> tuple[Draw, ...]:
    """One draw for each lot on the lists that expires by then, soonest first."""
    found = {d.lot.code: d for one in served for d in one.draws if d.lot.expires_on <= last}
    return tuple(sorted(found.values(), key=lambda d: (d.lot.expires_on, d.lot.item, d.lot.code)))


def _with_places(db: sqlite3.Connection, found: Ready) -> Ready:
    """The answer with the places one walks and the shelf labels of what is drawn there."""
    walked = dict.fromkeys(place for one in found.cases for place in one.waiting.wish.places)
    labels = shelf_labels(db, {(d.place, d.lot.item) for one in found.cases for d in one.draws})
    return replace(found, places=tuple(walked), labels=labels)
