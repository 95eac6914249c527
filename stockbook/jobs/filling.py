"""Filling a place to its levels: what comes in from the stores, what goes back, in one entry."""

import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from stockbook.domain.entries import Draft, Movement, Signature
from stockbook.domain.facts import Item, Level, Place
from stockbook.domain.levels import (
    Filling,
    FillLine,
    Labels,
    ListNeeds,
    by_lists,
    fill_line,
    for_someone,
    wrong_storage,
)
from stockbook.domain.picking import Shelf, Wish, why_not_usable
from stockbook.errors import InputError, Missing, NotEnough, Refused
from stockbook.jobs.coming_lists import lenses_without_level, lists_to_serve
from stockbook.jobs.finding import known_place, shown
from stockbook.jobs.preparing import shelf_labels
from stockbook.jobs.signing import check_person, fresh_request
from stockbook.ledger.facts import all_of
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import posting
from stockbook.ledger.stock import items_by_code, on_hand, places_of_kind, quarantines

PLACES = ("store", "theatre")
"""The kinds of place that have levels and give to one another."""


@dataclass(frozen=True, slots=True)
class Ground:
    """What a filling stands on: the place, the stores beside it, day and quarantines."""

    place: Place
    stores: tuple[Place, ...]
    wish: Wish
    items: Mapping[str, Item]

    @property
    def store_codes(self) -> tuple[str, ...]:
        """The stores in the order in which they give."""
        return tuple(store.code for store in self.stores)


def planned_filling(
    book: Book, signature: Signature, place_text: str, from_text: str | None = None
) -> Filling:
    """A place beside its levels, and what would move; nothing is recorded."""
    with book.reading() as db:
        check_person(db, signature, "move")
        return filling_of(db, signature.happened_on, place_text, from_text)


def fill_place(
    book: Book, signature: Signature, place_text: str, from_text: str | None, agreed: Filling, *,
    keep: bool = True,
) -> int:  # fmt: skip
    """What was agreed has moved, in one entry; its number. Refused when the shelves changed."""
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "move")
        filling = filling_of(post.db, signature.happened_on, place_text, from_text)
        if _moves(filling) != _moves(agreed):
            raise Refused(
                f"{filling.place}: the shelves changed since the table was made. "
                "Nothing was recorded. Ask again."
            )
        if not filling.moving:
            raise _nothing_there(post.db, filling)
        moves = _moves(filling)
        asked = [filling.place, [[m.lot, m.quantity, m.from_place, m.to_place] for m in moves]]
        draft = Draft(
            "move", signature, fresh_request(post.db, "move", asked), moves,
            reason=signature.reason or "refill",
        )  # fmt: skip
        return post.post(draft).number


def filling_of(
    db: sqlite3.Connection, day: str, place_text: str, from_text: str | None = None
) -> Filling:
    """A place beside its levels as the shelves are now; usable as at the day."""
    place = known_place(db, place_text, PLACES)
    levels = all_of(db, Level, place=place.code)
    if not levels:
        raise InputError(
            f"{place.code} has no levels, so nothing says what to fill it to. Import levels first."
        )
    stores = _stores(db, place, from_text)
    if not stores:
        raise InputError(f"{place.code}: there is no store besides it to fill it from.")
    ground = _ground(db, day, place, stores, levels)
    lists = lists_to_serve(db, day, place, max(level.lists for level in levels))
    lines = _lines(db, ground, levels, lists)
    without = lenses_without_level(db, lists, {level.item for level in levels})
    labels = shelf_labels(db, [(place.code, line.item.code) for line in lines] + _drawn(lines))
    lines.sort(key=lambda line: _walked(labels, place.code, line))
    return Filling(
        day, place.code, ground.store_codes, tuple(lines), labels,
        tuple(one.list for one in lists), tuple(words for one in lists for words in one.left_out),
        without, tuple(_warnings(ground, lines)),
    )  # fmt: skip


def lines_below(db: sqlite3.Connection, day: str) -> list[tuple[str, FillLine]]:
    """Every item of which less is at a place than is to be kept, by place and item."""
    levels = all_of(db, Level)
    found = []
    for place in all_of(db, Place, code={level.place for level in levels}, closed=0):
        own = [level for level in levels if level.place == place.code]
        lists = lists_to_serve(db, day, place, max(level.lists for level in own))
        lines = _lines(db, _ground(db, day, place, (), own), own, lists)
        found += [(place.code, line) for line in lines if line.is_below]
    return found


def _walked(labels: Labels, place: str, line: FillLine) -> tuple[bool, str, str]:
    label = labels.get((place, line.item.code))
    return label is None, label or "", line.item.code


def _stores(db: sqlite3.Connection, place: Place, from_text: str | None) -> tuple[Place, ...]:
    """The one store named, else every open store but the place itself."""
    if from_text is not None:
        stores = [known_place(db, from_text, ("store",))]
    else:
        stores = places_of_kind(db, "store")
    return tuple(store for store in stores if store.code != place.code)


def _ground(
    db: sqlite3.Connection, day: str, place: Place, stores: tuple[Place, ...],
    levels: Sequence[Level],
) -> Ground:  # fmt: skip
    items = items_by_code(db, {level.item for level in levels})
    least = {code: item.least_days_left for code, item in items.items()}
    wish = Wish(day, (place.code,), least_days_left=least, quarantines=quarantines(db))
    return Ground(place, stores, wish, items)


def _lines(
    db: sqlite3.Connection, ground: Ground, levels: Sequence[Level], lists: Sequence[ListNeeds]
) -> list[FillLine]:
    levelled = {level.item for level in levels}
    places = (ground.place.code, *ground.store_codes)
    shelf = Shelf(on_hand(db, items=ground.items, places=places))
    return [
        fill_line(
            shelf, ground.items[level.item], by_lists(level, lists, levelled), ground.wish,
            ground.store_codes, _home(ground, ground.items[level.item]),
        )
        for level in levels
    ]  # fmt: skip


def _home(ground: Ground, item: Item) -> str | None:
    """The store that units go back to: the first whose storage class suits them, else the first."""
    suits = (s.code for s in ground.stores if wrong_storage(item, s) is None)
    return next(suits, ground.stores[0].code if ground.stores else None)


def _drawn(lines: Sequence[FillLine]) -> list[tuple[str, str]]:
    """Which items lie at which store, as far as anything moves from or to it."""
    into = [(draw.place, line.item.code) for line in lines for draw in line.into]
    return into + [(line.store, line.item.code) for line in lines if line.store]


def _warnings(ground: Ground, lines: Sequence[FillLine]) -> Iterator[str]:
    """What would come to lie at a place of another storage class."""
    places = {place.code: place for place in (ground.place, *ground.stores)}
    for line in lines:
        to = ground.place.code if line.into else line.store
        words = wrong_storage(line.item, places[to]) if to else None
        if words:
            yield words


def _moves(filling: Filling) -> list[Movement]:
    moves = []
    for line in filling.moving:
        for draw in (*line.into, *line.back):
            to = str(line.store) if line.back else filling.place
            moves.append(Movement(draw.lot.code, draw.quantity, draw.value, draw.place, to))
    return moves


def _nothing_there(db: sqlite3.Connection, filling: Filling) -> NotEnough:
    """Below its levels, and the stores have nothing of it that may be used."""
    short = [line for line in filling.lines if line.short]
    return NotEnough(
        f"{filling.place}: {' and '.join(filling.stores)} can give nothing of what is below its "
        "level. Nothing was recorded.",
        [
            Missing("", line.item.code, line.item.name, shown(line.item, line.short), "0",
                    shown(line.item, line.short), _near(db, filling, line.item))
            for line in short
        ],
    )  # fmt: skip


def _near(db: sqlite3.Connection, filling: Filling, item: Item) -> str:
    """Where there is some all the same, and what stops it."""
    least = {item.code: item.least_days_left}
    wish = Wish(filling.day, (), least_days_left=least, quarantines=quarantines(db))
    places = {p.code for p in places_of_kind(db, "store", "theatre", "quarantine")}
    found = []
    for row in on_hand(db, items=[item.code], places=places - {filling.place}):
        why = why_not_usable(row.lot, row.place, for_someone(row.lot, wish))
        found.append(f"{shown(item, row.quantity)} in {row.place}{f' {why}' if why else ''}")
    return "; ".join(found) or "none anywhere"
