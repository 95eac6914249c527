"""Walking a day's lists over the shelf with the real picking rule, for the lenses alone."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from stockbook.domain.list_changes import Consequences, MissingLens
from stockbook.domain.picking import Shelf, Wish, pick, usable_quantity


@dataclass(frozen=True, slots=True)
class LensAsked:
    """A case's own lens: model and power in words, its item (none: not in the book), its wish."""

    case: str
    lens: str
    item: str | None
    wish: Wish


@dataclass(frozen=True, slots=True)
class LensWalk:
    """What the lists ask for, the cases that get none, how many spares are left of each."""

    asked: Counter[str]
    missing: tuple[MissingLens, ...]
    spares: dict[str, int]


def walk_lenses(asked: Iterable[LensAsked], shelf: Shelf) -> LensWalk:
    """Each case takes its lens in turn; a spare is a unit still usable in reach afterwards."""
    cases = list(asked)
    left = shelf.copy()
    missing = []
    for one in cases:
        if one.item is None or pick(left, one.item, 1, one.wish).short:
            missing.append(MissingLens(one.case, one.lens, _why_missing(one, shelf)))
    spares: dict[str, int] = {}
    for one in cases:
        there = usable_quantity(left, one.item, one.wish) if one.item else 0
        spares[one.lens] = min(there, spares.get(one.lens, there))
    return LensWalk(Counter(one.lens for one in cases), tuple(missing), spares)


def _why_missing(one: LensAsked, shelf: Shelf) -> str:
    """Why a case gets no lens: what lies in reach is needed before it, or where else it lies."""
    if one.item is None:
        return "no item of this book"
    there = usable_quantity(shelf, one.item, one.wish)
    if there:
        return f"{there} in reach, needed by cases before it"
    elsewhere = [f"{row.quantity} in {row.place}" for row in shelf.rows(one.item)]
    return f"none usable in reach; {', '.join(elsewhere) or 'none anywhere'}"


def consequences(before: LensWalk, after: LensWalk) -> Consequences:
    """Lenses missing once the list is taken, those it frees, those of which no spare is left.

    A lens that was missing before is named still; a spare is lost where there was one before.
    """
    missing = {one.lens for one in after.missing}
    freed = before.asked - after.asked
    lost = [
        lens for lens, spare in after.spares.items()
        if not spare and lens not in missing and before.spares.get(lens, 1)
    ]  # fmt: skip
    return Consequences(after.missing, tuple(sorted(freed.elements())), tuple(sorted(lost)))
