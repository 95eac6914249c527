"""Whether what is asked for a case is what was typed just before."""

import sqlite3

from stockbook.domain.entries import Request, Signature
from stockbook.ledger import history
from stockbook.ledger.cases import last_entry_of_case


def typed_again(
    db: sqlite3.Connection, signature: Signature, case: str, asked: Request, kind: str
) -> int | None:
    """The case's last entry, if it asked the very same: contents, person, day, reason and comment.

    The key `.../after/M` names that last entry, so it cannot be equal; what stands before it is.
    A second one that is really meant says so by a comment of its own.
    """
    last = history.entry(db, last_entry_of_case(db, case))
    if last is None or (last.kind, last.request_digest) != (kind, asked.digest):
        return None
    if last.request_key.rpartition("/")[0] != asked.key.rpartition("/")[0]:
        return None
    said = (signature.by, signature.happened_on, signature.reason, signature.comment)
    same = said == (last.by, last.happened_on, last.reason, last.comment)
    return last.number if same else None
