"""The one way into the book: `post()` chains an entry with its movements and changes."""

import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from stockbook.domain.entries import (
    HEAD,
    ChangeRow,
    Draft,
    Movement,
    Recorded,
    Request,
    change_row,
    checksum,
    entry_text,
    movement_row,
)
from stockbook.domain.facts import Fact
from stockbook.domain.places import NEEDS_CASE, is_allowed
from stockbook.errors import BookDamaged, Refused
from stockbook.ledger.facts import project
from stockbook.ledger.opening import Book

_MOVEMENT = "INSERT INTO movement VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"
_CHANGE = "INSERT INTO change VALUES (?, ?, ?, ?, ?)"
_ENTRY = f"""INSERT INTO entry ({", ".join(HEAD)}, movement_count, change_count, previous, checksum)
VALUES ({", ".join("?" * (len(HEAD) + 4))})"""

_TRIGGER_WORDS = {
    "not on hand": "the units are not there (any more)",
    "CHECK constraint failed": "more would leave than is there, or value would stay without units",
    "period closed": "that day is closed",
    "place unknown or closed": "a place is unknown or closed",
}


class Posting:
    """An open transaction that records entries; made by `posting(book)`."""

    def __init__(self, db: sqlite3.Connection) -> None:
        """Keep the connection whose transaction is open."""
        self.db = db

    def post(self, draft: Draft) -> Recorded:
        """The draft is an entry, or was one already under the same request."""
        known = find_request(self.db, draft.request)
        if known is not None:
            return Recorded(known, already=True)
        try:
            return Recorded(self._record(draft))
        except sqlite3.IntegrityError as error:
            raise _refused(error) from error

    def _record(self, draft: Draft) -> int:
        db = self.db
        number, previous = _last(db)
        number += 1
        changes = [change_row(fact) for fact in draft.facts]
        _insert_changes(db, number, changes, draft.facts)
        movements = [movement_row(move) for move in draft.movements]
        if draft.reverses is None:
            check_flows(db, draft.movements)
        db.executemany(
            _MOVEMENT, [(number, line, *row) for line, row in enumerate(movements, start=1)]
        )
        head = _head(db, number, draft)
        text = entry_text(head, movements, changes)
        counts = (len(movements), len(changes))
        db.execute(_ENTRY, (*head, *counts, previous, checksum(previous, text)))
        return number


@contextmanager
def posting(book: Book, *, keep: bool = True) -> Iterator[Posting]:
    """One transaction for one or several entries; with `keep` false nothing stays."""
    with book.writing(keep=keep) as db:
        yield Posting(db)


def _last(db: sqlite3.Connection) -> tuple[int, str]:
    row = db.execute("SELECT number, checksum FROM entry ORDER BY number DESC LIMIT 1").fetchone()
    if row is None:
        return 0, str(db.execute("SELECT id FROM book").fetchone()[0])
    return int(row[0]), str(row[1])


def _insert_changes(
    db: sqlite3.Connection, number: int, rows: Sequence[ChangeRow], facts: Sequence[Fact]
) -> None:
    db.executemany(_CHANGE, [(number, line, *row) for line, row in enumerate(rows, start=1)])
    for fact in facts:
        project(db, fact)


def _head(db: sqlite3.Connection, number: int, draft: Draft) -> tuple[int | str | None, ...]:
    sign = draft.signature
    return (
        number, draft.kind, sign.happened_on, sign.happened_at,
        first_open_day(db, sign.happened_on), sign.recorded_at, sign.by, sign.checked_by,
        draft.reason or sign.reason, sign.comment, draft.document,
        draft.request.key, draft.request.digest, draft.reverses,
    )  # fmt: skip


def first_open_day(db: sqlite3.Connection, day: str) -> str:
    """The day itself, or the first day after the last closed period."""
    row = db.execute(
        "SELECT date(MAX(last_day), '+1 days') FROM period WHERE closed = 1 AND last_day >= ?",
        (day,),
    ).fetchone()
    return day if row[0] is None else str(row[0])


def check_flows(db: sqlite3.Connection, movements: Sequence[Movement]) -> None:
    """Every movement goes between kinds of place that may exchange units or value."""
    kinds: dict[str, str] = {}
    for move in movements:
        for place in (move.from_place, move.to_place):
            if place not in kinds:
                kinds[place] = _kind_of_place(db, place, is_target=place == move.to_place)
        check_flow(kinds[move.from_place], kinds[move.to_place], move)


def check_flow(from_kind: str, to_kind: str, move: Movement) -> None:
    """One movement is allowed between its kinds of place and names its case where it must."""
    if not is_allowed(from_kind, to_kind, move.quantity):
        raise Refused(
            f"From {move.from_place} to {move.to_place}: nothing moves from {from_kind} to "
            f"{to_kind}. Choose another place."
        )
    if move.case is None and (from_kind in NEEDS_CASE or to_kind in NEEDS_CASE):
        raise Refused(f"From {move.from_place} to {move.to_place}: the trolley needs a case.")


def _kind_of_place(db: sqlite3.Connection, code: str, *, is_target: bool) -> str:
    """A known place's kind; into a closed one nothing moves (the trigger says so too)."""
    row = db.execute("SELECT kind, closed FROM place WHERE code = ?", (code,)).fetchone()
    if row is None:
        raise Refused(f"There is no place {code} in this book.")
    if row[1] and is_target:
        raise Refused(f"The place {code} is closed. Choose another.")
    return str(row[0])


def same_request(db: sqlite3.Connection, request: Request) -> int | None:
    """The entry recorded under this key with this very digest, or none."""
    row = db.execute(
        "SELECT number FROM entry WHERE request_key = ? AND request_digest = ?",
        (request.key, request.digest),
    ).fetchone()
    return int(row[0]) if row else None


def recorded_under(db: sqlite3.Connection, key: str) -> int | None:
    """The entry recorded under a key, whatever was asked with it, or none."""
    row = db.execute("SELECT number FROM entry WHERE request_key = ?", (key,)).fetchone()
    return int(row[0]) if row else None


def find_request(db: sqlite3.Connection, request: Request) -> int | None:
    """The entry already recorded under this key; another digest is refused with both shown."""
    row = db.execute(
        "SELECT number, request_digest, recorded_at, by FROM entry WHERE request_key = ?",
        (request.key,),
    ).fetchone()
    if row is None:
        return None
    if row[1] != request.digest:
        raise Refused(
            f"{request.key} was recorded as entry {row[0]} by {row[3]} at {row[2]}, with other "
            f"contents (digest {row[1][:12]} then, {request.digest[:12]} now). Nothing was "
            f"recorded. Look with 'stockbook entries {row[0]}'; reverse that entry to record anew."
        )
    return int(row[0])


def natural_key(db: sqlite3.Connection, base: str, undone: int = 0) -> str:
    """The document's key with the number of times it was reversed (rule 8).

    `undone` is how often it was undone otherwise: a case that was cancelled begins anew.
    """
    rows = db.execute(
        "SELECT request_key FROM entry AS undone WHERE request_key >= ? AND request_key < ? "
        "AND EXISTS (SELECT 1 FROM entry WHERE reverses = undone.number)",
        (f"{base}/", f"{base}0"),
    ).fetchall()
    return f"{base}/{undone + sum(key[len(base) + 1 :].isdigit() for (key,) in rows)}"


def _refused(error: sqlite3.IntegrityError) -> Refused | BookDamaged:
    text = str(error)
    for words, meaning in _TRIGGER_WORDS.items():
        if words in text:
            return Refused(f"Nothing was recorded: {meaning}. Look again and repeat.")
    return BookDamaged(f"The book refused the entry: {text}. Run 'stockbook book verify'.")
