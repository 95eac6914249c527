"""Choosing the units that go back: of the named supplier, by printed lot, from the right places."""

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass

from stockbook.domain.facts import Item, Lot
from stockbook.domain.picking import Draw, Shelf, ShelfRow
from stockbook.domain.places import SITE_KINDS
from stockbook.errors import InputError, Missing, NotEnough, Refused
from stockbook.jobs.finding import known_place, near, shown
from stockbook.ledger.cases import staged_cases
from stockbook.ledger.stock import (
    items_by_code,
    lot_numbers,
    lots_named,
    on_hand,
    places_of_kind,
)


@dataclass(frozen=True, slots=True)
class Wanted:
    """A line: so many finest steps of an item's printed lot (or serial)."""

    item: Item
    quantity: int
    number: str


@dataclass(frozen=True, slots=True)
class Back:
    """What lies where it may be sent back from, quarantine areas first."""

    supplier: str
    day: str
    places: tuple[str, ...]
    is_area: bool
    """Whether one quarantine area was named."""
    is_named: bool
    shelf: Shelf

    @classmethod
    def read(cls, db: sqlite3.Connection, supplier: str, place: str | None, day: str) -> "Back":
        """The named place alone; without one all quarantine areas and stores."""
        if place is None:
            found = [*places_of_kind(db, "quarantine"), *places_of_kind(db, "store")]
        else:
            found = [known_place(db, place, SITE_KINDS)]
        codes = tuple(one.code for one in found)
        area = place is not None and found[0].kind == "quarantine"
        return cls(supplier, day, codes, area, place is not None, Shelf(on_hand(db, places=codes)))

    def rows(self, item: str, number: str) -> list[ShelfRow]:
        """An item's printed lot as it lies in these places, in their order."""
        order = {place: n for n, place in enumerate(self.places)}
        found = [r for r in self.shelf.rows(item) if number in (r.lot.number, r.lot.serial)]
        return sorted(found, key=lambda r: (order[r.place], r.lot.received_on, r.lot.code))

    def warnings(self, draws: Sequence[Draw]) -> list[str]:
        """What the book does not know about what goes back."""
        unknown = dict.fromkeys(
            f"{d.lot.item} lot {d.lot.number}" for d in draws if d.lot.supplier is None
        )
        return [
            f"{name}: the book does not know who delivered it (opening stock); "
            f"{self.supplier} is taken on trust."
            for name in unknown
        ]


def drawn(db: sqlite3.Connection, back: Back, wanted: Wanted) -> list[Draw]:
    """Exactly so many units of the lot, or refused with what is there and where the rest lies."""
    rows = _of_supplier(db, back, wanted.item.code, wanted.number)
    there = sum(row.quantity for row in rows)
    if there < wanted.quantity:
        item, short = wanted.item, wanted.quantity - there
        asked = shown(item, wanted.quantity)
        elsewhere = _elsewhere(db, back, item.code, wanted.number) or "none"
        raise NotEnough(
            f"{item.code} lot {wanted.number}: {asked} asked, {shown(item, there)} there that may "
            "go back. Nothing was recorded.",
            [Missing("", item.code, item.name, asked, shown(item, there), shown(item, short),
                     elsewhere)],
        )  # fmt: skip
    draws, left = [], wanted.quantity
    for row in rows:
        if left:
            draws.append(back.shelf.take(row, min(left, row.quantity)))
            left -= draws[-1].quantity
    return draws


def whole_lot(db: sqlite3.Connection, back: Back, number: str) -> list[Draw]:
    """All there is of a printed lot (or serial); of one item, and in these places alone."""
    known = lots_named(db, number)
    if not known:
        raise InputError(f"lot {number} is not in this book.{near(number, lot_numbers(db))}")
    ours = sorted({lot.item for lot in known if lot.supplier in (back.supplier, None)})
    if len(ours) > 1:
        raise Refused(
            f"lot {number} is a number of {', '.join(ours)}: name each with --line ITEM QTY LOT."
        )
    item = ours[0] if ours else known[0].item
    rows = _of_supplier(db, back, item, number)
    elsewhere = _elsewhere(db, back, item, number)
    if elsewhere and not back.is_named:
        raise Refused(
            f"{item} lot {number} is not all in {', '.join(back.places)}: {elsewhere}. Fetch it "
            "(what is staged is finished or cancelled first), name the place with --from, or say "
            "how many go back with --line."
        )
    return [back.shelf.take(row, row.quantity) for row in rows]


def whole_area(db: sqlite3.Connection, back: Back) -> list[Draw]:
    """All that lies of the supplier in the quarantine area that was named."""
    if not back.is_area:
        raise InputError(
            f"--from {back.places[0]}: only a quarantine area goes back as a whole; name lots "
            "with --line or --lot."
        )
    rows = [
        row for row in on_hand(db, places=back.places)
        if row.lot.supplier == back.supplier and row.lot.received_on <= back.day
    ]  # fmt: skip
    if not rows:
        raise Refused(f"Nothing that {back.supplier} delivered lies in {back.places[0]}.")
    return [back.shelf.take(row, row.quantity) for row in rows]


def _of_supplier(db: sqlite3.Connection, back: Back, item: str, number: str) -> list[ShelfRow]:
    """The lot's rows that this supplier delivered (or nobody knows who), or a refusal."""
    rows = back.rows(item, number)
    if not rows:
        _refuse_absent(db, back, item, number)
    ours = [row for row in rows if row.lot.supplier in (back.supplier, None)]
    if not ours:
        raise Refused(
            f"{item} lot {number} was delivered by {_delivered(rows[0].lot)}, not by "
            f"{back.supplier}. Send it back to who delivered it."
        )
    early = [row for row in ours if row.lot.received_on <= back.day]
    if not early:
        raise Refused(
            f"{item} lot {number} came on {ours[0].lot.received_on}; it cannot have gone back on "
            f"{back.day}. Check --on."
        )
    return early


def _delivered(lot: Lot) -> str:
    note = f", note {lot.document}" if lot.document else ""
    return f"{lot.supplier} ({lot.received_on}{note})"


def _refuse_absent(db: sqlite3.Connection, back: Back, item: str, number: str) -> None:
    known = lots_named(db, number, item)
    if not known:
        raise InputError(f"{item} lot {number} is not in this book.{near(number, lot_numbers(db))}")
    elsewhere = _elsewhere(db, back, item, number) or "none of it is left"
    raise Refused(
        f"{item} lot {number} does not lie in {', '.join(back.places)}: {elsewhere}. What is "
        "staged is finished or cancelled first; another place is named with --from."
    )


def _elsewhere(db: sqlite3.Connection, back: Back, item: str, number: str) -> str:
    """Where else the supplier's units of the lot lie, in words; nothing where nowhere."""
    rows = [
        row for row in on_hand(db, items=[item], number=number)
        if row.place not in back.places and row.lot.supplier in (back.supplier, None)
    ]  # fmt: skip
    known = items_by_code(db, [item])
    staged = staged_cases(db, {row.lot.code for row in rows})
    return "; ".join(
        f"{shown(known[item], row.quantity)} in {row.place}{_for_case(row, staged)}" for row in rows
    )


def _for_case(row: ShelfRow, staged: dict[tuple[str, int], str]) -> str:
    cases = staged.get((row.place, row.lot.code))
    return f" for {cases}" if cases else ""
