"""Kits: what a case needs, and how much of it a shelf can give."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from stockbook.domain.facts import Case, Kit, KitLine
from stockbook.domain.picking import Draw, Shelf, Wish, has_usable, usable_quantity

LINE_KINDS = (
    "always", "when", "one-of", "standby", "lens", "with-lens", "with-machine", "per-list",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Need:
    """One thing to draw (or, on standby, to have in reach): alternatives in order, in steps."""

    items: tuple[str, ...]
    quantity: int
    standby: bool = False


@dataclass(frozen=True, slots=True)
class Gap:
    """A need the shelf cannot meet: how much was wanted and how much is usable."""

    case: str
    item: str
    wanted: int
    usable: int

    @property
    def short(self) -> int:
        """How much is missing."""
        return self.wanted - self.usable


@dataclass(frozen=True, slots=True)
class Plan:
    """What a kit draws, what is missing and which standby lines are not in reach."""

    draws: tuple[Draw, ...]
    gaps: tuple[Gap, ...]
    standby: tuple[Gap, ...]


def kit_code(procedure: str, category: str, surgeon: str | None = None) -> str:
    """The code of a kit, or of a surgeon's differences from it."""
    return f"{procedure}/{category}" + (f"/{surgeon}" if surgeon else "")


Sourced = tuple[KitLine, str]
"""A line and the kit it stands in."""


def with_differences(lines: Sequence[KitLine], differences: Sequence[KitLine]) -> list[KitLine]:
    """A kit's lines with somebody's differences, item by item.

    The lines of an item that a difference names give way to the differences about it; a quantity
    of nothing leaves it out; an item the kit lacks is added.

    >>> blade = KitLine("always", ("BLADE-22",), 1)
    >>> with_differences([blade], [KitLine("always", ("BLADE-22",), 0)])
    []
    """
    return [line for line, _ in laid_over([(line, "") for line in lines], differences, "")]


def laid_over(
    lines: Sequence[Sourced], differences: Sequence[KitLine], source: str
) -> list[Sourced]:
    """Lines with differences over them; each line keeps, or gets, the name of its kit."""
    about: dict[tuple[str, ...], list[Sourced]] = {}
    for line in differences:
        about.setdefault(line.items[:1], []).append((line, source))
    named = set(about)
    merged: list[Sourced] = []
    for one in lines:
        first = one[0].items[:1]
        merged += about.pop(first, []) if first in named else [one]
    merged += [one for rest in about.values() for one in rest]
    return [one for one in merged if one[0].quantity]


def needs_of(lines: Sequence[KitLine], requirements: Collection[str], lens: str) -> list[Need]:
    """What the lines ask for with these requirements; `lens` is the item at the case's power."""
    needs = []
    for line in lines:
        if line.kind == "when" and line.requirement not in requirements:
            continue
        items = (lens,) if line.kind == "lens" else line.items
        needs.append(Need(items, line.quantity, standby=line.kind == "standby"))
    return needs


def wants_lens(lines: Sequence[KitLine]) -> bool:
    """Whether a kit takes a lens at all."""
    return any(line.kind == "lens" for line in lines)


def rescues_of(lines: Sequence[KitLine]) -> list[str]:
    """The rescues that standby lines are for."""
    return sorted({x.requirement for x in lines if x.kind == "standby" and x.requirement})


def rescue_lines(lines: Sequence[KitLine], word: str | None) -> list[KitLine]:
    """The standby lines of a rescue; without a word all of them."""
    return [x for x in lines if x.kind == "standby" and word in (None, x.requirement)]


def once_for_all(lines: Sequence[KitLine]) -> list[tuple[tuple[str, ...], int]]:
    """Lines *per list* of several kits taken once: of each item the greatest quantity, in steps."""
    most: dict[tuple[str, ...], int] = {}
    for line in lines:
        if line.kind == "per-list":
            most[line.items] = max(most.get(line.items, 0), line.quantity)
    return list(most.items())


def unknown_requirements(kit: Kit, requirements: Collection[str]) -> list[str]:
    """Requirements of a case that no line of its kit answers."""
    return sorted(set(requirements) - set(requirements_of(kit.lines)))


def requirements_of(lines: Sequence[KitLine]) -> list[str]:
    """The words that lines *when required* answer."""
    return sorted({str(line.requirement) for line in lines if line.kind == "when"})


def chosen(need: Need, shelf: Shelf, wish: Wish) -> str:
    """The first alternative that is there in full, else the first one."""
    if len(need.items) == 1:
        return need.items[0]
    return next(
        (item for item in need.items if has_usable(shelf, item, wish, need.quantity)),
        need.items[0],
    )


def plan(
    case: Case, needs: Sequence[Need], shelf: Shelf, wish: Wish, given: Mapping[str, int]
) -> Plan:
    """Draw a case's needs from the shelf; `given` is what the hand already holds, per item."""
    draws: list[Draw] = []
    gaps: list[Gap] = []
    held = dict(given)
    for need in needs:
        if need.standby:
            continue
        in_hand = next((i for i in need.items if held.get(i)), None) if held else None
        item = in_hand or chosen(need, shelf, wish)
        taken = min(held.get(item, 0), need.quantity) if in_hand else 0
        if in_hand:
            held[in_hand] -= taken
        made, short = shelf.draw(item, need.quantity - taken, wish)
        draws += made
        if short:
            gaps.append(Gap(case.code, item, need.quantity, need.quantity - short))
    return Plan(tuple(draws), tuple(gaps), out_of_reach(case, needs, shelf, wish))


def unasked(needs: Sequence[Need], held: Mapping[str, int]) -> dict[str, int]:
    """What is held beyond what the needs ask for, per item in steps.

    >>> unasked([Need(("A", "B"), 2)], {"B": 3, "C": 1})
    {'B': 1, 'C': 1}
    """
    left = dict(held)
    for need in (n for n in needs if not n.standby):
        item = next((i for i in need.items if left.get(i)), None)
        if item:
            left[item] -= min(left[item], need.quantity)
    return {item: quantity for item, quantity in left.items() if quantity}


def out_of_reach(case: Case, needs: Sequence[Need], shelf: Shelf, wish: Wish) -> tuple[Gap, ...]:
    """Standby lines of which no alternative is there in full, as the shelf is now."""
    found = []
    for need in (n for n in needs if n.standby):
        item = chosen(need, shelf, wish)
        if not has_usable(shelf, item, wish, need.quantity):
            usable = usable_quantity(shelf, item, wish)
            found.append(Gap(case.code, item, need.quantity, usable))
    return tuple(found)
