"""Kits: what a case needs, and how much of it a shelf can give."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from stockbook.domain.facts import Case, Kit, KitLine
from stockbook.domain.picking import Draw, Shelf, Wish, has_usable, usable_quantity

LINE_KINDS = ("always", "when", "one-of", "standby", "lens")


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


def with_differences(lines: Sequence[KitLine], differences: Sequence[KitLine]) -> list[KitLine]:
    """A kit's lines with a surgeon's differences, item by item.

    The lines of an item that a difference names give way to the differences about it; a quantity
    of nothing leaves it out; an item the kit lacks is added.

    >>> blade = KitLine("always", ("BLADE-22",), 1)
    >>> with_differences([blade], [KitLine("always", ("BLADE-22",), 0)])
    []
    """
    about: dict[tuple[str, ...], list[KitLine]] = {}
    for line in differences:
        about.setdefault(line.items[:1], []).append(line)
    named = set(about)
    merged: list[KitLine] = []
    for line in lines:
        merged += about.pop(line.items[:1], []) if line.items[:1] in named else [line]
    merged += [line for rest in about.values() for line in rest]
    return [line for line in merged if line.quantity]


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


def unknown_requirements(kit: Kit, requirements: Collection[str]) -> list[str]:
    """Requirements of a case that no line of its kit answers."""
    known = {line.requirement for line in kit.lines}
    return sorted(set(requirements) - {r for r in known if r})


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
