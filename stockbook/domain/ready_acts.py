"""What would help when something is missing: each act is tried on a copy of the shelf."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from stockbook.domain.facts import Item
from stockbook.domain.list_shares import LIST
from stockbook.domain.picking import Shelf, ShelfRow, why_not_usable
from stockbook.domain.ready import Act, Lack, ReadyCase, Stopped, ToServe, lacks, walk

MOST_STOPPED = 3
"""How many rows that must not be used are named for one item."""

MOST_TRIED = 60
"""How many acts are tried for one item: enough for a day, and an empty store is soon answered."""


@dataclass(frozen=True, slots=True)
class Carry:
    """So much of a row carried to another place."""

    row: ShelfRow
    quantity: int
    to_place: str


@dataclass(frozen=True, slots=True)
class Ground:
    """What the lists stand on: their cases in sequence, what lies where, the places that give."""

    waiting: tuple[ToServe, ...]
    rows: tuple[ShelfRow, ...]
    items: Mapping[str, Item]
    giving: Collection[str]
    """Theatres and stores; nothing is fetched from elsewhere."""

    def tried(
        self, carries: Sequence[Carry] = (), waiting: Sequence[ToServe] | None = None
    ) -> tuple[tuple[ReadyCase, ...], Shelf]:
        """The walk once more, after these were carried or in another sequence."""
        shelf = Shelf(self.rows)
        for one in carries:
            taken = shelf.take(one.row, one.quantity)
            shelf.put(ShelfRow(one.to_place, taken.lot, taken.quantity, taken.value))
        return walk(self.waiting if waiting is None else waiting, shelf, self.items), shelf


def with_acts(ground: Ground, found: Sequence[Lack]) -> tuple[Lack, ...]:
    """Each lack with what would help, nearest first, and what lies there but must not be used."""
    return tuple(
        replace(lack, acts=tuple(_acts(ground, lack)), stopped=tuple(_stopped(ground, lack)))
        for lack in found
    )


def _acts(ground: Ground, lack: Lack) -> Iterator[Act]:
    ground = _about(ground, lack.item)
    served, shelf = ground.tried()
    before = _shorts(served)
    carries, left = _fetched(ground, lack.item, served, shelf)
    yield from _as_acts("fetch", lack.item, carries)
    if left:
        other = _resequenced(ground, lack, before) or _alternative(ground, lack, before)
        yield from other or [Act("none", lack.item, left, _needed_at(ground, lack, carries))]


def _about(ground: Ground, item: str) -> Ground:
    """The part of the ground that has to do with an item, alternatives of it included."""
    linked, grown = {item}, True
    groups = {need.items for one in ground.waiting for need in one.needs if len(need.items) > 1}
    while grown:
        more = {other for group in groups if linked & set(group) for other in group}
        grown = not more <= linked
        linked |= more
    return replace(
        ground, rows=tuple(row for row in ground.rows if row.lot.item in linked),
        waiting=tuple(
            replace(
                one, needs=tuple(n for n in one.needs if n.items[0] in linked),
                to_draw=tuple(n for n in one.to_draw if n.items[0] in linked),
            )
            for one in ground.waiting
        ),
    )  # fmt: skip


def _needed_at(ground: Ground, lack: Lack, carries: Sequence[Carry]) -> str:
    """A place outside reach that has some and needs it itself; nothing if there is none."""
    served, shelf = ground.tried(carries)
    for one in _lacking(served, lack.item):
        for row in _elsewhere(ground, shelf, lack.item, one.waiting):
            return row.place
    return ""


Shorts = Mapping[tuple[str, str], int]
"""How much of an item is missing for a case."""


def _shorts(served: Sequence[ReadyCase]) -> dict[tuple[str, str], int]:
    sums: dict[tuple[str, str], int] = {}
    for one in served:
        for _, gap in one.missing():
            sums[gap.item, gap.case] = sums.get((gap.item, gap.case), 0) + gap.short
    return sums


def _helps(item: str, before: Shorts, after: Shorts) -> bool:
    """Whether less of the item is missing and nobody misses more of anything than before."""
    less = any(after.get(key, 0) < short for key, short in before.items() if key[0] == item)
    return less and all(short <= before.get(key, 0) for key, short in after.items())


def _fetched(
    ground: Ground, item: str, served: Sequence[ReadyCase], shelf: Shelf
) -> tuple[list[Carry], int]:
    """Carrying an item from where nobody misses it; and how much stays short all the same."""
    carries: list[Carry] = []
    before, tries = _shorts(served), 0
    for one in _lacking(served, item):
        for row in _elsewhere(ground, shelf, item, one.waiting):
            for quantity in _amounts(ground, served, one, row):
                if (tries := tries + 1) > MOST_TRIED:
                    break
                tried = [*carries, Carry(row, quantity, one.waiting.theatre)]
                made, left = ground.tried(tried)
                if _helps(item, before, after := _shorts(made)):
                    carries, served, shelf, before = tried, made, left, after
                    break
    return carries, next((lack.short for lack in lacks(served) if lack.item == item), 0)


def _lacking(served: Sequence[ReadyCase], item: str) -> list[ReadyCase]:
    return [one for one in served if any(gap.item == item for _, gap in one.missing())]


def _amounts(
    ground: Ground, served: Sequence[ReadyCase], one: ReadyCase, row: ShelfRow
) -> list[int]:
    """How much of a row to try: all that is short, else one unit less, so that one stays there."""
    item = row.lot.item
    now = next(s for s in served if s.case.code == one.case.code)
    short = sum(gap.short for _, gap in now.missing() if gap.item == item)
    most = min(short, row.quantity)
    less = most - 10 ** ground.items[item].unit_places
    return [n for n in (most, less) if n > 0]


def _as_acts(kind: str, item: str, carries: Sequence[Carry]) -> list[Act]:
    """Carried rows taken together by the places between which they go."""
    sums: dict[tuple[str, str], int] = {}
    for one in carries:
        way = (one.row.place, one.to_place)
        sums[way] = sums.get(way, 0) + one.quantity
    return [Act(kind, item, n, *way) for way, n in sums.items()]


def _elsewhere(ground: Ground, shelf: Shelf, item: str, one: ToServe) -> list[ShelfRow]:
    """Rows outside a case's reach that it might use, there and in its own theatre."""
    return _in_order(
        row for row in shelf.rows(item)
        if row.place in ground.giving and row.place not in one.wish.places
        and why_not_usable(row.lot, row.place, one.wish) is None
        and why_not_usable(row.lot, one.theatre, one.wish) is None
    )  # fmt: skip


def _in_order(rows: Iterable[ShelfRow]) -> list[ShelfRow]:
    return sorted(rows, key=lambda r: (r.place, r.lot.expires_on, r.lot.received_on, r.lot.code))


def _resequenced(ground: Ground, lack: Lack, before: Shorts) -> list[Act]:
    """Another sequence by which nothing of the item is missing, where the order matters at all."""
    if not _hangs_on_order(ground, lack.item):
        return []
    common = {one.case.code for one in ground.waiting if one.case.kind == LIST}
    for code in [code for code in lack.cases if code not in common][:MOST_TRIED]:
        waiting = _first(ground.waiting, code)
        after = _shorts(ground.tried(waiting=waiting)[0])
        if lack.item not in {item for item, _ in after} and _helps(lack.item, before, after):
            return [Act("sequence", lack.item, case=code)]
    return []


def _hangs_on_order(ground: Ground, item: str) -> bool:
    """Whether terms or alternatives make it matter who draws first."""
    if any(row.lot.categories or row.lot.sponsors for row in ground.rows if row.lot.item == item):
        return True
    needs = (need for one in ground.waiting for need in one.to_draw)
    return any(len(need.items) > 1 and item in need.items for need in needs)


def _first(waiting: Sequence[ToServe], code: str) -> list[ToServe]:
    """The case before all others of its list, after what that uses in common."""
    moved = next(one for one in waiting if one.case.code == code)
    rest = [one for one in waiting if one is not moved]
    others = (
        n for n, one in enumerate(rest)
        if one.case.list == moved.case.list and one.case.kind != LIST
    )  # fmt: skip
    at = next(others, len(rest))
    return [*rest[:at], moved, *rest[at:]]


def _alternative(ground: Ground, lack: Lack, before: Shorts) -> list[Act]:
    """One of the kit's own alternatives that lies elsewhere; never another lens."""
    served, shelf = ground.tried()
    for one in _lacking(served, lack.item):
        for need in (n for n in one.waiting.needs if lack.item in n.items):
            for other in (i for i in need.items if not ground.items[i].lens_model):
                carries = _enough(ground, shelf, other, need.quantity, one.waiting)
                after = _shorts(ground.tried(carries)[0]) if carries else before
                if _helps(lack.item, before, after):
                    return _as_acts("alternative", other, carries)
    return []


def _enough(ground: Ground, shelf: Shelf, item: str, quantity: int, one: ToServe) -> list[Carry]:
    """So much of an item carried to a case's theatre from wherever it lies."""
    carries = []
    for row in _elsewhere(ground, shelf, item, one):
        part = min(quantity, row.quantity)
        if part:
            carries.append(Carry(row, part, one.theatre))
            quantity -= part
    return carries


def _stopped(ground: Ground, lack: Lack) -> Iterator[Stopped]:
    """What lies there of the item and does not help the first case that lacks it, and why."""
    one = next(w for w in ground.waiting if w.case.code == lack.cases[0])
    rows = _in_order(row for row in ground.rows if row.lot.item == lack.item)
    found = [Stopped(r.place, r.quantity, why) for r in rows if (why := _against(ground, r, one))]
    yield from found[:MOST_STOPPED]


def _against(ground: Ground, row: ShelfRow, one: ToServe) -> str | None:
    """Why a row stays where it is; none where the case draws from it or it may be fetched."""
    why = why_not_usable(row.lot, row.place, one.wish)
    if why or row.place in one.wish.places:
        return why
    return None if row.place in ground.giving else "set apart"
