"""Labels of shelves, lots and cases as they are to be printed; nothing is recorded."""

import sqlite3
from collections.abc import Sequence

from stockbook.domain import texts
from stockbook.domain.facts import Case, Item, Kit, Level, Lot, OperatingList, Shelf
from stockbook.domain.labels import (
    Card,
    CaseStrip,
    CaseStrips,
    LotLabel,
    LotLabels,
    Printed,
    ShelfLabel,
    ShelfLabels,
    check_count,
)
from stockbook.domain.picking import Wish, why_not_usable
from stockbook.errors import InputError
from stockbook.jobs.finding import known_case, known_item, known_place, near
from stockbook.jobs.ready import lists_asked
from stockbook.ledger import history
from stockbook.ledger.facts import all_of
from stockbook.ledger.opening import Book
from stockbook.ledger.settings import last_entry
from stockbook.ledger.stock import (
    items_by_code,
    lot_numbers,
    lots_by_code,
    lots_named,
    on_hand,
    places_of_kind,
    quarantines,
)

WITH_SHELVES = ("store", "theatre", "quarantine")


def shelf_labels(
    book: Book, today: str, place: str | None = None, items: Sequence[str] = ()
) -> ShelfLabels:
    """A label for each item that has a shelf, a level or stock in the place, or in any place.

    An item that is named gets one in the place named, whether or not it lies there yet.
    """
    with book.reading() as db:
        named = {known_item(db, text).code for text in items}
        places = _places(db, place)
        words = {(one.place, one.item): one.label for one in all_of(db, Shelf)}
        levels = {(one.place, one.item): one for one in all_of(db, Level)}
        keys = {*words, *levels, *((r.place, r.lot.item) for r in on_hand(db, places=places))}
        if place is not None:
            keys |= {(places[0], item) for item in named}
        wanted = [k for k in keys if k[0] in places and (not named or k[1] in named)]
        known = items_by_code(db, {item for _, item in wanted})
        labels = [
            ShelfLabel(key[0], known[key[1]], words.get(key, ""), levels.get(key))
            for key in wanted if key[1] in known
        ]  # fmt: skip
        if not labels:
            raise InputError(
                "label shelf: no item has a shelf, a level or stock there. Name the place and the "
                "items with --item."
            )
        check_count(labels)
        return ShelfLabels(tuple(_walked(labels, places)), _printed(db, today))


def _places(db: sqlite3.Connection, place: str | None) -> list[str]:
    if place is not None:
        return [known_place(db, place, WITH_SHELVES).code]
    return [one.code for one in places_of_kind(db, "store", "theatre")]


def _walked(labels: Sequence[ShelfLabel], places: Sequence[str]) -> list[ShelfLabel]:
    """Places in their order, then as one walks: by the shelf's words, then by item."""
    order = {place: n for n, place in enumerate(places)}
    return sorted(
        labels, key=lambda one: (order[one.place], not one.words, one.words, one.item.code)
    )


def lot_labels(
    book: Book, today: str, numbers: Sequence[str] = (), entry: int | None = None, *,
    items: Sequence[str] = (), copies: int = 1,
) -> LotLabels:  # fmt: skip
    """A label for each lot that bears one of these numbers and is on hand, or came by an entry."""
    with book.reading() as db:
        wanted = {known_item(db, text).code for text in items}
        found = {lot.code: lot for text in numbers for lot in _on_hand_named(db, text, wanted)}
        if entry is not None:
            found |= {lot.code: lot for lot in _of_entry(db, entry)}
        if not found:
            raise InputError("label lot: name lots, or a delivery with --entry N.")
        check_count(list(found), copies)
        known = items_by_code(db, {lot.item for lot in found.values()})
        labels = [
            LotLabel(lot, known[lot.item], _stopped(db, lot, known[lot.item], today))
            for lot in found.values()
        ]
        return LotLabels(tuple(labels), copies, _printed(db, today))


def _on_hand_named(db: sqlite3.Connection, text: str, items: set[str]) -> list[Lot]:
    number = texts.required_text(text, "lot", 40)
    named = [lot for lot in lots_named(db, number) if not items or lot.item in items]
    if not named:
        of = f" of {', '.join(sorted(items))}" if items else ""
        raise InputError(f"lot {number}{of} is not in this book.{near(number, lot_numbers(db))}")
    there = {row.lot.code for row in on_hand(db, lots=[lot.code for lot in named])}
    if not there:
        raise InputError(f"lot {number}: nothing of it is on hand, so there is nothing to label.")
    return [lot for lot in named if lot.code in there]


def _of_entry(db: sqlite3.Connection, number: int) -> list[Lot]:
    """The lots that an entry brought into the book."""
    if history.entry(db, number) is None:
        raise InputError(f"entry {number} is not in this book; the last is {last_entry(db)[0]}.")
    moved = {move.lot: None for move in history.movements_of(db, number)}
    changed = {int(code) for kind, code, _ in history.changes_of(db, number) if kind == "lot"}
    lots = lots_by_code(db, [code for code in moved if code in changed])
    if not lots:
        raise InputError(f"entry {number} brought no lot; name a delivery or an opening.")
    return list(lots.values())


def _stopped(db: sqlite3.Connection, lot: Lot, item: Item, today: str) -> str | None:
    """What stands against using the lot, wherever it lies."""
    least = {item.code: item.least_days_left}
    wish = Wish(today, (), *_allowed(lot), least_days_left=least, quarantines=quarantines(db))
    reasons = [why_not_usable(lot, row.place, wish) for row in on_hand(db, lots=[lot.code])]
    return next((why for why in reasons if why), None)


def _allowed(lot: Lot) -> tuple[str | None, str | None]:
    """Somebody whom the lot may serve: its terms stop nobody in particular."""
    return next(iter(lot.categories), None), next(iter(lot.sponsors), None)


def case_strips(book: Book, today: str, codes: Sequence[str]) -> CaseStrips:
    """A strip for each case that was named."""
    with book.reading() as db:
        cases = [known_case(db, code) for code in dict.fromkeys(codes)]
        for case in cases:
            if case.kind != "patient":
                raise InputError(f"case {case.code} is no operation; it has no strip.")
            if case.cancelled:
                raise InputError(f"case {case.code} is cancelled; it has no strip.")
        lists = {one.code: one for one in all_of(db, OperatingList, code=[c.list for c in cases])}
        strips = tuple(CaseStrip(case, lists[case.list]) for case in cases)
        return CaseStrips(strips, _printed(db, today))


def list_strips(book: Book, today: str, asked: str) -> CaseStrips:
    """A strip for each case of a list, or of all lists of a day, in their order."""
    with book.reading() as db:
        strips, left_out = [], []
        for one in lists_asked(db, asked, today):
            cases = all_of(db, Case, list=one.code, kind="patient")
            for case in sorted(cases, key=lambda case: (case.position, case.code)):
                if case.cancelled:
                    left_out.append(case.code)
                else:
                    strips.append(CaseStrip(case, one))
        if not strips:
            raise InputError(f"label list: {asked} has no case that takes place.")
        check_count(strips)
        return CaseStrips(tuple(strips), _printed(db, today), whole=True, left_out=tuple(left_out))


def theatre_card(book: Book, today: str) -> Card:
    """Every theatre code, and every procedure that has a kit."""
    with book.reading() as db:
        procedures = dict.fromkeys(kit.procedure for kit in all_of(db, Kit))
        return Card(tuple(procedures), _printed(db, today))


def _printed(db: sqlite3.Connection, today: str) -> Printed:
    number, checksum, *_ = last_entry(db)
    return Printed(today, number, checksum)
