"""A sitting in theatre: one scan after the other; nothing is lost when the terminal dies."""

import sqlite3
from collections.abc import Callable, Iterator
from dataclasses import replace

from stockbook.domain.amounts import plural
from stockbook.domain.entries import Signature
from stockbook.domain.facts import Case, OperatingList
from stockbook.domain.own_codes import ACTS
from stockbook.domain.sitting import FOR_NEXT, Reply, Said, Sitting
from stockbook.errors import NeedsAnswer, Refused
from stockbook.jobs.finding import known_case, known_item, known_list
from stockbook.jobs.signing import check_person
from stockbook.jobs.theatre_acts import (
    Step,
    cancel_current,
    convert_current,
    current,
    finish_current,
    rescue_current,
    why_over,
)
from stockbook.jobs.theatre_scans import check_pack, pack_said, said, scanned_already
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import Posting, posting
from stockbook.ledger.sittings import find_sitting, keep_sitting


def sit_down(
    book: Book, signature: Signature, list_text: str, *, sure: bool = False
) -> tuple[OperatingList, Sitting]:
    """The list's sitting is this person's; one that somebody else left is asked about first."""
    with posting(book) as post:
        check_person(post.db, signature, "finish")
        the_list = known_list(post.db, list_text)
        found = find_sitting(post.db, the_list.code)
        questions = [*_of_day(the_list, signature), *_of_another(found, signature)]
        if questions and not sure:
            raise NeedsAnswer(" ".join(questions))
        before = found or Sitting(the_list.code, signature.by)
        sitting = replace(before, by=signature.by, seat=before.seat + 1)
        keep_sitting(post.db, sitting, signature.recorded_at)
        return the_list, sitting


def _of_day(the_list: OperatingList, signature: Signature) -> Iterator[str]:
    if the_list.day != signature.happened_on:
        yield (
            f"List {the_list.code} is planned for {the_list.day}. Is it really operated on "
            f"{signature.happened_on}?"
        )


def _of_another(found: Sitting | None, signature: Signature) -> Iterator[str]:
    if found is not None and found.by != signature.by:
        yield (
            f"{found.by} has a sitting on list {found.list} with "
            f"{plural(len(found.packs), 'scan')} not recorded. Take it over?"
        )


def take_scan(
    book: Book, signature: Signature, list_code: str, text: str, *, seat: int | None = None
) -> Reply:
    """One scan is understood and kept; where it ends a case, that is recorded with it.

    What is refused leaves book and sitting as they were. `seat` is the sitting's when this
    terminal sat down: another one that sat down since goes on instead.
    """
    with posting(book) as post:
        what = said(post.db, text, signature.today)
        if what.kind == "act" and what.word == "LEAVE":
            return Reply("Left.", left=True)
        sitting = _own_sitting(post.db, signature, list_code, seat)
        after, reply = _step(post, signature, sitting, what)
        if after != sitting:
            keep_sitting(post.db, after, signature.recorded_at)
        return reply


def _own_sitting(
    db: sqlite3.Connection, signature: Signature, list_code: str, seat: int | None
) -> Sitting:
    sitting = find_sitting(db, list_code)
    if sitting is None:
        raise Refused("this sitting is over. LEAVE, and sit down again.")
    if sitting.by != signature.by:
        raise Refused(f"this sitting is {sitting.by}'s now. LEAVE, and sit down again.")
    if seat is not None and sitting.seat != seat:
        raise Refused("this sitting goes on at another terminal. LEAVE, and sit down again.")
    return sitting


def _step(post: Posting, signature: Signature, sitting: Sitting, what: Said) -> Step:
    if what.kind == "case":
        return _case(post.db, sitting, known_case(post.db, what.word))
    if what.kind == "staff":
        return _staff(sitting, what.word)
    if what.kind == "pack":
        return _pack(post.db, signature, sitting, what)
    if what.kind == "kit":
        return convert_current(post, signature, sitting, what)
    if what.word == "CONVERT" and what.argument:
        kit = Said("kit", what.argument)
        return convert_current(post, signature, sitting.waiting_for("CONVERT"), kit)
    if what.word in FOR_NEXT:
        current(post.db, sitting)
        words = f"{what.word}: {ACTS[what.word].partition(': ')[2]}."
        return sitting.waiting_for(what.word), Reply(words)
    return _ACTS[what.word](post, signature, sitting, what)


def _case(db: sqlite3.Connection, sitting: Sitting, case: Case) -> Step:
    """The case of a strip is current: one of this list, not cancelled, not finished.

    One that somebody else ended is taken only while packs of it wait, so that they can be seen and
    dropped.
    """
    units = sitting.of_case(case.code)
    why = why_over(db, sitting, case)
    if why and not units:
        raise Refused(f"case {case.code} {why}. Not taken.")
    if why:
        packs = ", ".join(f"{u.item} {u.lot or ''}".strip() for u in units)
        words = f"!! case {case.code} {why}. UNDO drops what still waits: {packs}."
        return sitting.at(case.code), Reply(words)
    waiting = f"{plural(len(units), 'scan')} of it not recorded yet." if units else ""
    return sitting.at(case.code), Reply(waiting or "Scan packs, or NEXT.", case)


def _staff(sitting: Sitting, code: str) -> Step:
    if code != sitting.by:
        raise Refused(f"{sitting.by} sits here. LEAVE first, then {code} signs in.")
    return sitting, Reply(f"{code} is signed in.")


def _pack(db: sqlite3.Connection, signature: Signature, sitting: Sitting, what: Said) -> Step:
    """A pack of the current case: as presumed, instead of the presumed one, or besides the kit."""
    case = current(db, sitting)
    item = known_item(db, what.word)
    twice = scanned_already(case, sitting, what, item)
    if twice:
        return sitting, Reply(twice)
    quantity, words = check_pack(db, signature, case, sitting, what, item)
    after = sitting.with_pack(what.word, quantity, what.lot, what.expiry)
    return after, Reply(pack_said(item, after.packs[-1], words))


def _undo(post: Posting, _: Signature, sitting: Sitting, __: Said) -> Step:
    """Also of a case that somebody else ended: nothing of this is in the book."""
    after, pack = sitting.without_last()
    if pack is None:
        return after, Reply(f"{sitting.act} is taken back. ({sitting.case})")
    item = known_item(post.db, pack.unit.item)
    return after, Reply(f"{pack_said(item, pack, 'taken back')} ({sitting.case})")


_ACTS: dict[str, Callable[[Posting, Signature, Sitting, Said], Step]] = {
    "NEXT": finish_current,
    "CANCEL": cancel_current,
    "RESCUE": rescue_current,
    "UNDO": _undo,
}
