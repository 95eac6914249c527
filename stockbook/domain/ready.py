"""Whether lists can be served: every case drawn in sequence, then what must still lie there."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import islice

from stockbook.domain.facts import Case, Item, OperatingList
from stockbook.domain.kits import Gap, Need, Plan, out_of_reach, plan
from stockbook.domain.list_shares import LIST
from stockbook.domain.orders import OnOrder
from stockbook.domain.picking import Draw, Shelf, ShelfRow, Wish, has_usable, usable_quantity

KIT, COMMON, STANDBY, SPARE = "kit", "list", "standby", "spare"
"""As what an item is missing: drawn for a case or for its list, in the room, an identical lens."""


@dataclass(frozen=True, slots=True)
class ToServe:
    """A case that waits: what its kit needs, and what of it is still to be drawn.

    What a list uses in common waits like a case, before the cases of the list. `unknown` says in
    words why its needs are not (all) known; then it cannot be ready.
    """

    case: Case
    theatre: str
    wish: Wish
    needs: tuple[Need, ...] = ()
    to_draw: tuple[Need, ...] = ()
    issued: bool = False
    staged: tuple[Draw, ...] = ()
    unknown: str | None = None


@dataclass(frozen=True, slots=True)
class ReadyCase:
    """A case after the walk: what it draws and what is missing for it."""

    waiting: ToServe
    draws: tuple[Draw, ...]
    gaps: tuple[Gap, ...]
    standby: tuple[Gap, ...]
    spares: tuple[Gap, ...]
    beside: tuple[ShelfRow, ...] = ()
    """Where the identical spare of each of its lenses lies."""

    @property
    def case(self) -> Case:
        """The case itself."""
        return self.waiting.case

    @property
    def is_common(self) -> bool:
        """Whether it is no case but what its list uses in common."""
        return self.case.kind == LIST

    @property
    def is_ready(self) -> bool:
        """Whether the case can be served and all that must lie beside it does."""
        return not (self.waiting.unknown or self.gaps or self.standby or self.spares)

    @property
    def kit(self) -> tuple[Draw, ...]:
        """What the case has on the trolley and what it draws."""
        return (*self.waiting.staged, *self.draws)

    def missing(self) -> Iterator[tuple[str, Gap]]:
        """Every gap with what it is a gap of."""
        drawn = COMMON if self.is_common else KIT
        for kind, gaps in ((drawn, self.gaps), (STANDBY, self.standby), (SPARE, self.spares)):
            yield from ((kind, gap) for gap in gaps)


@dataclass(frozen=True, slots=True)
class Act:
    """The nearest thing that would help; which fields are filled hangs on `kind`.

    `fetch` so much from a place to a theatre; `sequence`: this case before all others of its
    list; `alternative`: fetch this other item of the kit's own alternatives; `none`: so much has
    to come from outside (`from_place` then has some that is needed there itself).
    """

    kind: str
    item: str
    quantity: int = 0
    from_place: str = ""
    to_place: str = ""
    case: str = ""


@dataclass(frozen=True, slots=True)
class Stopped:
    """What lies somewhere but must not be used, and why."""

    place: str
    quantity: int
    why: str


@dataclass(frozen=True, slots=True)
class Lack:
    """An item missing in total, in finest steps: for which cases, as what, and what would help."""

    item: str
    wanted: int
    short: int
    cases: tuple[str, ...]
    kinds: tuple[str, ...]
    acts: tuple[Act, ...] = ()
    stopped: tuple[Stopped, ...] = ()

    @property
    def usable(self) -> int:
        """What of it can be given."""
        return self.wanted - self.short


@dataclass(frozen=True, slots=True)
class Ready:
    """The answer: can these lists be served as the shelves are now?"""

    asked: str
    day: str
    lists: tuple[OperatingList, ...]
    cases: tuple[ReadyCase, ...]
    lacks: tuple[Lack, ...]
    items: Mapping[str, Item]
    labels: Mapping[tuple[str, str], str] = field(default_factory=dict)
    places: tuple[str, ...] = ()
    """Where is drawn, in the order in which one walks."""
    expiring: tuple[Draw, ...] = ()
    expiring_days: int = 0
    left_out: tuple[str, ...] = ()
    """Cases that are finished or cancelled, in words."""
    other_lists: tuple[str, ...] = ()
    """Lists of the same day that wait as well and were not asked about."""
    procedures: tuple[str, ...] = ()
    """All that have kits: what a case can be converted to."""
    on_order: Mapping[str, OnOrder] = field(default_factory=dict)
    """What is still to come, by item."""
    today: str = ""
    last_entry: int = 0
    checksum: str = ""

    @property
    def patients(self) -> tuple[ReadyCase, ...]:
        """The cases themselves, without what their lists use in common."""
        return tuple(one for one in self.cases if not one.is_common)

    @property
    def unready(self) -> int:
        """How many cases cannot be served."""
        return sum(not one.is_ready for one in self.patients)

    @property
    def unready_lists(self) -> tuple[str, ...]:
        """The lists for which something that they use in common is missing."""
        return tuple(one.case.list for one in self.cases if one.is_common and not one.is_ready)

    @property
    def can_be_served(self) -> bool:
        """Whether every case is ready, and what the lists use in common."""
        return all(one.is_ready for one in self.cases)


def walk(
    waiting: Sequence[ToServe], shelf: Shelf, items: Mapping[str, Item]
) -> tuple[ReadyCase, ...]:
    """Every case drawn from the shelf in the order given, by the rule that issuing follows.

    After the last one every standby line and one more of each lens in use must still lie within
    reach of each case that wants it.
    """
    plans = [plan(one.case, one.to_draw, shelf, one.wish, {}) for one in waiting]
    return tuple(
        _afterwards(one, made, shelf, items) for one, made in zip(waiting, plans, strict=True)
    )


def _afterwards(one: ToServe, made: Plan, shelf: Shelf, items: Mapping[str, Item]) -> ReadyCase:
    """A case with what lies within its reach when all cases were drawn."""
    lenses = lenses_in_use(one.needs, items)
    return ReadyCase(
        one, made.draws, made.gaps, out_of_reach(one.case, one.needs, shelf, one.wish),
        tuple(_no_spare(one, lenses, shelf, items)),
        tuple(row for lens in lenses for row in islice(shelf.in_order(lens, one.wish), 1)),
    )  # fmt: skip


def lenses_in_use(needs: Iterable[Need], items: Mapping[str, Item]) -> list[str]:
    """The lenses that are drawn for a case: each its own model and power, without alternative."""
    single = [
        need.items[0]
        for need in needs
        if len(need.items) == 1 and items[need.items[0]].lens_model and not need.standby
    ]
    return list(dict.fromkeys(single))


def _no_spare(
    one: ToServe, lenses: Iterable[str], shelf: Shelf, items: Mapping[str, Item]
) -> Iterator[Gap]:
    """Lenses of the case of which no identical one is left."""
    for lens in lenses:
        wanted = 10 ** items[lens].unit_places
        if not has_usable(shelf, lens, one.wish, wanted):
            yield Gap(one.case.code, lens, wanted, usable_quantity(shelf, lens, one.wish))


def lacks(served: Sequence[ReadyCase]) -> tuple[Lack, ...]:
    """What is missing in total, by item.

    What is drawn adds up over the cases; what has only to lie there is missing once, however many
    cases want it.
    """
    found: dict[str, list[tuple[str, Gap]]] = {}
    for one in served:
        for kind, gap in one.missing():
            found.setdefault(gap.item, []).append((kind, gap))
    return tuple(_lack(item, gaps, served) for item, gaps in sorted(found.items()))


def _lack(item: str, gaps: Sequence[tuple[str, Gap]], served: Sequence[ReadyCase]) -> Lack:
    drawn = sum(d.quantity for one in served for d in one.draws if d.lot.item == item)
    in_kits = sum(gap.short for kind, gap in gaps if kind in (KIT, COMMON))
    beside = [[gap for kind, gap in gaps if kind == kept] for kept in (STANDBY, SPARE)]
    short = in_kits + sum(max((gap.short for gap in kept), default=0) for kept in beside)
    wanted = drawn + in_kits + sum(max((g.wanted for g in kept), default=0) for kept in beside)
    return Lack(
        item, wanted, short, tuple(dict.fromkeys(gap.case for _, gap in gaps)),
        tuple(dict.fromkeys(kind for kind, _ in gaps)),
    )  # fmt: skip
