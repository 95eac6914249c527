"""What a category's cases took of each item, and how that changes when a price or a kit does."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

Amount = Fraction | int
"""Steps or minor units: whole as long as nothing was divided, which counts over many cases."""


@dataclass(frozen=True, slots=True)
class ItemUse:
    """What was used and wasted of one item: bought and given finest steps, with their values."""

    bought: Amount = 0
    value: Amount = 0
    given: Amount = 0
    given_value: Amount = 0

    @property
    def quantity(self) -> Amount:
        """Bought and given."""
        return self.bought + self.given

    @property
    def cost(self) -> Amount:
        """What both bear in the ledger; what was given bears its freight at most."""
        return self.value + self.given_value

    def plus(self, other: "ItemUse") -> "ItemUse":
        """Both together."""
        return ItemUse(
            self.bought + other.bought, self.value + other.value,
            self.given + other.given, self.given_value + other.given_value,
        )  # fmt: skip

    def times(self, factor: Fraction) -> "ItemUse":
        """A part of it, or several times it."""
        return ItemUse(
            self.bought * factor, self.value * factor, self.given * factor,
            self.given_value * factor,
        )  # fmt: skip

    def at(self, price: Fraction) -> "ItemUse":
        """What was bought at another price of a step; what was given stays given."""
        return ItemUse(self.bought, self.bought * price, self.given, self.given_value)


Uses = dict[str, ItemUse]
"""By item."""


def bought(quantity: Amount, price: Fraction) -> ItemUse:
    """So many steps, bought at a price of a step."""
    return ItemUse(quantity, quantity * price)


def together(many: Iterable[Mapping[str, ItemUse]]) -> Uses:
    """All of them, item by item."""
    found: Uses = {}
    for uses in many:
        for item, use in uses.items():
            found[item] = found.get(item, ItemUse()).plus(use)
    return found


def less(use: ItemUse, quantity: Amount) -> ItemUse:
    """What is left when so many steps are not taken; the value goes with the quantity."""
    if use.quantity <= 0:
        return use
    return use.times(1 - min(Fraction(1), Fraction(quantity, use.quantity)))


def made(use: ItemUse, quantity: Amount, price: Fraction) -> ItemUse:
    """So many steps instead: less of what was taken, or more of it bought at a price.

    Three steps worth 30; two, and four at 12 for the fourth:

    >>> three = ItemUse(3, 30)
    >>> made(three, 2, Fraction(12)).cost, made(three, 4, Fraction(12)).cost
    (Fraction(20, 1), Fraction(42, 1))
    """
    if quantity <= use.quantity:
        return less(use, use.quantity - quantity) if use.quantity > 0 else ItemUse()
    return use.plus(bought(quantity - use.quantity, price))


@dataclass(frozen=True, slots=True)
class CategoryUse:
    """A category's counted cases and all that they took."""

    category: str
    cases: int
    uses: Mapping[str, ItemUse]

    @property
    def cost(self) -> Amount:
        """The value of all of it, in minor units."""
        return sum((use.cost for use in self.uses.values()), 0)

    def of(self, items: Iterable[str]) -> ItemUse:
        """What they took of these items together."""
        found = ItemUse()
        for item in items:
            found = found.plus(self.uses.get(item, ItemUse()))
        return found
