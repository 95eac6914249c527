"""How well a bank of lenses serves the next patients, and the best bank of a size or a budget.

A cell is one model at one power; `rates` say how many of the next patients are expected to need
it. So many patients make each cell's demand a Poisson number of its own. A site that asks for an
identical spare in the room keeps one lens of every power back: it serves with the others alone.
"""

from bisect import insort
from collections.abc import Sequence
from heapq import heapify, heappop, heappush
from math import exp, inf, lgamma, log

from stockbook.domain.lens_bank import Chances

NOTHING = 1e-12
"""A gain below this is taken for none: no lens is added for it."""
_MILLION = 1_000_000


def chances_of_more(rate: float) -> list[float]:
    """P(D > 0), P(D > 1), … of a Poisson number, as long as they are more than nothing.

    Summed from the far end, so that small ones are exact too.

    >>> [round(chance, 6) for chance in chances_of_more(2)[:3]]
    [0.864665, 0.593994, 0.323324]
    """
    if rate <= 0:
        return []
    last = int(rate + 12 * rate**0.5 + 40)
    above, found = 0.0, []
    for count in range(last, 0, -1):
        above += _poisson(rate, count)
        found.append(min(above, 1.0))
    return [chance for chance in reversed(found) if chance > NOTHING]


def _poisson(rate: float, count: int) -> float:
    return exp(count * log(rate) - rate - lgamma(count + 1)) if rate > 0 else float(count == 0)


def chance_of_more(rate: float, lenses: int, *, spare: bool) -> float:
    """The chance that more are wanted than so many lenses serve."""
    above = chances_of_more(rate)
    [served] = beside_spare([lenses]) if spare else [lenses]
    return above[served] if served < len(above) else 0.0


def beside_spare(stock: Sequence[int]) -> list[int]:
    """What can be used of each power when one identical lens stays in the room as spare.

    >>> beside_spare([0, 1, 3])
    [0, 0, 2]
    """
    return [max(0, lenses - 1) for lenses in stock]


def share_found(shares: Sequence[float], stock: Sequence[int]) -> float:
    """The chance that a random patient finds the power."""
    return sum(share for share, lenses in zip(shares, stock, strict=True) if lenses > 0)


def expected_served(rates: Sequence[float], stock: Sequence[int]) -> float:
    """How many of the next patients are expected to find theirs: the sum of E min(D, stock)."""
    return sum(
        sum(chances_of_more(rate)[:lenses]) for rate, lenses in zip(rates, stock, strict=True)
    )


def all_served_poisson(rates: Sequence[float], stock: Sequence[int]) -> float:
    """The chance that nobody of a Poisson number of patients goes without."""
    product = 1.0
    for rate, lenses in zip(rates, stock, strict=True):
        product *= min(1.0, sum(_poisson(rate, count) for count in range(lenses + 1)))
    return product


def all_served_exactly(shares: Sequence[float], stock: Sequence[int], patients: int) -> float:
    """The chance that nobody of exactly so many patients goes without.

    Poisson numbers that are known to sum to `patients` are the powers of so many patients: the
    coefficient of z to that power in the product of what each cell serves.

    Two patients who need one of two powers alike find one lens of each half of the time:

    >>> round(all_served_exactly([0.5, 0.5], [1, 1], 2), 12)
    0.5
    """
    ways = [1.0]
    for share, lenses in zip(shares, stock, strict=True):
        most = min(lenses, patients)
        terms = [_poisson(patients * share, count) for count in range(most + 1)]
        ways = _product(ways, terms, patients)
    if len(ways) <= patients:
        return 0.0
    return min(1.0, ways[patients] / _poisson(patients * sum(shares), patients))


def _product(left: Sequence[float], right: Sequence[float], most: int) -> list[float]:
    """The product of two polynomials up to a power."""
    found = [0.0] * min(len(left) + len(right) - 1, most + 1)
    for place, one in enumerate(left):
        for beyond, other in enumerate(right[: most + 1 - place]):
            found[place + beyond] += one * other
    return found


def chances_of(
    shares: Sequence[float], stock: Sequence[int], patients: int, *, spare: bool
) -> Chances:
    """How well a bank serves, in parts of a million."""
    usable = beside_spare(stock) if spare else list(stock)
    rates = [patients * share for share in shares]
    return Chances(
        millionths(share_found(shares, usable)),
        millionths(expected_served(rates, usable) / sum(rates)),
        millionths(all_served_exactly(shares, usable, patients)),
        millionths(all_served_poisson(rates, usable)),
    )


def millionths(chance: float) -> int:
    """A chance in parts of a million; none and all of them are kept for certainty.

    >>> millionths(0.5), millionths(0), millionths(1e-30), millionths(1)
    (500000, 0, 1, 1000000)
    """
    if chance <= 0 or chance >= 1 - NOTHING:
        return _MILLION if chance > 0 else 0
    return max(1, min(_MILLION - 1, round(chance * _MILLION)))


def best_bank(rates: Sequence[float], size: int, *, spare: bool = False) -> list[int]:
    """The bank of at most `size` lenses from which most patients are expected to be served.

    The next lens always goes where it is most likely to be wanted, P(D > lenses there): the sum
    of what each power serves is concave, so nothing is better. With an identical spare, each
    power costs one lens before it serves. Of any two powers the one more often needed gains more
    with every lens, so a best bank holds the powers most often needed: for each number of them
    the best rest is known. What nobody would want is not added.
    """
    if not spare:
        return _most_wanted(rates, range(len(rates)), size)
    ranked = sorted(range(len(rates)), key=lambda cell: (-rates[cell], cell))
    powers = _powers_worth_a_spare([rates[cell] for cell in ranked], size)
    served = _most_wanted(rates, ranked[:powers], size - powers)
    return [lenses + 1 if lenses else 0 for lenses in served]


def _most_wanted(rates: Sequence[float], cells: Sequence[int], size: int) -> list[int]:
    """So many lenses in these cells, each where it is most likely to be wanted."""
    gains = sorted(
        (-_plain(gain), level, cell)
        for cell in cells
        for level, gain in enumerate(chances_of_more(rates[cell]))
    )
    bank = [0] * len(rates)
    for _, _, cell in gains[: max(0, size)]:
        bank[cell] += 1
    return bank


def _powers_worth_a_spare(ranked: Sequence[float], size: int) -> int:
    """How many of the rates, highest first, are kept with a spare so that most are served."""
    gains: list[float] = []
    best, powers = 0.0, 0
    for count, rate in enumerate(ranked[: size // 2], start=1):
        for gain in chances_of_more(rate):
            insort(gains, -gain)
        served = -sum(gains[: size - count])
        if served > best + NOTHING:
            best, powers = served, count
    return powers


def best_for_budget(
    rates: Sequence[float], prices: Sequence[int | None], budget: int, stock: Sequence[int], *,
    spare: bool = False,
) -> list[int]:  # fmt: skip
    """What to add to a bank for a sum: always the most gained for the money that still fits.

    Prices are in minor units; a cell without one gets nothing. Never more than the budget is
    spent, and what is left of it pays for no further lens that would gain anything. What is
    gained is at least what the best use of the budget less the price of one step gains. A step
    is one lens; with a spare, where none lies, as many as are best bought together.
    """
    added, left = [0] * len(rates), budget
    tails = [chances_of_more(rate) for rate in rates]
    waiting = [_step(n, tails[n], stock[n], prices[n], spare=spare) for n in range(len(rates))]
    heapify(waiting)
    while waiting:
        worth, cell, lenses = heappop(waiting)
        price = prices[cell]
        if price is None or worth >= 0:
            continue
        if lenses * price > left:
            if lenses > 2:
                heappush(waiting, _pair(cell, tails[cell], price))
            continue
        left -= lenses * price
        added[cell] += lenses
        heappush(waiting, _step(cell, tails[cell], stock[cell] + added[cell], price, spare=spare))
    return added


def _step(
    cell: int, tails: Sequence[float], lenses: int, price: int | None, *, spare: bool
) -> tuple[float, int, int]:
    """The next step of a cell: gain for the money (below nothing), the cell, how many lenses."""
    if price is None:
        return (0.0, cell, 0)
    if not spare or lenses > 0:
        served = lenses - 1 if spare else lenses
        return (_worth(tails[served : served + 1], 1, price), cell, 1)
    return min((_worth(tails[:count], count + 1, price), cell, count + 1)
               for count in range(1, max(2, len(tails) + 1)))  # fmt: skip


def _pair(cell: int, tails: Sequence[float], price: int) -> tuple[float, int, int]:
    """A first lens and its spare, where money does not reach for more."""
    return (_worth(tails[:1], 2, price), cell, 2)


def _worth(gains: Sequence[float], lenses: int, price: int) -> float:
    """Gain for the money, negative so that the highest comes first."""
    gain = sum(gains)
    return -_plain(gain / lenses / price) if price and gain else (-inf if gain else 0.0)


def _plain(gain: float) -> float:
    """A gain in twelve figures, so that two that are alike rank alike on every machine."""
    return float(f"{gain:.12g}")
