"""Many demands over the same horizons, reckoned side by side.

For every possible interval the scheduled cases give the product over what a case takes of
(k + (1 - k) g(z))^n, with k the share that does not happen; the cases not yet scheduled are a
negative binomial count of cases of the category's mix. The intervals are averaged with their
chances; no normal curve stands in for anything. An interval's demand is narrow beside what all of
them span, so a few neighbours at a time are added on the circle and transformed in a window of
their own. Windows of all demands that need about as many points go together: the work is a few
operations on large arrays.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import log

from stockbook.forecast.circle import handy_sizes, polar, powers_on_circle
from stockbook.forecast.distributions import Array, Distribution
from stockbook.forecast.pgf import (
    ALIASING,
    above_one,
    highest,
    log_counts,
    log_counts_real,
    lowest,
    safe_log,
    scaled,
)

MOST_CELLS = 60_000
"""So many points of windows are worked on at once: fewer are more calls, more are more memory."""

KEPT = 1 << 24
"""So many bytes are asked for and given back before anything else. The allocator of glibc keeps
twice as much from then on; else it hands the memory of every portion back to the system and gets
it anew, page by page. Elsewhere it does nothing."""

SPARED = 1_000
"""Windows are transformed with more points than they need, as long as these are fewer in all: a
portion of its own would cost more."""

LARGE = 1e300
"""A power larger than this is as good as this: the bound is not taken there."""

Taken = tuple[tuple[int, float], ...]
"""All that a case may take, nothing included, each amount with its chance."""

NOTHING: Taken = ((0, 1.0),)


@dataclass(frozen=True, eq=False, slots=True)
class Circle:
    """What the rows of `chances_of` that are used come to on the half circle."""

    points: int
    row: Array
    """The place of each row among those used."""
    away: Array
    """One less the generating function."""
    kept: Array
    """What a scheduled case leaves of it, its logarithm."""


@dataclass(frozen=True, eq=False, slots=True)
class SideBySide:
    """Some demands: what cases take of each in so many different ways, and how many do."""

    rows: Array
    """The row of `chances_of`, by demand and way."""
    amounts: tuple[int, ...]
    chances_of: Array
    """The chance of each amount, by row."""
    weights: Array
    """The chance of each horizon, by demand; in full windows, horizons growing."""
    scheduled: Array
    """Scheduled cases, by demand, horizon and way."""
    not_yet: Array
    """Expected cases not yet scheduled, by demand, horizon and category."""
    mix: Array
    """The part of a category's cases that take it so, by demand, category and way."""
    not_happening: float
    variation: float
    neighbours: int
    """So many horizons, one beside another, share a window."""

    def means(self) -> tuple[Array, Array]:
        """By demand, the expected units from cases on the lists, and from those not yet."""
        import numpy as np

        each = (self.chances_of @ self.amounts)[self.rows][..., None]
        weights = self.weights[:, None]
        listed = np.matmul(np.matmul(weights, self.scheduled), each)[:, 0, 0]
        others = np.matmul(np.matmul(np.matmul(weights, self.not_yet), self.mix), each)[:, 0, 0]
        return listed * (1 - self.not_happening), others

    def distributions(self) -> list[Distribution]:
        """Of each demand; windows of one size are worked on together."""
        import numpy as np

        np.empty(KEPT, dtype=np.uint8)  # and given back
        first, needed = self._windows()
        number, place = np.nonzero(self.weights.reshape(*first.shape, -1).any(axis=2))
        first, points = first[number, place], _shared_sizes(needed[number, place])
        lengths = np.zeros(len(self.rows), dtype=int)
        np.maximum.at(lengths, number, first + points)
        ends = lengths.cumsum()
        whole = np.zeros(ends[-1])
        found = np.split(whole, ends[:-1])
        for size in np.unique(points).tolist():
            mine = np.flatnonzero(points == size)
            circle = self._circle(number[mine], size)
            for some in np.array_split(mine, -(-len(mine) * size // MOST_CELLS)):
                rows = self._in_windows(number[some], place[some], first[some], circle)
                for n, begin, row in zip(number[some], first[some], rows, strict=True):
                    found[n][begin : begin + size] += row
        np.maximum(whole, 0, out=whole)
        whole /= np.add.reduceat(whole, ends - lengths).repeat(lengths)
        return [Distribution(chances) for chances in found]

    def _circle(self, number: Array, points: int) -> Circle:
        """What is used of these demands, at so many points."""
        import numpy as np

        used = np.zeros(len(self.chances_of), dtype=bool)
        used[self.rows[number]] = True
        away = self.chances_of[used] @ (1 - powers_on_circle(self.amounts, points))
        return Circle(points, used.cumsum() - 1, away, safe_log(self._kept(away)))

    def _windows(self) -> tuple[Array, Array]:
        """By demand and window, where it begins and the points it needs: its shortest horizon
        says the one, its longest the other.
        """
        z = above_one()
        first = lowest(self._logs(slice(None, None, self.neighbours), 1 / z))
        last = highest(self._logs(slice(self.neighbours - 1, None, self.neighbours), z))
        return first, last - first

    def _logs(self, some: slice, z: Array) -> Array:
        """The logarithm of the generating function by demand, some horizons and real z."""
        import numpy as np

        with np.errstate(over="ignore", invalid="ignore"):
            used = self.chances_of @ np.minimum(z ** np.array(self.amounts)[:, None], LARGE)
            away = np.matmul(self.mix, (1 - used)[self.rows])
            logs = np.matmul(self.scheduled[:, some], safe_log(self._kept(1 - used))[self.rows])
            cases = np.moveaxis(scaled(self.not_yet[:, some, :, None], self.variation), 2, 0)
            return logs + log_counts_real(cases, away.swapaxes(0, 1)[:, :, None], self.variation)

    def _kept(self, away: Array) -> Array:
        """What a scheduled case leaves of the generating function, which may not happen."""
        return 1 - (1 - self.not_happening) * away

    def _in_windows(self, number: Array, place: Array, first: Array, circle: Circle) -> Array:
        """The chances from `first` on, by window: of which demand, its place, where it begins.

        What is kept of the circle are pairs of window and frequency, each with all its horizons.
        """
        import numpy as np

        which = circle.row[self.rows[number]]
        each = np.arange(self.neighbours)[:, None]
        horizons = number, place * self.neighbours + each
        logs = _summed(self.scheduled[horizons].swapaxes(0, 1), circle.kept[which])
        far = _summed(self.mix[number], circle.away[which]).swapaxes(0, 1)
        cases = scaled(np.moveaxis(self.not_yet[horizons], -1, 0).copy(), self.variation)
        # Longer horizons of a window leave less than its shortest.
        most = logs[:, 0].real + log_counts_real(cases[:, 0, :, None], far.real, self.variation)
        window, frequency = np.nonzero(most > log(ALIASING))
        cell = window * most.shape[1] + frequency
        far = far.reshape(len(far), -1).take(cell, axis=1)
        size, turn = log_counts(
            cases.take(window, axis=2), far.real.copy(), far.imag.copy(), self.variation
        )
        logs = logs.take((window * self.neighbours + each) * most.shape[1] + frequency)
        size += logs.real
        size += safe_log(self.weights[horizons]).take(window, axis=1)
        turn += logs.imag
        turn += 2 * np.pi / circle.points * (first[window] * frequency)
        spectra = np.zeros(most.shape, dtype=complex)
        spectra.ravel()[cell] = polar(size, turn).sum(axis=0)
        return np.fft.irfft(spectra, circle.points)


def _summed(weights: Array, values: Array) -> Array:
    """`weights @ values` for complex values: both their parts at once, as they lie in memory."""
    import numpy as np

    return np.matmul(weights, values.view(float)).view(complex)


def _shared_sizes(needed: Array) -> Array:
    """The points of each window: a few sizes for all, each the largest handy one of a portion."""
    import numpy as np

    handy = handy_sizes(needed)
    found = np.empty_like(handy)
    sizes, many = np.unique(handy, return_counts=True)
    size, spared = sizes[-1], 0
    for each, windows in zip(sizes[::-1], many[::-1], strict=True):
        spared += (size - each) * windows
        if spared > SPARED:
            size, spared = each, 0
        found[handy == each] = size
    return found


def in_ways(uses: Sequence[Sequence[Taken]]) -> tuple[Array, tuple[int, ...], Array]:
    """`rows`, `amounts` and `chances_of` from what cases take of each demand, way after way."""
    import numpy as np

    numbers: dict[Taken, int] = {NOTHING: 0}
    rows = np.zeros((len(uses), max(map(len, uses), default=0)), dtype=int)
    for n, ways in enumerate(uses):
        rows[n, : len(ways)] = [numbers.setdefault(taken, len(numbers)) for taken in ways]
    amounts = tuple(sorted({units for taken in numbers for units, _ in taken}))
    chances = [[dict(taken).get(units, 0.0) for units in amounts] for taken in numbers]
    return rows, amounts, np.array(chances)
