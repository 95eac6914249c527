"""What the counted cases of a period took, and what they would take with other lenses and kits."""

import sqlite3
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from stockbook.domain.case_use import CategoryUse, ItemUse, Uses, bought, less, made, together
from stockbook.domain.cost_groups import CaseSum
from stockbook.domain.deliveries import GIVEN
from stockbook.domain.facts import Case, Item, KitLine, OperatingList
from stockbook.domain.kit_versions import fits, sourced
from stockbook.domain.what_if_answer import Asked
from stockbook.errors import InputError
from stockbook.jobs.kits_in_force import KitAsked, layers_of
from stockbook.ledger.facts import all_of
from stockbook.ledger.money import ended_items
from stockbook.ledger.stock import last_price


@dataclass
class Prices:
    """What one step of an item costs: as asked, else as last paid."""

    db: sqlite3.Connection
    asked: Mapping[str, tuple[int, int]]
    lenses: Mapping[str, Item]
    """Every lens of the book by its code."""
    _paid: dict[str, Fraction | None] = field(default_factory=dict)

    def given(self, item: str) -> Fraction | None:
        """The price that was asked about, of an item or of its lens model; none where none was."""
        lens = self.lenses.get(item)
        found = self.asked.get(item) or (self.asked.get(str(lens.lens_model)) if lens else None)
        return Fraction(*found) if found else None

    def of(self, item: str) -> Fraction | None:
        """The price of one step; none where nothing was ever paid.

        A lens of a power that was never paid for is taken to cost as much as the dearest of its
        model.
        """
        for found in (self.given, self._last, self._dearest):
            price = found(item)
            if price is not None:
                return price
        return None

    def model(self, model: str) -> list[Item]:
        """The lenses of a model."""
        return [item for item in self.lenses.values() if item.lens_model == model]

    def _last(self, item: str) -> Fraction | None:
        if item not in self._paid:
            paid = last_price(self.db, item)
            self._paid[item] = Fraction(*paid) if paid else None
        return self._paid[item]

    def _dearest(self, item: str) -> Fraction | None:
        lens = self.lenses.get(item)
        same = self.model(str(lens.lens_model)) if lens else []
        return max((p for one in same if (p := self._last(one.code)) is not None), default=None)

    def needed(self, item: str) -> Fraction:
        """The same of what has to be bought; refused where it is not known."""
        found = self.of(item)
        if found is None:
            raise InputError(f"{item}: no price is known. Give one with --price {item} AMOUNT.")
        return found


@dataclass(frozen=True, slots=True)
class Ground:
    """The counted cases of a period by category, each with what it took."""

    cases: Mapping[str, Mapping[str, Uses]]
    """By category and case."""
    prices: Prices

    def use(self, category: str) -> CategoryUse:
        """A category's cases together."""
        own = self.cases.get(category, {})
        return CategoryUse(category, len(own), together(own.values()))


def ground_of(
    db: sqlite3.Connection, period: tuple[str, str], sums: Sequence[CaseSum], prices: Prices
) -> Ground:
    """What each counted case took, item by item: together exactly what the cases cost."""
    category = {one.case: one.group for one in sums}
    found: dict[str, dict[str, Uses]] = {}
    for case in category:
        found.setdefault(category[case], {})[case] = {}
    for case, item, terms, steps, value in ended_items(db, *period):
        if case in category:
            own = found[category[case]][case]
            given = terms in GIVEN
            use = ItemUse(given=steps, given_value=value) if given else ItemUse(steps, value)
            own[item] = own.get(item, ItemUse()).plus(use)
    return Ground(found, prices)


@dataclass
class Lenses:
    """A change of lens: what each case takes instead, companions of the models included."""

    db: sqlite3.Connection
    ground: Ground
    at_dearest: int = 0
    """Lenses of a power that the new model has not, reckoned at its dearest price."""
    _kits: dict[KitAsked, list[KitLine]] = field(default_factory=dict)
    _items: dict[tuple[str, int | None], Item] = field(default_factory=dict)

    def changed(self, category: str, model: str) -> CategoryUse:
        """A category's use if every lens were of this model, at the same power."""
        own = self.ground.cases.get(category, {})
        cases = {case.code: case for case in all_of(self.db, Case, code=set(own))}
        lists = all_of(self.db, OperatingList, code={case.list for case in cases.values()})
        days = {one.code: one.day for one in lists}
        found = [
            self._case(cases[code], days.get(cases[code].list, ""), uses, model)
            for code, uses in own.items()
        ]
        return CategoryUse(category, len(own), together(found))

    def _case(self, case: Case, day: str, uses: Uses, model: str) -> Uses:
        """One case: other lenses, then what goes with the one and not with the other."""
        all_lenses = self.ground.prices.lenses
        old = [i for i in uses if i in all_lenses and all_lenses[i].lens_model != model]
        if not old:
            return uses
        kept = {item: use for item, use in uses.items() if item not in old}
        new = [self._lens(model, all_lenses[item], uses[item]) for item in old]
        found = together([kept, *new])
        if case.lens_model == model or not case.procedure or not case.category:
            return found
        return self._companions(found, self._lines(case, day), case.lens_model, model)

    def _lens(self, model: str, old: Item, use: ItemUse) -> Uses:
        """As many lenses of the model at the same power; of its dearest where it has none such."""
        key = model, old.power
        if key not in self._items:
            self._items[key] = self._item(model, old.power)
        item = self._items[key]
        if item.power != old.power:
            self.at_dearest += int(use.quantity)
        return {item.code: bought(use.quantity, self.ground.prices.needed(item.code))}

    def _item(self, model: str, power: int | None) -> Item:
        prices = self.ground.prices
        same = [item for item in prices.model(model) if prices.of(item.code) is not None]
        if not same:
            raise InputError(
                f"lens model {model}: no price is known. Give one with --price {model} AMOUNT."
            )
        fitting = [item for item in same if item.power == power]
        return max(fitting or same, key=lambda item: (prices.needed(item.code), item.code))

    def _lines(self, case: Case, day: str) -> list[KitLine]:
        asked = KitAsked(str(case.procedure), str(case.category), case.surgeon, day)
        if asked not in self._kits:
            self._kits[asked] = [line for line, _ in sourced(layers_of(self.db, asked))]
        return self._kits[asked]

    def _companions(self, uses: Uses, lines: Sequence[KitLine], old: str | None, new: str) -> Uses:
        """Without what went with the old model alone, with what goes with the new one alone."""
        before, after = _going_with(lines, old), _going_with(lines, new)
        found = dict(uses)
        for item, steps in (before - after).items():
            found[item] = less(found.get(item, ItemUse()), steps)
        added = {
            item: bought(steps, self.ground.prices.needed(item))
            for item, steps in (after - before).items()
        }
        return together([found, added])


def _going_with(lines: Iterable[KitLine], model: str | None) -> Counter[str]:
    """By item, the steps that go with a lens model."""
    found: Counter[str] = Counter()
    for line in lines:
        if line.kind == "with-lens" and fits(line, model, ()):
            found[line.items[0]] += line.quantity
    return found


def with_kits_and_prices(use: CategoryUse, asked: Asked, prices: Prices) -> CategoryUse:
    """A category's use with other amounts of items, then with everything at the prices asked."""
    uses = dict(use.uses)
    for (category, item), (steps, _) in asked.kits.items():
        if category == use.category:
            wanted, own = steps * use.cases, uses.get(item, ItemUse())
            price = prices.needed(item) if wanted > own.quantity else Fraction(0)
            uses[item] = made(own, wanted, price)
    for item, own in uses.items():
        given = prices.given(item)
        if given is not None:
            uses[item] = own.at(given)
    return CategoryUse(use.category, use.cases, uses)
