"""Importing a kind of fact, or the opening stock, from a file: all of it or nothing."""

import sqlite3
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from stockbook.domain import texts
from stockbook.domain.codec import body_of
from stockbook.domain.entries import Draft, Request, Signature
from stockbook.domain.facts import Fact, Lot
from stockbook.domain.records import Imported
from stockbook.domain.rows import Faults, Sheet, check_columns
from stockbook.errors import InputError
from stockbook.jobs.reading import Reading
from stockbook.jobs.reading_facts import (
    read_categories,
    read_items,
    read_pack_sizes,
    read_places,
    read_staff,
    read_suppliers,
)
from stockbook.jobs.reading_lists import read_kits, read_lists
from stockbook.jobs.reading_stock import read_opening
from stockbook.jobs.signing import check_person, fresh_request, request
from stockbook.ledger.facts import find
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import find_request, natural_key, posting
from stockbook.ledger.settings import name_person


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of import: its columns and what reads them."""

    required: tuple[str, ...]
    optional: tuple[str, ...]
    read: Callable[[Reading], None]


KINDS: Mapping[str, Kind] = {
    "categories": Kind(("category",), ("name",), read_categories),
    "suppliers": Kind(("supplier", "name"), (), read_suppliers),
    "places": Kind(("place", "name", "kind"), (), read_places),
    "staff": Kind(("staff", "role"), ("name",), read_staff),
    "items": Kind(
        ("item", "name", "class"),
        ("unit", "unit_places", "lens_model", "power", "serial", "least_days_left", "controlled"),
        read_items,
    ),
    "pack-sizes": Kind(("identifier", "item", "units"), ("level",), read_pack_sizes),
    "kits": Kind(
        ("procedure", "category", "kind", "item", "quantity"),
        ("surgeon", "line", "requirement"),
        read_kits,
    ),
    "lists": Kind(
        ("list", "day", "theatre", "case", "position", "patient", "eye", "procedure", "category"),
        ("part", "sponsor", "surgeon", "lens_model", "power", "needs"),
        read_lists,
    ),
    "opening-stock": Kind(
        ("item", "place", "quantity", "lot", "expiry"),
        ("serial", "received", "total", "terms", "shadow"),
        read_opening,
    ),
}


def import_sheet(
    book: Book, signature: Signature, kind: str, sheet: Sheet, *, keep: bool = True
) -> Imported:
    """Every row of the sheet is in the book in one entry; one bad row and nothing is."""
    if kind not in KINDS:
        raise InputError(f"import: found {kind!r}, wanted one of: {', '.join(KINDS)}.")
    check_columns(sheet, KINDS[kind].required, KINDS[kind].optional)
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "import")
        asked = _request(post.db, kind, sheet)
        known = find_request(post.db, asked)
        if known is not None:
            return Imported(kind, sheet.name, known, True, len(sheet.rows), 0, 0, len(sheet.rows))
        reading = Reading(post.db, sheet, Faults(sheet), signature)
        KINDS[kind].read(reading)
        reading.faults.check()
        facts, counts = _changed(post.db, reading.facts)
        _name_people(post.db, reading.names)
        if not facts and not reading.moves:
            return Imported(kind, sheet.name, None, True, len(sheet.rows), *counts)
        entry_kind = "opening" if reading.moves else "facts"
        document = texts.clean_text(sheet.name, "file name")
        draft = Draft(entry_kind, signature, asked, reading.moves, facts, document)
        number = post.post(draft).number
        return Imported(kind, sheet.name, number, False, len(sheet.rows), *counts)


def _request(db: sqlite3.Connection, kind: str, sheet: Sheet) -> Request:
    """Opening stock is a document of its own file; facts may be given again and again."""
    asked = [kind, [[*row.values.values()] for row in sheet.rows]]
    if kind == "opening-stock":
        return request(natural_key(db, f"import/{kind}/{sheet.name}"), asked)
    return fresh_request(db, f"import/{kind}", asked)


def _changed(
    db: sqlite3.Connection, facts: Sequence[Fact]
) -> tuple[list[Fact], tuple[int, int, int]]:
    """The facts that are new or altered, and how many are new, altered and unchanged."""
    changed: list[Fact] = []
    new = unchanged = 0
    for fact in facts:
        known = None if isinstance(fact, Lot) else find(db, type(fact), fact.code)
        if known is not None and body_of(known) == body_of(fact):
            unchanged += 1
            continue
        new += known is None
        changed.append(fact)
    return changed, (new, len(changed) - new, unchanged)


def _name_people(db: sqlite3.Connection, names: Mapping[str, str]) -> None:
    for code, name in names.items():
        name_person(db, code, name)
