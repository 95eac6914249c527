"""What a kit is, line by line, ready to be shown, changed and asked about."""

from collections.abc import Mapping
from dataclasses import dataclass

from stockbook.domain.amounts import half_even
from stockbook.domain.facts import Item, Kit, KitLine
from stockbook.domain.kit_versions import ANY, unversioned
from stockbook.domain.kits import Sourced


@dataclass(frozen=True, slots=True)
class Kits:
    """Versions of kits with the items they name."""

    kits: tuple[Kit, ...]
    items: Mapping[str, Item]

    def differs(self, kit: Kit) -> bool:
        """Whether a kit holds differences from another one of these."""
        bases = {unversioned(one.code) for one in self.kits}
        return is_difference(kit, bases)


def is_difference(kit: Kit, bases: set[str]) -> bool:
    """Whether a kit holds differences: a surgeon's, or a category's from a base for any."""
    return kit.surgeon is not None or (kit.category != ANY and f"{kit.procedure}/{ANY}" in bases)


@dataclass(frozen=True, slots=True)
class ShownLine:
    """A line of a kit: where it comes from, whether it goes with what was asked, what it costs.

    `price` is the last price paid, minor units for so many steps; none if never known.
    """

    line: KitLine
    source: str
    fits: bool
    items: tuple[Item, ...]
    price: tuple[int, int] | None

    @property
    def cost(self) -> int | None:
        """What the line's quantity of its first alternative costs, in minor units."""
        return None if self.price is None else half_even(
            self.price[0] * self.line.quantity, self.price[1]
        )  # fmt: skip

    @property
    def unit_cost(self) -> int | None:
        """What one unit of the first alternative costs, in minor units."""
        if self.price is None or not self.items:
            return None
        return half_even(self.price[0] * 10 ** self.items[0].unit_places, self.price[1])

    @property
    def is_drawn(self) -> bool:
        """Whether every case draws it: not on standby, not only when required, not the list's."""
        return self.fits and self.line.kind not in ("when", "standby", "per-list")


@dataclass(frozen=True, slots=True)
class KitView:
    """One kit explained for a day: every line of it, and the kits it is made of."""

    code: str
    day: str
    theatre: str | None
    lens_model: str | None
    layers: tuple[Kit, ...]
    lines: tuple[ShownLine, ...]
    items: Mapping[str, Item]

    @property
    def total(self) -> int:
        """What every case draws, in minor units, as far as prices are known."""
        return sum(line.cost or 0 for line in self.lines if line.is_drawn)

    @property
    def unpriced(self) -> tuple[str, ...]:
        """What every case draws and has no price yet."""
        return tuple(
            " or ".join(one.line.items) or "the lens"
            for one in self.lines if one.is_drawn and one.cost is None
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class KitChange:
    """A new version of a kit beside the one that held before; entry is none while it waits."""

    kit: Kit
    before: Kit | None
    items: Mapping[str, Item]
    entry: int | None = None

    @property
    def gone(self) -> tuple[KitLine, ...]:
        """Lines of the version before that the new one has not."""
        return tuple(x for x in (self.before.lines if self.before else ()) if x not in
                     self.kit.lines)  # fmt: skip

    @property
    def added(self) -> tuple[KitLine, ...]:
        """Lines that are new."""
        known = self.before.lines if self.before else ()
        return tuple(line for line in self.kit.lines if line not in known)


def why(one: Sourced) -> str:
    """Why a line is in a case's kit, in words.

    >>> why((KitLine("when", ("DYE",), 1, "dye"), "PHACO/paid/SB@2027-03-01"))
    'when dye is required, difference of surgeon SB'
    """
    line, source = one
    word = line.requirement
    words = {
        "always": "always", "one-of": "the first of these that is there", "lens": "the case's lens",
        "when": f"when {word} is required", "per-list": "once for the list",
        "standby": f"standby for {word}, not drawn" if word else "standby, not drawn",
        "with-lens": f"goes with lens {word}", "with-machine": f"goes with machine {word}",
    }[line.kind]  # fmt: skip
    return f"{words}, {_source(source)}"


def _source(code: str) -> str:
    """Which kit a line stands in."""
    _, category, *surgeon = unversioned(code).split("/")
    if surgeon:
        return f"difference of surgeon {surgeon[0]}"
    return "base" if category == ANY else f"category {category}"


def changed_lines(
    lines: tuple[KitLine, ...], given: tuple[KitLine, ...], without: tuple[str, ...], *,
    differs: bool,
) -> tuple[KitLine, ...]:  # fmt: skip
    """A version's lines with those given in the place of what they are about.

    What is to be left out is no line of a whole kit; a kit of differences says nothing of it.
    """
    named = {line.items[:1] for line in given} | {(item,) for item in without}
    waiting: dict[tuple[str, ...], list[KitLine]] = {}
    for line in given:
        waiting.setdefault(line.items[:1], []).append(line)
    for item in without if differs else ():
        waiting.setdefault((item,), []).append(KitLine("always", (item,), 0))
    made: list[KitLine] = []
    for line in lines:
        first = line.items[:1]
        made += waiting.pop(first, []) if first in named else [line]
    return (*made, *(line for rest in waiting.values() for line in rest))
