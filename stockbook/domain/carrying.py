"""One move by scanner: which packs go from one place to another; nothing before it is recorded."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stockbook.domain.facts import Item
from stockbook.domain.picking import Draw
from stockbook.errors import InputError

Asked = tuple[str, str | None]
"""An item and the printed lot or serial that was read; none where the rule picks."""


@dataclass(frozen=True, slots=True)
class CarriedPack:
    """A pack, or several alike; `units` are finest steps of one, `number` its lot or serial.

    Without `is_pack` no pack's identifier was read; of a measured item `units` alone then count.
    """

    item: str
    number: str | None
    units: int
    count: int = 1
    is_pack: bool = False
    by_serial: bool = False

    @property
    def asked(self) -> Asked:
        """What packs have in common that are moved as one."""
        return self.item, self.number


@dataclass(frozen=True, slots=True)
class Carrying:
    """What goes from one place to another; `seat` counts the terminals that sat down."""

    from_place: str
    to_place: str
    by: str
    began_by: str
    began_at: str
    packs: tuple[CarriedPack, ...] = ()
    seat: int = 0

    @property
    def last(self) -> CarriedPack:
        """The pack that was read last."""
        if not self.packs:
            raise InputError("no pack was read yet.")
        return self.packs[-1]

    def wanted(self, item: str | None = None) -> dict[Asked, int]:
        """Finest steps of each lot that was read, then of what the rule picks; of one item alone.

        Lots come first, so that what is picked never takes the units of a lot in the hand.
        """
        found: dict[Asked, int] = {}
        for pack in sorted(self.packs, key=lambda one: one.number is None):
            if item in (None, pack.item):
                found[pack.asked] = found.get(pack.asked, 0) + pack.units * pack.count
        return found

    def with_pack(self, pack: CarriedPack) -> "Carrying":
        """One more pack was read."""
        return replace(self, packs=(*self.packs, pack))

    def with_last(self, pack: CarriedPack) -> "Carrying":
        """The pack read last is another way than it was."""
        return replace(self, packs=(*self.packs[:-1], pack))

    def without_last(self) -> "Carrying":
        """What was read last is taken back."""
        if not self.packs:
            raise InputError("nothing is left to take back.")
        return replace(self, packs=self.packs[:-1])


@dataclass(frozen=True, slots=True)
class CarriedLine:
    """All of a lot (or of what the rule picks of an item) that goes, with what it is drawn from.

    `left` is what of these lots stays behind; `undone` when the last pack was just taken back.
    """

    item: Item
    number: str | None
    draws: tuple[Draw, ...]
    left: int = 0
    warning: str | None = None
    undone: bool = False


@dataclass(frozen=True, slots=True)
class Carried:
    """A recorded move: the draws of each item that went, by item."""

    entry: int
    from_place: str
    to_place: str
    lines: tuple[CarriedLine, ...]


@dataclass(frozen=True, slots=True)
class CarryReply:
    """What the terminal says to one scan or word."""

    words: str = ""
    line: CarriedLine | None = None
    carried: Carried | None = None
    left: bool = False


@dataclass(frozen=True, slots=True)
class CarryPage:
    """A move as it is taken up; a line of words for each that cannot go any more."""

    carrying: Carrying
    lines: Sequence[CarriedLine]
    gone: Sequence[str] = ()
