"""One delivery unpacked by scanner: which packs were read, which one waits for a word."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from stockbook.domain.amounts import half_even
from stockbook.domain.facts import Item
from stockbook.domain.orders import LineState
from stockbook.domain.own_codes import ACTS
from stockbook.domain.places import OPENING
from stockbook.domain.records import Received
from stockbook.errors import InputError

WORDS = ("undo", "qty", "price", "reject", "quarantine", "record", "leave", "lot", "serial")
"""What is typed at the desk besides scans and answers."""

RESERVED = frozenset({word.upper() for word in WORDS} | {"LEAVE", *ACTS})
"""No item or lens model is called so: typed at the desk or in theatre these are words."""


@dataclass(frozen=True, slots=True)
class Learned:
    """What one person said an identifier is: an item or a lens model, its level and units.

    `was` is what the book had for it then; `units` are finest steps of one pack.
    """

    identifier: str
    item: str
    level: str
    units: int
    by: str
    day: str
    was: str | None = None


@dataclass(frozen=True, slots=True)
class OpenPack:
    """A pack of which something is still asked: its symbols, and what was said of it so far.

    `raws` are the symbols as they came, `symbols` what of them is read; `item` may be a lens
    model. `door` is why it is set aside, in `place`; `lost` why the symbol was not read whole.
    """

    symbols: tuple[str, ...] = ()
    raws: tuple[str, ...] = ()
    lost: str | None = None
    item: str | None = None
    level: str | None = None
    units: int = 0
    power: int | None = None
    all_powers: bool = False
    lot: str | None = None
    serial: str | None = None
    expiry: str | None = None
    precision: str | None = None
    sure: bool = False
    reason: str | None = None
    door: str | None = None
    place: str | None = None
    price: int | None = None


@dataclass(frozen=True, slots=True)
class TakenPack:
    """A pack, or several alike, of which all is known; `units` are finest steps of one pack.

    With `door` it is set aside in `place` for that reason; without a place it is not taken in,
    and then nothing but its identifier need be known. `price` is that of one pack.
    """

    item: str | None
    identifier: str | None
    level: str
    units: int
    count: int = 1
    number: str | None = None
    serial: str | None = None
    expires_on: str | None = None
    precision: str | None = None
    scan: str | None = None
    price: int | None = None
    reason: str | None = None
    door: str | None = None
    place: str | None = None
    learned: tuple[Learned, ...] = ()

    @property
    def is_rejected(self) -> bool:
        """Whether it goes back without being taken in."""
        return self.door is not None and self.place is None

    @property
    def line(self) -> tuple[object, ...]:
        """What packs have in common that are one line of the delivery."""
        return (
            self.item, self.identifier if self.item is None else None, self.units, self.number,
            self.serial, self.expires_on, self.precision, self.price, self.reason, self.door,
            self.place,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class WholeDelivery:
    """What was said of the delivery as a whole when somebody sat down; none: not said."""

    order: str | None = None
    terms: str | None = None
    place: str | None = None
    freight: int | None = None
    freight_by: str | None = None
    tax: int | None = None


@dataclass(frozen=True, slots=True)
class Unpacking:
    """A delivery on its way into the book: nothing of it is posted before it is recorded.

    Opening stock is unpacked alike: it comes from the place *opening stock* instead of a supplier,
    and its note is the sheet that it is counted on.

    `seat` counts the terminals that sat down: only the last one goes on. `open` is at most one.
    `accepted_by` is who else accepts gifts of a short life.
    """

    supplier: str
    note: str
    by: str
    began_by: str
    began_at: str
    order: str | None = None
    terms: str | None = None
    place: str | None = None
    freight: int | None = None
    freight_by: str | None = None
    tax: int | None = None
    accepted_by: str | None = None
    packs: tuple[TakenPack, ...] = ()
    open: tuple[OpenPack, ...] = ()
    seat: int = 0

    @property
    def is_opening(self) -> bool:
        """Whether it lay here before the book began; no supplier's code is in small letters."""
        return self.supplier == OPENING

    @property
    def what(self) -> str:
        """What is unpacked, in words."""
        return "opening stock" if self.is_opening else "delivery"

    @property
    def waiting(self) -> OpenPack | None:
        """The pack of which something is still asked."""
        return self.open[0] if self.open else None

    @property
    def last(self) -> TakenPack:
        """The pack that was read last."""
        if not self.packs:
            raise InputError("no pack was read yet.")
        return self.packs[-1]

    @property
    def learned(self) -> tuple[Learned, ...]:
        """Everything that was said of identifiers, in order."""
        return tuple(one for pack in self.packs for one in pack.learned)

    def known(self, identifier: str) -> Learned | None:
        """What was said of an identifier last."""
        return next((one for one in self.learned[::-1] if one.identifier == identifier), None)

    def lines(self) -> list[TakenPack]:
        """Packs of one line together, in the order in which their first was read."""
        found: dict[tuple[object, ...], TakenPack] = {}
        for pack in self.packs:
            before = found.get(pack.line)
            count = pack.count + (before.count if before else 0)
            found[pack.line] = replace(before or pack, count=count)
        return list(found.values())

    def packs_of(self, pack: TakenPack) -> int:
        """How many packs of its line there are."""
        return sum(one.count for one in self.packs if one.line == pack.line)

    def units_of(self, item: str) -> int:
        """Finest steps of an item that are taken in."""
        packs = (one for one in self.packs if one.item == item and not one.is_rejected)
        return sum(one.count * one.units for one in packs)

    def price_of(self, item: str, units: int) -> int | None:
        """The price last typed for such a pack."""
        same = (one for one in self.packs[::-1] if (one.item, one.units) == (item, units))
        return next((one.price for one in same if one.price is not None), None)

    def price_like(self, items: Collection[str], units: int) -> int | None:
        """The price last said of a pack of any size of one of these items, for so many units."""
        same = (one for one in self.packs[::-1] if one.item in items and one.price is not None)
        last = next(same, None)
        return half_even(int(last.price or 0) * units, last.units) if last else None

    def asking(self, pack: OpenPack) -> "Unpacking":
        """Something is still asked of this pack."""
        return replace(self, open=(pack,))

    def with_pack(self, pack: TakenPack) -> "Unpacking":
        """All is known of one more pack."""
        return replace(self, packs=(*self.packs, pack), open=())

    def with_last(self, pack: TakenPack) -> "Unpacking":
        """The pack read last is another way than it was."""
        return replace(self, packs=(*self.packs[:-1], pack))

    def priced(self, price: int) -> "Unpacking":
        """The pack read last costs so much, and with it all of its lot (all lenses of its item)."""
        last = self.last
        one_lot = (last.item, last.units, None if last.serial else last.number)
        packs = tuple(
            replace(one, price=price)
            if (one.item, one.units, None if one.serial else one.number) == one_lot
            else one
            for one in self.packs
        )
        return replace(self, packs=packs)

    def without_last(self) -> "Unpacking":
        """What was scanned last is taken back: the pack that waits, else the last one."""
        if self.open:
            return replace(self, open=())
        if not self.packs:
            raise InputError("nothing is left to take back.")
        return replace(self, packs=self.packs[:-1])


@dataclass(frozen=True, slots=True)
class SeenPack:
    """One pack as the terminal shows it: how far its expiry is, how many there are, its order.

    `waits` are open orders of the supplier that the delivery does not name; `offered` is the price
    of one pack that the book would take; `undone` when it was just taken back.
    """

    pack: TakenPack
    item: Item | None
    days_left: int | None
    packs: int
    units: int
    order: str | None = None
    ordered: LineState | None = None
    waits: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    undone: bool = False


@dataclass(frozen=True, slots=True)
class DeskReply:
    """What the terminal says to one scan or word."""

    words: str = ""
    seen: SeenPack | None = None
    received: Received | None = None
    learned: tuple[Learned, ...] = ()
    left: bool = False


@dataclass(frozen=True, slots=True)
class DeskPage:
    """A sitting as it is taken up: what was read before, each with its item."""

    unpacking: Unpacking
    rows: Sequence[SeenPack]
    question: str | None = None
