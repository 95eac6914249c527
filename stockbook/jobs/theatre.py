"""A sitting in theatre: one scan after the other; nothing is lost when the terminal dies."""

import sqlite3
from collections.abc import Callable, Iterator
from dataclasses import replace

from stockbook.domain.amounts import quantity_text
from stockbook.domain.case_changes import CancelAsked, ConvertAsked
from stockbook.domain.entries import Signature
from stockbook.domain.facts import Case, OperatingList
from stockbook.domain.finishing import Scanned
from stockbook.domain.own_codes import ACTS
from stockbook.domain.sitting import FOR_NEXT, Reply, Said, Sitting
from stockbook.errors import InputError, NeedsAnswer, Refused
from stockbook.jobs.case_cancel import cancel
from stockbook.jobs.case_convert import convert
from stockbook.jobs.finding import known_case, known_item, known_list
from stockbook.jobs.finish import FinishAsked, finish_within
from stockbook.jobs.list_lines import open_list_case
from stockbook.jobs.preparing import is_served
from stockbook.jobs.rescue import rescue
from stockbook.jobs.signing import check_person
from stockbook.jobs.theatre_scans import check_pack, pack_said, said
from stockbook.ledger.cases import cases_of_list, kinds_recorded, recorded_of_cases
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import Posting, posting
from stockbook.ledger.sittings import find_sitting, keep_sitting

Step = tuple[Sitting, Reply]


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
        sitting = replace(found or Sitting(the_list.code, signature.by), by=signature.by)
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
            f"{found.by} has a sitting on list {found.list} with {len(found.packs)} scans not "
            "recorded. Take it over?"
        )


def take_scan(book: Book, signature: Signature, list_code: str, text: str) -> Reply:
    """One scan is understood and kept; where it ends a case, that is recorded with it.

    What is refused leaves book and sitting as they were.
    """
    with posting(book) as post:
        sitting = find_sitting(post.db, list_code)
        if sitting is None or sitting.by != signature.by:
            who = sitting.by if sitting else "nobody"
            raise Refused(f"this sitting is {who}'s now. Leave, and sit down again.")
        after, reply = _step(post, signature, sitting, said(post.db, text, signature.today))
        keep_sitting(post.db, after, signature.recorded_at)
        return reply


def _step(post: Posting, signature: Signature, sitting: Sitting, what: Said) -> Step:
    if what.kind == "case":
        return _case(post.db, sitting, known_case(post.db, what.word))
    if what.kind == "staff":
        return _staff(sitting, what.word)
    if what.kind == "pack":
        return _pack(post.db, signature, sitting, what)
    if what.kind == "kit":
        return _convert(post, signature, sitting, what.word)
    if what.word == "CONVERT" and what.argument:
        return _convert(post, signature, sitting.waiting_for("CONVERT"), what.argument)
    if what.word in FOR_NEXT:
        _current(post.db, sitting)
        words = f"{what.word}: {ACTS[what.word].partition(': ')[2]}."
        return sitting.waiting_for(what.word), Reply(words)
    return _ACTS[what.word](post, signature, sitting, what)


def _case(db: sqlite3.Connection, sitting: Sitting, case: Case) -> Step:
    """The case of a strip is current: one of this list, not cancelled, not finished."""
    if case.list != sitting.list:
        raise Refused(f"case {case.code} is of list {case.list}, not of {sitting.list}. Not taken.")
    if case.cancelled:
        raise Refused(f"case {case.code} is cancelled. Not taken.")
    number = kinds_recorded(db, case.code).get("finish")
    if number:
        raise Refused(f"case {case.code} is finished (entry {number}). Not taken.")
    waiting = len(sitting.of_case(case.code))
    words = f"{waiting} scans of it wait to be recorded." if waiting else "Scan packs, or NEXT."
    return sitting.at(case.code), Reply(words, case)


def _staff(sitting: Sitting, code: str) -> Step:
    if code != sitting.by:
        raise Refused(f"{sitting.by} sits here. Leave first, then {code} signs in.")
    return sitting, Reply(f"{code} is signed in.")


def _current(db: sqlite3.Connection, sitting: Sitting) -> Case:
    if sitting.case is None:
        raise InputError("no case is current. Scan its strip first.")
    return known_case(db, sitting.case)


def _pack(db: sqlite3.Connection, signature: Signature, sitting: Sitting, what: Said) -> Step:
    """A pack of the current case: as presumed, instead of the presumed one, or besides the kit."""
    case = _current(db, sitting)
    quantity, words = check_pack(db, signature, case, sitting, what)
    after = sitting.with_pack(what.word, quantity, what.lot, what.expiry)
    return after, Reply(pack_said(db, after.packs[-1], words))


def _next(post: Posting, signature: Signature, sitting: Sitting, _: Said) -> Step:
    """The current case is finished: what was not scanned was used as issued.

    With the last case of the list ends what the list used in common.
    """
    case = _current(post.db, sitting)
    if sitting.act is not None:
        raise InputError(f"{sitting.act} waits for what it is about. Scan that, or UNDO.")
    asked = FinishAsked(scanned=sitting.of_case(case.code), early=True)
    done = [finish_within(post, signature, case, asked)]
    own = open_list_case(post.db, sitting.list)
    if own is not None and not _waiting(post.db, sitting.list):
        done.append(finish_within(post, signature, own, FinishAsked(early=True)))
    words = [f"{one.case.code} finished, entry {one.entry}." for one in done]
    warnings = [words for one in done for words in one.warnings]
    return sitting.recorded(case.code), Reply(" ".join([*words, *warnings]))


def _waiting(db: sqlite3.Connection, code: str) -> list[str]:
    """Cases of the list that are not finished yet."""
    cases = [case.code for case in cases_of_list(db, code) if is_served(case)]
    return [case for case, kinds in recorded_of_cases(db, cases).items() if "finish" not in kinds]


def _cancel(post: Posting, signature: Signature, sitting: Sitting, _: Said) -> Step:
    """The current case is cancelled: packs that were scanned are waste, the rest goes back."""
    case = _current(post.db, sitting)
    units = sitting.of_case(case.code)
    opened = [unit for unit in units if unit.what != "returned"]
    wasted = tuple(
        (unit.item, _typed(post.db, unit), "cancelled" if unit.what == "used" else unit.what)
        for unit in opened
    )
    done = cancel(post, replace(signature, reason=None), case, CancelAsked(wasted))
    words = f"{case.code} cancelled, entry {done.entry}; {plural_packs(len(opened))} wasted."
    return sitting.recorded(case.code), Reply(words)


def _typed(db: sqlite3.Connection, unit: Scanned) -> str:
    return quantity_text(unit.quantity, known_item(db, unit.item).unit_places)


def _convert(post: Posting, signature: Signature, sitting: Sitting, procedure: str) -> Step:
    """The current case is another procedure; what its kit needs besides lies on the trolley."""
    case = _current(post.db, sitting)
    if sitting.act != "CONVERT":
        raise InputError(f"{procedure}: scan CONVERT before the kit of another procedure.")
    done = convert(post, replace(signature, reason=None), case, ConvertAsked(procedure))
    words = [f"{case.code} is {done.case.procedure} now, entry {done.entry}.", *done.warnings]
    return sitting.at(case.code), Reply(" ".join(words), done.case)


def _rescue(post: Posting, signature: Signature, sitting: Sitting, what: Said) -> Step:
    """The rescue kit lies on the current case's trolley; why is said later."""
    case = _current(post.db, sitting)
    done = rescue(post, replace(signature, reason=None), case, what.argument)
    short = [f"{row.item} short by {row.short}." for row in done.missing]
    words = f"Rescue kit of {case.code}, entry {done.entry}: return what stays unopened."
    return sitting, Reply(" ".join([words, *short]))


def plural_packs(count: int) -> str:
    """How many packs, in words."""
    return f"{count} pack" + ("" if count == 1 else "s")


def _undo(post: Posting, _: Signature, sitting: Sitting, __: Said) -> Step:
    case = _current(post.db, sitting)
    after, pack = sitting.without_last()
    what = pack_said(post.db, pack, "taken back") if pack else f"{sitting.act} is taken back."
    return after, Reply(f"{what} ({case.code})")


def _leave(_: Posting, __: Signature, sitting: Sitting, ___: Said) -> Step:
    return sitting, Reply("Left.", left=True)


_ACTS: dict[str, Callable[[Posting, Signature, Sitting, Said], Step]] = {
    "NEXT": _next,
    "CANCEL": _cancel,
    "RESCUE": _rescue,
    "UNDO": _undo,
    "LEAVE": _leave,
}
