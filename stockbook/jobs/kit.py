"""Kits shown, explained line by line, and changed by a version of their own."""

import sqlite3
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from stockbook.domain import texts
from stockbook.domain.entries import Draft, Signature
from stockbook.domain.facts import Item, Kit, KitLine, Machine
from stockbook.domain.kit_versions import ANY, fits, sourced, standing, unversioned, version_code
from stockbook.domain.kit_view import (
    KitChange,
    Kits,
    KitView,
    ShownLine,
    changed_lines,
    is_difference,
)
from stockbook.domain.kits import Sourced, kit_code
from stockbook.domain.rows import Faults, Row, Sheet
from stockbook.errors import InputError, Refused
from stockbook.jobs.finding import known_item, known_place, near
from stockbook.jobs.kits_in_force import KitAsked, layers_of
from stockbook.jobs.one_fact import check_faults
from stockbook.jobs.reading import Reading
from stockbook.jobs.reading_kits import read_kits
from stockbook.jobs.signing import check_person, fresh_request
from stockbook.ledger.facts import all_of, codes
from stockbook.ledger.kits import kit_on
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import Posting, posting
from stockbook.ledger.settings import categories
from stockbook.ledger.stock import items_by_code, last_price, lens_models


@dataclass(frozen=True, slots=True)
class ChangeAsked:
    """What a kit's new version has otherwise, as typed.

    `lines` are kind, item, quantity; `worded` have the word they are for before the item.
    """

    first_day: str
    lines: tuple[tuple[str, str, str], ...] = ()
    worded: tuple[tuple[str, str, str, str], ...] = ()
    without: tuple[str, ...] = ()


def all_kits(book: Book) -> Kits:
    """Every version of every kit."""
    with book.reading() as db:
        kits = all_of(db, Kit)
        return Kits(tuple(kits), _items(db, (line for kit in kits for line in kit.lines)))


def kit_typed(db: sqlite3.Connection, text: str, day: str) -> KitAsked:
    """What PROCEDURE/CATEGORY or PROCEDURE/CATEGORY/SURGEON means."""
    parts = text.split("/")
    if len(parts) not in (2, 3):
        raise InputError(f"kit: found {text!r}, wanted PROCEDURE/CATEGORY[/SURGEON].")
    known = (*(category.code for category in categories(db)), ANY)
    surgeon = texts.code(parts[2], "surgeon") if len(parts) == 3 else None
    category = texts.one_of(parts[1], known, "category")
    return KitAsked(texts.code(parts[0], "procedure"), category, surgeon, day)


def explained_kit(
    book: Book, text: str, day: str, theatre: str | None = None, lens: str | None = None
) -> KitView:
    """Every line of a kit as it holds on a day: why it is there and what it costs."""
    with book.reading() as db:
        asked = kit_typed(db, text, day)
        code = kit_code(asked.procedure, asked.category, asked.surgeon)
        layers = layers_of(db, asked)
        if not layers:
            raise InputError(f"kit: there is no {code} on {day}.{near(code, codes(db, Kit))}")
        place = known_place(db, theatre, ("theatre",)).code if theatre else None
        model = _lens_model(db, lens)
        lines = sourced(layers)
        items = _items(db, (line for kit in layers for line in kit.lines))
        shown = tuple(_shown(db, one, items, model, place, day) for one in lines)
        return KitView(code, day, place, model, tuple(layers), shown, items)


def _lens_model(db: sqlite3.Connection, text: str | None) -> str | None:
    if text is None:
        return None
    model, known = texts.item_code(text, "--lens"), lens_models(db)
    if model not in known:
        raise InputError(f"--lens: {model} is no lens model of this book.{near(model, known)}")
    return model


def _shown(
    db: sqlite3.Connection, one: Sourced, items: Mapping[str, Item], model: str | None,
    place: str | None, day: str,
) -> ShownLine:  # fmt: skip
    """A line; without a lens or theatre asked for, what follows one is shown as if it fitted."""
    line, source = one
    here = standing(all_of(db, Machine, theatre=place), day) if place else set()
    asked = model if line.kind == "with-lens" else place
    fitting = line.kind == "per-list" or fits(line, model, here)
    known = tuple(items[code] for code in line.items)
    price = last_price(db, line.items[0]) if line.items else None
    return ShownLine(line, source, fitting if asked else line.kind[:5] != "with-", known, price)


def _items(db: sqlite3.Connection, lines: Iterable[KitLine]) -> dict[str, Item]:
    return items_by_code(db, {code for line in lines for code in line.items})


def change_kit(
    book: Book, signature: Signature, text: str, change: ChangeAsked, *,
    agreed: Kit | None = None, sure: bool = False, keep: bool = True,
) -> KitChange:  # fmt: skip
    """The kit has a version from a first day on; nothing is recorded until somebody agreed to it.

    The version holds the complete lines; `agreed` is the very version that was shown.
    """
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "kit")
        asked = kit_typed(post.db, text, change.first_day)
        made = _new_version(post.db, signature, asked, change)
        return record_version(post, signature, made, agreed=agreed, sure=sure or not keep)


def record_version(
    post: Posting, signature: Signature, made: KitChange, *, agreed: Kit | None, sure: bool
) -> KitChange:
    """The version is in the book, if somebody agreed to it as it is."""
    if not made.gone and not made.added:
        raise Refused(f"kit {unversioned(made.kit.code)}: it has these lines already; no version.")
    if not sure and agreed != made.kit:
        return made
    asked = fresh_request(post.db, "kit", [made.kit.code, [str(x) for x in made.kit.lines]])
    entry = post.post(Draft("facts", signature, asked, facts=[made.kit], document=made.kit.code))
    return replace(made, entry=entry.number)


def _new_version(
    db: sqlite3.Connection, signature: Signature, asked: KitAsked, change: ChangeAsked
) -> KitChange:
    code = kit_code(asked.procedure, asked.category, asked.surgeon)
    before = kit_on(db, code, change.first_day)
    bases = {unversioned(one) for one in codes(db, Kit)}
    if before is None and not any(one.startswith(f"{asked.procedure}/") for one in bases):
        raise InputError(f"kit: there is no {code} on {change.first_day}.{near(code, bases)}")
    made = Kit(
        version_code(code, change.first_day), asked.procedure, asked.category, asked.surgeon, (),
        change.first_day,
    )  # fmt: skip
    without = tuple(known_item(db, item).code for item in change.without)
    _check_without(db, asked, without)
    given = _typed_lines(db, signature, made, change)
    lines = changed_lines(
        before.lines if before else (), given, without, differs=is_difference(made, bases)
    )
    if not lines:
        raise Refused(f"kit {code}: nothing would be left in it. Give it a --line.")
    made = replace(made, lines=lines)
    return KitChange(made, before, _items(db, (*lines, *(before.lines if before else ()))))


def _check_without(db: sqlite3.Connection, asked: KitAsked, without: tuple[str, ...]) -> None:
    """What is to be left out is there now."""
    there = {item for line, _ in sourced(layers_of(db, asked)) for item in line.items[:1]}
    strange = [item for item in without if item not in there]
    if strange:
        raise InputError(f"--without: {', '.join(strange)} is in no line on {asked.day}.")


def _typed_lines(
    db: sqlite3.Connection, signature: Signature, kit: Kit, change: ChangeAsked
) -> tuple[KitLine, ...]:
    """The lines as the import reads them; alternatives are the one-of lines of one change."""
    typed = [(kind, "", item, quantity) for kind, item, quantity in change.lines]
    typed += [(kind, word, item, quantity) for kind, word, item, quantity in change.worded]
    about = {"procedure": kit.procedure, "category": kit.category, "surgeon": kit.surgeon or ""}
    rows = [
        Row(number, {
            **about, "first_day": change.first_day, "kind": kind, "requirement": word,
            "item": item, "quantity": quantity, "line": "one" if kind == "one-of" else "",
        })
        for number, (kind, word, item, quantity) in enumerate(typed, start=1)
    ]  # fmt: skip
    sheet = Sheet("kit", tuple(rows[0].values) if rows else (), tuple(rows))
    reading = Reading(db, sheet, Faults(sheet), signature)
    read_kits(reading)
    check_faults(reading)
    return tuple(line for kit in reading.facts if isinstance(kit, Kit) for line in kit.lines)
