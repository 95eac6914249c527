"""A lens bank put together: shares from use, the best bank, the way to it from what lies there."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stockbook.domain.facts import Item
from stockbook.domain.leftover import RecentUse
from stockbook.domain.lens_bank import Bank, BankAsked, LensBank, LensCell, LensMove, ModelBank
from stockbook.domain.picking import ShelfRow
from stockbook.errors import InputError
from stockbook.forecast.lens_bank import (
    best_bank,
    best_for_budget,
    chance_of_more,
    chances_of,
    millionths,
)
from stockbook.forecast.lens_shares import model_weights, power_shares

Shares = Mapping[str, Mapping[int, float]]
"""By model and power."""


@dataclass(frozen=True, slots=True)
class Shelves:
    """What the book says: items, use and price of every lens; the rows of those asked about."""

    day: str
    items: Mapping[str, Item]
    use: Mapping[str, RecentUse]
    rows: tuple[ShelfRow, ...]
    not_usable: int
    prices: Mapping[str, int]
    planned: Mapping[str, int]
    """By item: cases of lists to come that are planned with it and are not issued yet."""
    use_days: int
    below_nothing: int
    ordered: Mapping[str, int]
    """By item: lenses to come on open orders."""

    def lying(self, items: Sequence[Item]) -> list[int]:
        """Usable lenses on shelves of each of these items."""
        found = dict.fromkeys((item.code for item in self.items.values()), 0)
        for row in self.rows:
            found[row.lot.item] += max(0, row.quantity)
        return [found[item.code] for item in items]


@dataclass(frozen=True, slots=True)
class _Plan:
    """The cells in the reckoning, one as the other: items, shares of all patients, lenses."""

    items: tuple[Item, ...]
    shares: tuple[float, ...]
    now: tuple[int, ...]
    best: tuple[int, ...]
    wanted: tuple[int, ...]
    """The chance that one lens more than now is wanted, in parts of a million."""
    beyond_best: tuple[int, ...]
    """The same of one lens more than at best."""


def bank_of(shelves: Shelves, asked: BankAsked, mean: int, deviation: int) -> LensBank:
    """The answer: every model of those asked about, the bank now, the best bank, the moves."""
    counts: dict[str, dict[int, int]] = {}
    for item in shelves.items.values():
        used = counts.setdefault(str(item.lens_model), {})
        used[int(item.power or 0)] = max(0, shelves.use[item.code].quantity)
    shares = power_shares(counts, mean, deviation)
    names = [asked.model] if asked.model else sorted(counts)
    weights = model_weights({name: sum(counts[name].values()) for name in names})
    plan = _planned(shelves, asked, shares, weights)
    add = _to_add(shelves, plan)
    return LensBank(
        shelves.day, asked, asked.size or sum(plan.best),
        tuple(_model(shelves, asked, name, shares, weights.get(name), plan) for name in names),
        shelves.not_usable, _bank(plan.shares, plan.now, asked),
        _bank(plan.shares, plan.best, asked), add, _to_send_back(shelves, asked, plan),
        mean, deviation, shelves.use_days,
        sum(move.price or 0 for move in add) if asked.budget is not None else None,
        below_nothing=shelves.below_nothing,
    )  # fmt: skip


def _planned(
    shelves: Shelves, asked: BankAsked, shares: Shares, weights: Mapping[str, float]
) -> _Plan:
    items = _in_order(shelves, list(weights))
    cells = [weights[_model_of(item)] * shares[_model_of(item)][_power_of(item)] for item in items]
    now = shelves.lying(items)
    rates = [asked.patients * share for share in cells]
    best = _best(shelves, asked, items, rates, now)
    return _Plan(
        tuple(items), tuple(cells), tuple(now), tuple(best),
        tuple(_wanted(rates, now, asked)), tuple(_wanted(rates, best, asked)),
    )  # fmt: skip


def _wanted(rates: Sequence[float], stock: Sequence[int], asked: BankAsked) -> list[int]:
    return [
        millionths(chance_of_more(rate, lenses, spare=asked.spare))
        for rate, lenses in zip(rates, stock, strict=True)
    ]


def _best(
    shelves: Shelves, asked: BankAsked, items: Sequence[Item], rates: Sequence[float],
    now: Sequence[int],
) -> list[int]:  # fmt: skip
    """The best bank of the size asked for, or of as many as lie there; or what the budget makes."""
    if asked.budget is None:
        return best_bank(rates, asked.size or sum(now), spare=asked.spare)
    prices = [shelves.prices.get(item.code) for item in items]
    if not any(price is not None for price in prices):
        raise InputError(
            "--budget: no price is known of any lens asked about. Receive one with its price, or "
            "ask for a number of lenses with --size N."
        )
    added = best_for_budget(rates, prices, asked.budget, now, spare=asked.spare)
    return [lenses + more for lenses, more in zip(now, added, strict=True)]


def _in_order(shelves: Shelves, models: Sequence[str]) -> list[Item]:
    """The items of these models, by model and power."""
    found = [item for item in shelves.items.values() if item.lens_model in models]
    return sorted(found, key=lambda item: (_model_of(item), _power_of(item)))


def _model_of(item: Item) -> str:
    return str(item.lens_model)


def _power_of(item: Item) -> int:
    return int(item.power or 0)


def _bank(shares: Sequence[float], stock: Sequence[int], asked: BankAsked) -> Bank:
    plain, spare = (chances_of(shares, stock, asked.patients, spare=s) for s in (False, True))
    return Bank(sum(stock), plain, spare)


def _model(
    shelves: Shelves, asked: BankAsked, model: str, shares: Shares, weight: float | None,
    plan: _Plan,
) -> ModelBank:  # fmt: skip
    """One model with all its powers; its bank is asked about the next patients of its own."""
    items = _in_order(shelves, [model])
    now = shelves.lying(items)
    own = [shares[model][_power_of(item)] for item in items]
    known = {item.code: n for n, item in enumerate(plan.items)}
    cells = []
    for item, lenses, share in zip(items, now, own, strict=True):
        n = known.get(item.code)
        cells.append(LensCell(
            item, lenses, shelves.use[item.code], millionths(share),
            None if n is None else plan.wanted[n], None if n is None else plan.best[n],
            shelves.planned.get(item.code, 0), shelves.ordered.get(item.code, 0),
        ))  # fmt: skip
    share_of_all = None if weight is None else millionths(weight)
    return ModelBank(model, tuple(cells), share_of_all, _bank(own, now, asked))


def _to_add(shelves: Shelves, plan: _Plan) -> tuple[LensMove, ...]:
    """What the best bank, or cases of lists to come, want beyond what is there and on order."""
    moves = []
    for n, item in enumerate(plan.items):
        wanted = max(plan.best[n], shelves.planned.get(item.code, 0))
        lenses = wanted - plan.now[n] - shelves.ordered.get(item.code, 0)
        price = shelves.prices.get(item.code)
        if lenses > 0:
            cost = None if price is None else lenses * price
            moves.append(LensMove(item, lenses, plan.wanted[n], cost))
    return tuple(sorted(moves, key=lambda move: -move.wanted))


def _to_send_back(shelves: Shelves, asked: BankAsked, plan: _Plan) -> tuple[LensMove, ...]:
    """What lies there beyond the best bank: least useful power first, its soonest expiry first.

    What a case of a list to come is planned with stays. A budget only adds.
    """
    moves = []
    for n, item in enumerate(plan.items):
        stays = max(plan.best[n], shelves.planned.get(item.code, 0))
        left = 0 if asked.budget is not None else plan.now[n] - stays
        rows = [row for row in shelves.rows if row.lot.item == item.code]
        for row in sorted(rows, key=lambda r: (r.lot.expires_on, r.lot.received_on, r.lot.code)):
            lenses = min(left, row.quantity)
            if lenses > 0:
                moves.append(LensMove(item, lenses, plan.beyond_best[n], None, row))
                left -= lenses
    return tuple(sorted(moves, key=lambda move: move.wanted))
