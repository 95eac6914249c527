"""One sitting in theatre: which case is current, what was scanned for it, what was recorded."""

from dataclasses import dataclass, replace

from stockbook.domain.facts import Case
from stockbook.domain.finishing import Scanned
from stockbook.errors import InputError

WASTED = {"OPENED": "opened-not-used", "DROPPED": "dropped"}
"""Which reason of waste an act on the card stands for."""

FOR_NEXT = ("OPENED", "RETURNED", "DROPPED", "CONVERT")
"""Acts that wait for what they are about: a pack, or the kit of another procedure. NEXT and RESCUE
may wait to be scanned once more; anything else drops them.
"""


@dataclass(frozen=True, slots=True)
class Pack:
    """A pack that was scanned for a case and is not recorded yet."""

    case: str
    unit: Scanned


@dataclass(frozen=True, slots=True)
class Sitting:
    """What a theatre's terminal knows and the chain does not yet.

    `act` waits for what it is about, or to be scanned once more. `seat` counts the terminals that
    sat down: only the last one goes on.
    """

    list: str
    by: str
    case: str | None = None
    act: str | None = None
    packs: tuple[Pack, ...] = ()
    seat: int = 0

    def of_case(self, case: str) -> tuple[Scanned, ...]:
        """The packs that wait to be recorded with a case."""
        return tuple(pack.unit for pack in self.packs if pack.case == case)

    def at(self, case: str) -> "Sitting":
        """Another case is current; an act that waited for a pack of the last one is dropped."""
        return replace(self, case=case, act=None)

    def waiting_for(self, act: str) -> "Sitting":
        """The next pack is about this act."""
        return replace(self, act=act)

    def with_pack(self, item: str, quantity: int, lot: str | None, expiry: str | None) -> "Sitting":
        """One more pack of the current case, used or as the act says."""
        if self.case is None:
            raise InputError("no case is current. Scan its strip first.")
        if self.act == "CONVERT":
            raise InputError("CONVERT waits for the kit of the other procedure. Scan it, or UNDO.")
        what = "returned" if self.act == "RETURNED" else WASTED.get(self.act or "", "used")
        pack = Pack(self.case, Scanned(item, quantity, lot, expiry, what))
        return replace(self, packs=(*self._without_twin(pack), pack), act=None)

    def _without_twin(self, pack: Pack) -> tuple[Pack, ...]:
        """A pack scanned first as used and now as returned or wasted is one pack, not two."""
        twin = replace(pack, unit=replace(pack.unit, what="used"))
        if pack.unit.what == "used" or twin not in self.packs:
            return self.packs
        index = len(self.packs) - 1 - self.packs[::-1].index(twin)
        return self.packs[:index] + self.packs[index + 1 :]

    def without_last(self) -> tuple["Sitting", Pack | None]:
        """The last scan is taken back: an act that waits, else the current case's last pack."""
        if self.act is not None:
            return replace(self, act=None), None
        own = [n for n, pack in enumerate(self.packs) if pack.case == self.case]
        if not own:
            raise InputError("nothing of this case is left to take back.")
        index = own[-1]
        rest = self.packs[:index] + self.packs[index + 1 :]
        return replace(self, packs=rest), self.packs[index]

    def recorded(self, case: str) -> "Sitting":
        """The case's packs are in the book, and no case is current."""
        rest = tuple(pack for pack in self.packs if pack.case != case)
        return replace(self, case=None, act=None, packs=rest)


@dataclass(frozen=True, slots=True)
class Said:
    """What was scanned or typed: `kind` is act, case, staff, kit or pack."""

    kind: str
    word: str
    argument: str | None = None
    lot: str | None = None
    expiry: str | None = None
    units: int | None = None


@dataclass(frozen=True, slots=True)
class Reply:
    """What the terminal says to one scan; `case` when another one became current."""

    words: str
    case: Case | None = None
    left: bool = False


@dataclass(frozen=True, slots=True)
class LensTally:
    """Lenses of a list: taken out, implanted, spoiled and back; nothing is left over."""

    out: int
    implanted: int
    spoiled: int
    back: int

    @property
    def open(self) -> int:
        """Lenses that are still on the trolley."""
        return self.out - self.implanted - self.spoiled - self.back


@dataclass(frozen=True, slots=True)
class ListEnd:
    """How a list stands when the sitting is left."""

    list: str
    finished: int
    cancelled: int
    unfinished: tuple[Case, ...]
    waiting: tuple[Pack, ...]
    lenses: LensTally
    no_lens_seen: tuple[str, ...] = ()
    """Finished cases whose implanted lens nobody scanned."""

    in_common: bool = False
    """What the list used in common is still on the trolley."""

    @property
    def over(self) -> bool:
        """Every case is finished or cancelled, nothing waits and nothing lies in common."""
        return not (self.unfinished or self.waiting or self.in_common)

    def is_unfinished(self, case: str) -> bool:
        """Whether the case's packs can still be recorded."""
        return any(one.code == case for one in self.unfinished)
