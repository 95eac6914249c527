"""What becomes of the cases of a claim when an entry about it is reversed."""

import sqlite3
from dataclasses import replace

from stockbook.domain.claims import DECLINED, WITHDRAWN
from stockbook.domain.entries import Entry
from stockbook.domain.finance_facts import ClaimedCase
from stockbook.errors import Refused
from stockbook.ledger.claims import claims_of_cases
from stockbook.ledger.facts import find, version_at
from stockbook.ledger.history import changes_of

KINDS = ("claim", "reimbursed", "declined")
"""The kinds of entry that claims are made of."""


def claims_before(db: sqlite3.Connection, entry: Entry) -> list[ClaimedCase]:
    """Each case of the entry as it was before it; withdrawn where the entry sent it."""
    codes = [code for kind, code, _ in changes_of(db, entry.number) if kind == "claimed case"]
    return [_before(db, entry, code) for code in codes]


def _before(db: sqlite3.Connection, entry: Entry, code: str) -> ClaimedCase:
    now = find(db, ClaimedCase, code)
    if now is None or now != version_at(db, ClaimedCase, code, entry.number):
        raise Refused(
            f"entry {entry.number} cannot be reversed: {code} was reimbursed or declined by a "
            "later entry. Reverse that first; look with 'stockbook entries'."
        )
    others = [one for one in claims_of_cases(db, [now.case_code]).get(now.case_code, ())
              if one.code != code and one.state != DECLINED]  # fmt: skip
    if entry.kind == "declined" and others:
        raise Refused(
            f"entry {entry.number} cannot be reversed: case {now.case_code} is {others[0].state} "
            f"in document {others[0].document} since. Reverse that first."
        )
    was = version_at(db, ClaimedCase, code, entry.number - 1)
    return was if was is not None and entry.kind != "claim" else replace(now, state=WITHDRAWN)
