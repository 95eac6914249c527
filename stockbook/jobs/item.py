"""Items: shown, all or one; a week of use that was judged."""

import sqlite3

from stockbook.domain.about import AboutItem, KeptAt, Pack
from stockbook.domain.case_history import monday_of
from stockbook.domain.days import day_from_text
from stockbook.domain.entries import Draft, Signature
from stockbook.domain.facts import Item, JudgedUse, Level, PackSize, Shelf
from stockbook.errors import InputError, Refused
from stockbook.jobs.finding import item_or_pack, known_item
from stockbook.jobs.signing import check_person, fresh_request
from stockbook.ledger.facts import all_of, find
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import posting


def all_items(book: Book) -> list[Item]:
    """Every item of the book, by code."""
    with book.reading() as db:
        return all_of(db, Item)


def about_item(book: Book, text: str) -> AboutItem:
    """Everything the book says about one item, named by its code or a pack's identifier."""
    with book.reading() as db:
        item = _named(db, text)
        return AboutItem(item, tuple(_packs(db, [item])), tuple(kept_at(db, item)))


def pack_sizes(book: Book, text: str | None = None) -> list[Pack]:
    """The ways that all items, or one, are sold; by identifier."""
    with book.reading() as db:
        return _packs(db, [_named(db, text)] if text else all_of(db, Item))


def _named(db: sqlite3.Connection, text: str) -> Item:
    """The item of a code, even of one that looks like an identifier; else of an identifier."""
    code = text.strip().upper() if text.isascii() else text
    return find(db, Item, code) or item_or_pack(db, text)[0]


def _packs(db: sqlite3.Connection, items: list[Item]) -> list[Pack]:
    known = {str(item.lens_model): item for item in items if item.lens_model}
    known |= {item.code: item for item in items}
    return [Pack(size, known[size.item]) for size in all_of(db, PackSize) if size.item in known]


def kept_at(db: sqlite3.Connection, item: Item) -> list[KeptAt]:
    """Where an item belongs: the places that have a shelf or a level for it."""
    shelves = {shelf.place: shelf for shelf in all_of(db, Shelf, item=item.code)}
    levels = {level.place: level for level in all_of(db, Level, item=item.code)}
    places = sorted({*shelves, *levels})
    return [KeptAt(place, shelves.get(place), levels.get(place)) for place in places]


def judge_week(
    book: Book, signature: Signature, text: str, week: str, *, usual: bool, keep: bool = True
) -> tuple[JudgedUse, int]:
    """A week's far higher use counts in the forecast from now on, or is left out for good."""
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "item")
        item = known_item(post.db, text)
        day = day_from_text(week, "week")
        if day != monday_of(day):
            raise InputError(f"week: {day} is no Monday; that week begins on {monday_of(day)}.")
        judged = JudgedUse(f"{item.code}/{day}", item.code, day, usual)
        if find(post.db, JudgedUse, judged.code) == judged:
            said = "usual" if usual else "unusual"
            raise Refused(f"{item.code}: the week of {day} is judged {said} already.")
        request = fresh_request(post.db, "item/judge", [judged.code, usual])
        return judged, post.post(Draft("facts", signature, request, facts=[judged])).number
