"""Operating lists: what is on them and where each case stands; moved as a whole, or taken anew."""

import sqlite3
from dataclasses import dataclass, replace

from stockbook.domain import texts
from stockbook.domain.case_changes import PLANNED
from stockbook.domain.days import day_typed
from stockbook.domain.entries import Draft, Signature
from stockbook.domain.facts import OperatingList
from stockbook.domain.importing import Alteration, alterations
from stockbook.domain.list_changes import ListView
from stockbook.domain.list_shares import LIST
from stockbook.errors import InputError
from stockbook.jobs.finding import known_list, known_place
from stockbook.jobs.list_take import check_list_may_move, take_list
from stockbook.jobs.reading_lists import PARTS
from stockbook.jobs.signing import check_person, fresh_request
from stockbook.ledger.cases import cases_of_list, state_of
from stockbook.ledger.facts import all_of
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import posting

__all__ = ["ListChange", "change_list", "coming_lists", "list_view", "take_list"]


@dataclass(frozen=True, slots=True)
class ListChange:
    """Where and when the whole list is held now; none stays as it is."""

    day: str | None = None
    theatre: str | None = None
    part: str | None = None


def change_list(
    book: Book, signature: Signature, code: str, asked: ListChange, *, keep: bool = True
) -> tuple[OperatingList, int | None, tuple[Alteration, ...]]:
    """The list is held as asked: the list, its entry (none: it was so already), what changed."""
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "list")
        was = known_list(post.db, code)
        if asked == ListChange():
            raise InputError(f"list {was.code}: give --day, --theatre or --part.")
        now = _changed(post.db, was, asked, signature.today)
        if now == was:
            return was, None, ()
        check_list_may_move(post.db, was, now)
        request = fresh_request(post.db, "list/change", [now.code, now.day, now.theatre, now.part])
        recorded = post.post(Draft("list", signature, request, (), [now], now.code))
        return now, recorded.number, tuple(alterations(was, now, 0))


def _changed(
    db: sqlite3.Connection, was: OperatingList, asked: ListChange, today: str
) -> OperatingList:
    day = day_typed(asked.day, today, "--day") if asked.day else was.day
    theatre = known_place(db, asked.theatre, ("theatre",)).code if asked.theatre else was.theatre
    part = texts.one_of(asked.part, PARTS, "--part") if asked.part else was.part
    return replace(was, day=day, theatre=theatre, part=part)


def list_view(book: Book, code: str) -> ListView:
    """One list with its cases in order."""
    with book.reading() as db:
        return _view(db, known_list(db, code))


def coming_lists(book: Book, day: str) -> list[ListView]:
    """The lists of a day and later, in order of time."""
    with book.reading() as db:
        coming = [one for one in all_of(db, OperatingList) if one.day >= day]
        coming.sort(key=lambda one: (one.day, PARTS.index(one.part), one.theatre, one.code))
        return [_view(db, one) for one in coming]


def _view(db: sqlite3.Connection, of: OperatingList) -> ListView:
    found = [(case, state_of(db, case)) for case in cases_of_list(db, of.code)]
    common = next((state for case, state in found if case.kind == LIST and state != PLANNED), "")
    return ListView(of, tuple(one for one in found if one[0].kind == "patient"), common)
