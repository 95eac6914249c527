"""Taking a new list: compared with the book, shown with what follows, recorded in one entry."""

import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import replace

from stockbook.domain import texts
from stockbook.domain.case_changes import FINISHED, ISSUED
from stockbook.domain.entries import Draft, Signature
from stockbook.domain.facts import Case, Fact, OperatingList
from stockbook.domain.importing import Alteration, alterations
from stockbook.domain.list_changes import (
    Kept,
    ListChanges,
    Scheduled,
    Taken,
    cases_after,
    compare,
)
from stockbook.domain.list_shares import LIST
from stockbook.domain.rows import Faults, Sheet
from stockbook.errors import Refused
from stockbook.jobs.column_maps import ColumnMap
from stockbook.jobs.import_ import check_sheet, new_setting, with_points
from stockbook.jobs.import_kinds import KINDS
from stockbook.jobs.list_lenses import lens_consequences
from stockbook.jobs.plan_checks import check_kit
from stockbook.jobs.reading import Reading
from stockbook.jobs.reading_lists import read_plan
from stockbook.jobs.signing import check_person, fresh_request
from stockbook.ledger.cases import cases_of_list, kind_of_last_change, kinds_recorded, state_of
from stockbook.ledger.facts import find
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import Posting, posting


def take_list(
    book: Book, signature: Signature, sheet: Sheet, *, own_names: ColumnMap | None = None,
    agreed: ListChanges | None = None, sure: bool = False, keep: bool = True,
) -> Taken:  # fmt: skip
    """The book's lists are as in the file, in one entry; cases gone from them are cancelled.

    The answer is `waiting` and nothing is recorded until the call says `sure` or brings the very
    changes that were `agreed`.
    """
    check_sheet(sheet, KINDS["lists"])
    sheet, _ = with_points(sheet)
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "list")
        reading = Reading(post.db, sheet, Faults(sheet), signature)
        read_plan(reading, check_kit)
        reading.faults.check()
        setting = new_setting(post.db, own_names)
        return _taken(post, reading, setting, agreed, sure=sure or not keep)


def _taken(
    post: Posting, reading: Reading, setting: Sequence[Fact], agreed: ListChanges | None, *,
    sure: bool,
) -> Taken:  # fmt: skip
    db = post.db
    lists = {f.code: f for f in reading.facts if isinstance(f, OperatingList)}
    cases = [fact for fact in reading.facts if isinstance(fact, Case)]
    book = _in_book(db, lists, cases)
    altered = _lists_altered(db, lists)
    file, kept = _in_file(db, lists, cases, book)
    changes = compare(book, file, altered)
    answer = Taken(
        reading.sheet.name, len(cases), None, changes, tuple(kept), unread=reading.sheet.unread
    )
    facts = [*_new_facts(db, lists, book, file), *setting]
    if not facts:
        return answer
    after = cases_after(book, file)
    answer = replace(answer, consequences=lens_consequences(db, lists, book, after))
    if not changes.none and not sure and agreed != changes:
        return replace(answer, waiting=True)
    rows = [[*row.values.values()] for row in reading.sheet.rows]
    request = fresh_request(db, "list/take", rows)
    document = texts.clean_text(reading.sheet.name, "file name")
    recorded = post.post(Draft("list", reading.signature, request, (), facts, document))
    return replace(answer, entry=recorded.number)


def _in_book(
    db: sqlite3.Connection, lists: Mapping[str, OperatingList], cases: Sequence[Case]
) -> dict[str, Scheduled]:
    """The book's cases of the file's lists, and those of the file wherever they are."""
    found = [case for code in lists for case in cases_of_list(db, code) if case.kind == "patient"]
    known = [find(db, Case, case.code) for case in cases]
    here = {case.code: case for case in (*found, *(case for case in known if case))}
    of = {code: find(db, OperatingList, code) for code in {case.list for case in here.values()}}
    return {
        case.code: Scheduled(case, one.day if one else "", one.theatre if one else "")
        for case in here.values()
        for one in (of[case.list],)
    }


def _lists_altered(db: sqlite3.Connection, lists: Mapping[str, OperatingList]) -> list[Alteration]:
    """Fields of known lists that the file has otherwise; refused where a kit waits there."""
    found = []
    for code, now in lists.items():
        was = find(db, OperatingList, code)
        if was is not None and was != now:
            check_list_may_move(db, was, now)
            found += alterations(was, now, 0)
    return found


def check_list_may_move(db: sqlite3.Connection, was: OperatingList, now: OperatingList) -> None:
    """A list does not leave a theatre where its kits wait, nor the day of what is finished."""
    states = {
        "its common use" if case.kind == LIST else case.code: state_of(db, case)
        for case in cases_of_list(db, was.code)
    }
    staged = [code for code, state in states.items() if state == ISSUED]
    done = [code for code, state in states.items() if state == FINISHED]
    if staged and was.theatre != now.theatre:
        raise Refused(
            f"list {was.code}: kits lie on the trolley of {was.theatre} ({', '.join(staged)}). "
            "Bring them back first with 'case cancel' (common use under the list's code), or "
            "finish them."
        )
    if done and (was.day, was.theatre) != (now.day, now.theatre):
        raise Refused(
            f"list {was.code}: finished in {was.theatre} on {was.day}: {', '.join(done)}. "
            "Move the other cases to another list: 'case change CASE --list LIST'."
        )


def _in_file(
    db: sqlite3.Connection, lists: Mapping[str, OperatingList], cases: Sequence[Case],
    book: Mapping[str, Scheduled],
) -> tuple[dict[str, Scheduled], list[Kept]]:  # fmt: skip
    """The cases as they will be: what was issued keeps its plan, and is told."""
    file: dict[str, Scheduled] = {}
    kept: list[Kept] = []
    for case in cases:
        was = book.get(case.code)
        now, why = _may_become(db, was.case, case) if was else (case, "")
        of = lists.get(now.list) or find(db, OperatingList, now.list)
        file[case.code] = Scheduled(now, of.day if of else "", of.theatre if of else "")
        kept += [Kept(case.code, why)] if why else []
    for code, was in book.items():
        why = _why_kept(db, was.case) if code not in file and not was.case.cancelled else ""
        if why:
            file[code] = was
            kept.append(Kept(code, f"not in the file; {why}"))
    return file, kept


def _may_become(db: sqlite3.Connection, was: Case, now: Case) -> tuple[Case, str]:
    """The case as the file may make it, and why it stays where it may not."""
    if was.cancelled:
        if kind_of_last_change(db, Case, was.code) == "list":
            return replace(now, cancelled=False), ""
        return was, f"cancelled here; 'case change {was.code} --again' takes it back"
    why = _why_kept(db, was)
    free = replace(was, position=now.position, minutes=now.minutes)
    if why and free != now:
        return free, f"altered in the file; {why}"
    return now, ""


def _why_kept(db: sqlite3.Connection, case: Case) -> str:
    """What stands in the way of another plan, and what to do; empty where nothing was issued."""
    recorded = kinds_recorded(db, case.code)
    if "finish" in recorded:
        return f"finished (entry {recorded['finish']}); correct it with 'case change'"
    if "issue" in recorded:
        return (
            f"its kit is on the trolley (entry {recorded['issue']}): case cancel, case convert "
            "or case change"
        )
    return ""


def _new_facts(
    db: sqlite3.Connection, lists: Mapping[str, OperatingList], book: Mapping[str, Scheduled],
    file: Mapping[str, Scheduled],
) -> list[Fact]:  # fmt: skip
    """The lists and cases that are not yet so in the book."""
    after = cases_after(book, file)
    changed = [case for code, case in after.items() if code not in book or book[code].case != case]
    new = [one for code, one in lists.items() if find(db, OperatingList, code) != one]
    return [*new, *changed]
