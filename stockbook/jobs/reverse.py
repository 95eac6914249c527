"""Reversing an entry: its movements mirrored in reverse order, its facts left to new changes."""

import sqlite3
from dataclasses import fields, replace

from stockbook.domain.entries import Draft, Entry, Movement, Recorded, Signature
from stockbook.domain.facts import Case, Fact
from stockbook.domain.reasons import REVERSAL, reason_from
from stockbook.domain.roles import COMMAND_OF_ENTRY
from stockbook.errors import InputError, Refused
from stockbook.jobs.claims_undone import KINDS as OF_CLAIMS
from stockbook.jobs.claims_undone import claims_before
from stockbook.jobs.invoice_undone import withdrawn_facts
from stockbook.jobs.signing import check_signers, request
from stockbook.ledger import history
from stockbook.ledger.balances import Balances
from stockbook.ledger.cases import last_of_case
from stockbook.ledger.facts import find, version_at
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import find_request, natural_key, posting
from stockbook.ledger.settings import last_entry


def reverse_entry(book: Book, signature: Signature, number: int, *, keep: bool = True) -> Recorded:
    """A new entry undoes the movements of entry `number`; refused when units are gone since."""
    reason_from(signature.reason, REVERSAL, "--reason")
    with posting(book, keep=keep) as post:
        entry = history.entry(post.db, number)
        if entry is None:
            last = last_entry(post.db)[0]
            raise InputError(f"entry {number} is not in this book; the last is {last}.")
        asked = request(natural_key(post.db, f"reverse/{number}"), [number])
        known = find_request(post.db, asked)
        if known is not None:
            return Recorded(known, already=True)
        _check(post.db, entry, signature)
        moves = _mirrored(post.db, entry)
        draft = Draft(
            "reversal", signature, asked,
            moves, _facts(post.db, entry), entry.document, reverses=number,
        )  # fmt: skip
        return post.post(draft)


def _check(db: sqlite3.Connection, entry: Entry, signature: Signature) -> None:
    if entry.reverses is not None:
        raise Refused(
            f"entry {entry.number} is itself a reversal (of entry {entry.reverses}) and is not "
            "reversed; record what really happened anew."
        )
    check_signers(db, signature, COMMAND_OF_ENTRY[entry.kind])
    if entry.kind == "write-down":
        raise Refused(
            f"entry {entry.number} is a write-down, which no reversal undoes: state the value of "
            f"{entry.document} anew with 'stockbook valuation write-down'."
        )
    _check_later(db, entry)
    if not entry.movement_count and entry.kind not in ("invoice", "delivery", *OF_CLAIMS):
        raise Refused(
            f"entry {entry.number} ({entry.kind}) moved nothing; "
            "facts are corrected by new changes."
        )


_STANDS_ON = {"issue": "convert", "cancel": "issue"}
"""What a later entry of a case rests on: a conversion on its issue, a new issue on its end."""


def _check_later(db: sqlite3.Connection, entry: Entry) -> None:
    """An issue is not undone under a conversion, nor a cancellation under a new issue."""
    kind = _STANDS_ON.get(entry.kind)
    later = last_of_case(db, entry.document or "", kind) if kind else 0
    if later > entry.number:
        raise Refused(
            f"entry {entry.number} cannot be reversed: case {entry.document} has the later "
            f"{kind} {later}. Reverse that first."
        )


def _mirrored(db: sqlite3.Connection, entry: Entry) -> list[Movement]:
    """Each movement back, last line first; what drains a row takes all the value left there."""
    balances = Balances(db)
    moves = []
    for move in reversed(history.movements_of(db, entry.number)):
        there = balances.at(move.to_place, move.lot, move.case)
        value = move.value
        if there is not None:
            if there[0] < move.quantity:
                raise _gone(db, entry, move, there[0])
            value = there[1] if there[0] == move.quantity else min(move.value, there[1])
        back = Movement(
            move.lot, move.quantity, value, move.to_place, move.from_place, move.case,
            move.reason, move.seen,
        )  # fmt: skip
        balances.apply(back)
        if back.quantity or back.value:
            moves.append(back)
    return moves


def _gone(db: sqlite3.Connection, entry: Entry, move: Movement, left: int) -> Refused:
    with_case = move.to_place.startswith(("trolley/", "used/", "waste/"))
    case = move.case if with_case else None
    later = history.later_entries(db, entry.number, move.lot, move.to_place, case)
    named = ", ".join(str(n) for n in later) or "later entries"
    return Refused(
        f"entry {entry.number} cannot be reversed: of lot {move.lot} it put {move.quantity} into "
        f"{move.to_place} and {left} are left there; taken since by entries {named}. "
        "Reverse those first, or record what happened as a new entry."
    )


def _facts(db: sqlite3.Connection, entry: Entry) -> list[Fact]:
    """The case as it is once the entry is undone: what the entry changed of it is as before.

    A case whose issue is undone lacks nothing any more.
    """
    if entry.kind == "invoice":
        return withdrawn_facts(db, entry)
    if entry.kind in OF_CLAIMS:
        return list(claims_before(db, entry))
    case = find(db, Case, entry.document) if entry.document else None
    if case is None:
        return []
    if entry.kind == "issue":
        return [replace(case, missing=())] if case.missing else []
    if entry.kind not in ("cancel", "convert", "correction"):
        return []
    became = version_at(db, Case, case.code, entry.number)
    was = version_at(db, Case, case.code, entry.number - 1)
    names = [f.name for f in fields(Case)] if became and was else []
    undone = {n: getattr(was, n) for n in names if getattr(was, n) != getattr(became, n)}
    return [replace(case, **undone)] if undone else []
