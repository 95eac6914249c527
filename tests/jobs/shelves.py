"""Levels, shelf labels and storage classes put straight into a test's book."""

from dataclasses import replace

from desk import Desk
from ledger.books import opened, record

from stockbook.domain.facts import Item, Level, Place, Shelf
from stockbook.ledger.facts import find


def level(place: str, item: str, least: int = 0, most: int = 0, lists: int = 0) -> Level:
    return Level(f"{place}/{item}", place, item, least, most, lists)


def label(place: str, item: str, words: str) -> Shelf:
    return Shelf(f"{place}/{item}", place, item, words)


def give(desk: Desk, *facts: Level | Shelf | Item | Place) -> None:
    """One entry with these facts."""
    record(desk, facts=facts, kind="facts")


def keep_as(desk: Desk, word: str | None, *, item: str = "", place: str = "") -> None:
    """An item or a place has this storage class from now on."""
    with opened(desk.path) as book:
        found = find(book.db, Item, item) if item else find(book.db, Place, place)
    assert found is not None
    give(desk, replace(found, storage_class=word))
