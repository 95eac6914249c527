"""Sending units back to who delivered them, under the supplier's note, with a reason."""

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass, replace

from stockbook.domain import texts
from stockbook.domain.entries import Draft, Movement, Request, Signature, digest_of
from stockbook.domain.picking import Draw
from stockbook.domain.places import SENT_BACK
from stockbook.domain.reasons import SEND_BACK, reason_from
from stockbook.domain.send_backs import (
    CAUTION,
    RECALL_NOTICE,
    SentBack,
    SentLine,
    recalls_on,
    sent_document,
)
from stockbook.errors import InputError, Refused
from stockbook.jobs.finding import known_item, known_supplier, quantity_of
from stockbook.jobs.going_back import Back, Wanted, drawn, whole_area, whole_lot
from stockbook.jobs.signing import check_person, second_person
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import find_request, natural_key, posting
from stockbook.ledger.stock import items_by_code, quarantines

RECALLED = "recalled"


@dataclass(frozen=True, slots=True)
class BackAsked:
    """What is to go back, as it was typed: lines (item, how many, lot), whole lots, or a place.

    Without a place, quarantine areas and stores are looked at. A quarantine area alone is all
    that lies there of the supplier.
    """

    supplier: str
    note: str
    lines: Sequence[tuple[str, str, str]] = ()
    lots: Sequence[str] = ()
    place: str | None = None


def send_back(book: Book, signature: Signature, asked: BackAsked, *, keep: bool = True) -> SentBack:
    """The units have left the shelves with their value; the same note is recorded once."""
    reason = reason_from(signature.reason, SEND_BACK, "--reason")
    with posting(book, keep=keep) as post:
        db = post.db
        check_person(db, signature, "send-back")
        supplier = known_supplier(db, asked.supplier).code
        note, asked = texts.required_text(asked.note, "--note", 60), _clean(asked)
        wanted = _wanted(db, asked)
        request = _request(db, supplier, note, wanted, asked, reason)
        known = find_request(db, request)
        if known is not None:
            return SentBack(known, True, supplier, note, reason)
        back = Back.read(db, supplier, asked.place, signature.happened_on)
        draws = _draws(db, back, wanted, asked)
        lines = _lines(db, draws, seen=bool(wanted or asked.lots))
        _check(db, signature, lines, reason)
        moves = [_movement(line, reason) for line in lines]
        document = sent_document(supplier, note)
        entry = post.post(Draft("send-back", signature, request, moves, document=document)).number
        warnings = (*back.warnings(draws), *_cautions(db, draws, reason))
        return SentBack(entry, False, supplier, note, reason, tuple(lines), warnings)


def _clean(asked: BackAsked) -> BackAsked:
    """Lots and place as the book writes them, so that the same is asked the same."""
    lots = tuple(texts.required_text(lot, "--lot", 40) for lot in asked.lots)
    return replace(asked, lots=lots, place=asked.place and texts.code(asked.place, "place"))


def _wanted(db: sqlite3.Connection, asked: BackAsked) -> list[Wanted]:
    if not asked.lines and not asked.lots and asked.place is None:
        raise InputError(
            "send-back: nothing named. Give --line ITEM QTY LOT, --lot LOT, or --from with a "
            "quarantine area for all that lies there."
        )
    found = []
    for thing, count, lot in asked.lines:
        item = known_item(db, thing)
        found.append(Wanted(item, quantity_of(item, count), texts.required_text(lot, "lot", 40)))
    return found


def _request(
    db: sqlite3.Connection, supplier: str, note: str, wanted: Sequence[Wanted], asked: BackAsked,
    reason: str,
) -> Request:  # fmt: skip
    lines = [[one.item.code, one.quantity, one.number] for one in wanted]
    digest = digest_of([lines, list(asked.lots), asked.place, reason])
    return Request(natural_key(db, f"send-back/{supplier}/{note}"), digest)


def _draws(
    db: sqlite3.Connection, back: Back, wanted: Sequence[Wanted], asked: BackAsked
) -> list[Draw]:
    draws = [draw for one in wanted for draw in drawn(db, back, one)]
    for number in asked.lots:
        draws += whole_lot(db, back, number)
    return draws if wanted or asked.lots else whole_area(db, back)


def _lines(db: sqlite3.Connection, draws: Sequence[Draw], *, seen: bool) -> list[SentLine]:
    items = items_by_code(db, {draw.lot.item for draw in draws})
    return [SentLine(items[draw.lot.item], draw, seen) for draw in draws]


def _movement(line: SentLine, reason: str) -> Movement:
    draw = line.draw
    return Movement(
        draw.lot.code, draw.quantity, draw.value, draw.place, SENT_BACK, reason=reason,
        seen=line.seen,
    )  # fmt: skip


def _check(
    db: sqlite3.Connection, signature: Signature, lines: Sequence[SentLine], reason: str
) -> None:
    """What is recalled goes back as recalled; what is controlled takes two people."""
    controlled = [line.item.code for line in lines if line.item.controlled]
    if controlled:
        second_person(signature, f"Sending {controlled[0]} back (controlled)")
    recalls = recalls_on([line.draw for line in lines], quarantines(db))
    if recalls and reason != RECALLED:
        code, lots = next(iter(recalls.items()))
        raise Refused(
            f"{lots[0].item} lot {lots[0].number} is recalled ({RECALL_NOTICE}, quarantine "
            f"{code}): it goes back with --reason {RECALLED} alone, as the recall notice says."
        )


def _cautions(db: sqlite3.Connection, draws: Sequence[Draw], reason: str) -> list[str]:
    if reason != RECALLED:
        return []
    codes = ", ".join(recalls_on(draws, quarantines(db)))
    return [CAUTION + (f" In force: {codes}." if codes else "")]
