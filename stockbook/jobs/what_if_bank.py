"""The lens bank that a change of lens asks for, and what it leaves behind of the old one."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from stockbook.domain.amounts import half_even
from stockbook.domain.asking import AsOf
from stockbook.domain.case_use import CategoryUse
from stockbook.domain.lens_bank import LensMove
from stockbook.domain.picking import ShelfRow
from stockbook.domain.what_if_answer import NewBank, OldBank
from stockbook.jobs.lens import MOST_LENSES, lens_bank
from stockbook.jobs.stock import stopped
from stockbook.jobs.what_if_use import Prices
from stockbook.ledger.as_of import reading_as_of
from stockbook.ledger.opening import Book
from stockbook.ledger.stock import lenses, on_hand, quarantines

Lying = Mapping[str, Sequence[ShelfRow]]
"""By lens model: usable rows on shelves."""


@dataclass(frozen=True, slots=True)
class LensChange:
    """What the cases say of lenses: used by category and model, over so many days; what new ones
    cost by item."""

    used: Mapping[str, Mapping[str, int]]
    prices: Mapping[str, Fraction]
    days: int

    def of_model(self, model: str) -> int:
        """How many lenses of a model all cases took."""
        return sum(models.get(model, 0) for models in self.used.values())

    def leaving(self, old: str, names: Collection[str]) -> int:
        """How many lenses of a model the cases of these categories took."""
        return sum(self.used.get(name, {}).get(old, 0) for name in names)


def models_used(use: CategoryUse, prices: Prices) -> dict[str, int]:
    """By lens model, how many lenses a category's cases took."""
    found: dict[str, int] = {}
    for item, own in use.uses.items():
        if item in prices.lenses and own.quantity > 0:
            model = str(prices.lenses[item].lens_model)
            found[model] = found.get(model, 0) + int(own.quantity)
    return found


def lens_prices(prices: Prices, models: Collection[str]) -> dict[str, Fraction]:
    """What one lens costs of every power of these models."""
    codes = [item.code for model in models for item in prices.model(model)]
    return {code: price for code in codes if (price := prices.of(code)) is not None}


def new_banks(
    book: Book, as_of: AsOf, wanted: Mapping[str, str], change: LensChange
) -> tuple[NewBank, ...]:
    """One for each model that categories change to; `wanted` is the model by category."""
    lying = _lying(book, as_of) if wanted else {}
    found = []
    for model in sorted(set(wanted.values())):
        leaving = sorted(name for name, to in wanted.items() if to == model)
        models = sorted({m for name in leaving for m in change.used.get(name, {})} - {model})
        old = tuple(_old_bank(one, leaving, wanted, change, lying) for one in models)
        size = _size(model, change, lying, old)
        if old and size:
            best = lens_bank(
                book, as_of.day, model=model, size=str(min(size, MOST_LENSES)), as_of=as_of
            )
            found.append(_bank(model, tuple(leaving), size, best.add, change, old))
    return tuple(found)


def _lying(book: Book, as_of: AsOf) -> Lying:
    """What lies on shelves of each lens model and may be used."""
    found: dict[str, list[ShelfRow]] = {}
    with reading_as_of(book, as_of) as db:
        items, stops = {item.code: item for item in lenses(db)}, quarantines(db)
        for row in on_hand(db, items=set(items)):
            if not row.place.startswith("trolley/") and not stopped(row, items, as_of.day, stops):
                found.setdefault(str(items[row.lot.item].lens_model), []).append(row)
    return found


def _count(rows: Sequence[ShelfRow]) -> int:
    return max(0, sum(row.quantity for row in rows))


def _old_bank(
    old: str, leaving: Sequence[str], wanted: Mapping[str, str], change: LensChange, lying: Lying
) -> OldBank:
    rows, moved = lying.get(old, ()), change.leaving(old, leaving)
    stays = sorted(
        name for name, models in change.used.items()
        if models.get(old) and wanted.get(name, old) == old
    )  # fmt: skip
    return OldBank(
        old, _count(rows), sum(row.value for row in rows), moved, change.of_model(old),
        tuple(stays), half_even(_count(rows) * change.days * 10, moved * 7),
    )  # fmt: skip


def _size(model: str, change: LensChange, lying: Lying, old: Sequence[OldBank]) -> int:
    """As many lenses as serve those cases now, beside those that serve who uses the model now."""
    part = sum((Fraction(one.lenses * one.moved, one.used) for one in old), Fraction(0))
    return ceil(part) + (_count(lying.get(model, ())) if change.of_model(model) else 0)


def _bank(
    model: str, categories: tuple[str, ...], size: int, add: Sequence[LensMove],
    change: LensChange, old: tuple[OldBank, ...],
) -> NewBank:  # fmt: skip
    cost = sum((move.lenses * change.prices[move.item.code] for move in add), Fraction(0))
    lenses_added = sum(move.lenses for move in add)
    return NewBank(model, categories, size, lenses_added, half_even(*cost.as_integer_ratio()), old)
