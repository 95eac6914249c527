"""Which cases share what their list used in common; what services used."""

import sqlite3
from collections.abc import Collection, Iterable

from stockbook.domain.costs import PeriodLine
from stockbook.domain.facts import Case
from stockbook.domain.list_shares import LIST, SERVICE, ListShare, Part, parts_of, shared
from stockbook.domain.places import COMMON
from stockbook.ledger.cases import case_by, case_rows, cases_that_used, used_by
from stockbook.ledger.facts import all_of, find
from stockbook.ledger.settings import setting


def share_of_case(db: sqlite3.Connection, case: Case) -> ListShare | None:
    """A case's part of what its list used in common; none where the list used nothing."""
    own = find(db, Case, case.list)
    if own is None or own.kind != LIST or case.kind != "patient":
        return None
    rows = case_rows(db, own.code)
    whole = sum(row.value for row in rows if row.place.startswith(("used/", "waste/")))
    sharing = [code for code, _ in _sharing(db, {own.code})[own.code]]
    if not whole or case.code not in sharing:
        return None
    part = shared(whole, sharing)[case.code]
    return ListShare(own.code, setting(db, "list_share"), whole, len(sharing), part)


def parts_of_period(
    db: sqlite3.Connection, lines: Iterable[PeriodLine], last_day: str
) -> list[Part]:
    """Every case's part of what its list used in common and was booked in a period.

    Who shares and in which category is read as it was booked by the period's last day, so that a
    case corrected or used later never alters what an earlier page said.
    """
    common = {line.case for line in lines if line.category == COMMON and line.case}
    own = {case.code for case in all_of(db, Case, code=common, kind=LIST)} if common else set()
    if not own:
        return []
    wholes = dict.fromkeys(sorted(own), 0)
    for line in lines:
        if line.case in own:
            wholes[str(line.case)] += line.value
    return parts_of(wholes, _shared_by(db, own, last_day))


def used_by_services(db: sqlite3.Connection, lines: Iterable[PeriodLine]) -> dict[str, int]:
    """What each service used in common and was booked in a period."""
    common = [line for line in lines if line.category == COMMON and line.case and not line.wasted]
    codes = {line.case for line in common}
    words = {c.code: c.list for c in all_of(db, Case, code=codes, kind=SERVICE)} if codes else {}
    sums: dict[str, int] = {}
    for line in common:
        word = words.get(str(line.case))
        if word:
            sums[word] = sums.get(word, 0) + line.value
    return sums


def _shared_by(
    db: sqlite3.Connection, lists: Collection[str], day: str
) -> dict[str, list[tuple[str, str]]]:
    """The same as it was booked by a day."""
    cases = all_of(db, Case, list=sorted(lists), kind="patient")
    used = used_by(db, [case.code for case in cases], day)
    found: dict[str, list[tuple[str, str]]] = {code: [] for code in lists}
    for case in sorted(cases, key=lambda c: (c.position, c.code)):
        then = case_by(db, case.code, day) if case.code in used else None
        if then is not None:
            found[case.list].append((case.code, str(then.category)))
    return found


def _sharing(db: sqlite3.Connection, lists: Collection[str]) -> dict[str, list[tuple[str, str]]]:
    """The cases of lists that used anything, in their order, with their categories."""
    cases = all_of(db, Case, list=sorted(lists), kind="patient")
    used = cases_that_used(db, {case.code for case in cases})
    found: dict[str, list[tuple[str, str]]] = {code: [] for code in lists}
    for case in sorted(cases, key=lambda c: (c.position, c.code)):
        if case.code in used:
            found[case.list].append((case.code, str(case.category)))
    return found
