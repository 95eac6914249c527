"""What a list uses in common: the lines *per list* of its kits, on a case of its own."""

import sqlite3
from collections.abc import Iterable
from dataclasses import replace

from stockbook.domain.facts import Case
from stockbook.domain.kits import once_for_all
from stockbook.domain.list_shares import LIST
from stockbook.errors import Refused
from stockbook.jobs.kits_in_force import whole_kit
from stockbook.ledger.cases import cases_of_list, kinds_recorded
from stockbook.ledger.facts import find
from stockbook.ledger.kits import has_list_lines


def own_case(db: sqlite3.Connection, code: str) -> Case:
    """The list's own case, as it is or as it would be: it bears the list's code, no category."""
    known = find(db, Case, code)
    if known is not None and known.kind != LIST:
        raise Refused(
            f"list {code}: a patient's case bears the same code, so the list's common use has "
            "none. Import one of them under another code."
        )
    return replace(known, cancelled=False) if known else Case(code, code, 0, LIST)


def waiting_lists(db: sqlite3.Connection, cases: Iterable[Case]) -> list[Case]:
    """The own cases of these cases' lists that have lines per list and were not issued yet."""
    codes = dict.fromkeys(case.list for case in cases if case.kind == "patient")
    if not codes or not has_list_lines(db):
        return []
    waiting = [code for code in codes if "issue" not in kinds_recorded(db, code)]
    return [own_case(db, code) for code in waiting if lines_of_list(db, code)]


def lines_of_list(db: sqlite3.Connection, code: str) -> list[tuple[tuple[str, ...], int]]:
    """What is used once for the list: of each item the most that a kit of its cases says."""
    lines = []
    for case in cases_of_list(db, code):
        if case.kind != "patient" or case.cancelled:
            continue
        try:
            lines += [line for line, _ in whole_kit(db, case)]
        except Refused:
            continue  # a case without a kit is refused by its own issue
    return once_for_all(lines)


def common_left_over(db: sqlite3.Connection, code: str) -> list[str]:
    """What to do when common use lies on a trolley and every case of the list is cancelled."""
    cases = [case for case in cases_of_list(db, code) if case.kind == "patient"]
    if open_list_case(db, code) is None or not all(case.cancelled for case in cases):
        return []
    return [
        f"what list {code} uses in common is still on the trolley. Bring it back with "
        f"'case cancel {code}' (--wasted ITEM QTY REASON what was opened), or 'finish {code}'."
    ]


def open_list_case(db: sqlite3.Connection, code: str) -> Case | None:
    """The list's own case, if something of it was issued and it is not finished."""
    case = find(db, Case, code)
    if case is None or case.kind != LIST:
        return None
    recorded = kinds_recorded(db, code)
    return case if "issue" in recorded and "finish" not in recorded else None
