"""Many demands over the same horizons, reckoned side by side.

For every possible interval the scheduled cases give the product over case types c of
(k + (1 - k) g_c(z))^n_c, with k the share that does not happen; the cases not yet scheduled are a
negative binomial count of cases of the category's mix. The intervals are averaged with their
chances; no normal curve stands in for anything. An interval's demand is narrow beside what all of
them span, so a few neighbours at a time are added on the circle and transformed in a window of
their own. Demands of all suppliers whose windows have as many points go together: the work is a
few operations on large arrays.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import log

from stockbook.forecast.coming import Horizons
from stockbook.forecast.distributions import Array
from stockbook.forecast.pgf import (
    above_one,
    beside_one,
    count_turn,
    counts_size,
    handy_sizes,
    highest,
    log_count,
    lowest,
    powers_on_circle,
    safe_log,
)

SKIPPED = 1e-14
"""Frequencies where the scheduled cases of a horizon, with its chance, leave less than this are
left out: together those of a horizon change no chance by more than this."""

MOST_CELLS = 60_000
"""So many points of windows are worked on at once: what they need lies near the processor."""

LARGE = 1e300
"""A power larger than this is as good as this: the bound is not taken there."""

Taken = tuple[tuple[int, float], ...]
"""All that a case may take, nothing included, each amount with its chance."""

NOTHING: Taken = ((0, 1.0),)


@dataclass(frozen=True, eq=False, slots=True)
class SideBySide:
    """Some demands: what a case of each kind takes for each, as rows of chances of amounts."""

    which: Array
    """The row of `chances_of` by demand and kind of case."""
    amounts: tuple[int, ...]
    chances_of: Array
    """The chance of each amount, by row."""
    over: Horizons
    """Several of them, one after another, each with as many horizons."""
    of: Array
    """Which of them, by demand."""
    mix: Array
    not_happening: float
    variation: float
    neighbours: int
    """So many horizons, one beside another, share a window."""

    def means(self) -> tuple[Array, Array]:
        """By demand, the expected units from cases on the lists, and from those not yet."""
        import numpy as np

        each = (self.chances_of @ self.amounts)[self.which]
        weights = self.over.weights[:, None]
        listed = np.matmul(weights, self.over.scheduled)[self.of, 0]
        others = np.matmul(weights, self.over.not_yet)[self.of, 0] @ self.mix
        return (listed * each).sum(axis=1) * (1 - self.not_happening), (others * each).sum(axis=1)

    def chances(self) -> list[Array]:
        """P(D = 0), P(D = 1), ... by demand; windows of one size are worked on together."""
        import numpy as np

        first, points = self._windows()
        found = [np.zeros(length) for length in (first + points).max(axis=1)]
        wanted = self.over.weights.reshape(len(self.over.weights), -1, self.neighbours).any(axis=2)
        for size in np.unique(points):
            number, place = np.nonzero((points == size) & wanted[self.of])
            step = max(1, MOST_CELLS // int(size))
            for start in range(0, len(number), step):
                some = number[start : start + step], place[start : start + step]
                rows = self._in_windows(*some, first[some], int(size))
                for n, begin, row in zip(some[0], first[some], rows, strict=True):
                    found[n][begin : begin + size] += row
        return found

    def only(self, numbers: Array) -> "SideBySide":
        """The same for some of the demands."""
        return replace(self, which=self.which[numbers], of=self.of[numbers])

    def _windows(self) -> tuple[Array, Array]:
        """By demand and window, where it begins and its number of points: its shortest horizon
        says the one, its longest the other.
        """
        z = above_one()
        first = lowest(self._logs(slice(None, None, self.neighbours), 1 / z))
        last = highest(self._logs(slice(self.neighbours - 1, None, self.neighbours), z))
        return first, handy_sizes(last - first)

    def _logs(self, some: slice, z: Array) -> Array:
        """The logarithm of the generating function by demand, some horizons and real z."""
        import numpy as np

        scheduled = self.over.scheduled[self.of, some]
        not_yet = self.over.not_yet[self.of, some]
        with np.errstate(over="ignore", invalid="ignore"):
            used = self.chances_of @ np.minimum(z ** np.array(self.amounts)[:, None], LARGE)
            away = np.matmul(self.mix, (1 - used)[self.which])
            logs = np.matmul(scheduled, safe_log(self._kept(used))[self.which])
            for n in range(len(self.mix)):
                logs += log_count(not_yet[..., n, None], self.variation, away[:, n, None])
        return logs

    def _in_windows(self, number: Array, place: Array, first: Array, points: int) -> Array:
        """The chances from `first` on, by window: of which demand, its place, where it begins.

        What is kept of the circle are pairs of window and frequency, each with all its horizons.
        """
        import numpy as np

        rows, which = _in_use(self.which[number])
        used = self.chances_of[rows] @ powers_on_circle(self.amounts, points)
        each = np.arange(self.neighbours)[:, None]
        horizons = self.of[number], place * self.neighbours + each
        expected = np.moveaxis(self.over.not_yet[horizons], -1, 0).copy()
        scheduled = self.over.scheduled[horizons].swapaxes(0, 1)
        logs = _summed(scheduled, safe_log(self._kept(used))[which])
        away = _summed(self.mix, (1 - used)[which]).swapaxes(0, 1).reshape(len(self.mix), -1)
        seen = self._seen(logs[:, 0].real, expected[:, 0], away)
        window, frequency = np.divmod(seen, used.shape[1])
        logs = logs[window, each, frequency]
        size, turn = self._not_yet(expected[..., window], away[:, seen])
        logs.real += size
        logs.imag += turn + 2 * np.pi / points * (first[window] * frequency)
        weights = self.over.weights[horizons]
        spectra = np.zeros((len(number), used.shape[1]), dtype=complex)
        spectra.ravel()[seen] = (np.exp(logs) * weights[:, window]).sum(axis=0)
        return np.fft.irfft(spectra, points)

    def _seen(self, size: Array, expected: Array, away: Array) -> Array:
        """Where the shortest horizon of a window leaves something; longer ones leave less."""
        import numpy as np

        seen = np.flatnonzero(size > log(SKIPPED))
        parts = self._beside(expected[:, seen // size.shape[1]], away[:, seen])
        return seen[size.ravel()[seen] + counts_size(parts, self.variation) > log(SKIPPED)]

    def _not_yet(self, expected: Array, away: Array) -> tuple[Array, Array]:
        """The cases not yet scheduled: the logarithm of the modulus, and the angle."""
        parts = self._beside(expected, away)
        turn = sum(count_turn(x, y, self.variation) for x, y in parts)
        return counts_size(parts, self.variation), turn

    def _beside(self, expected: Array, away: Array) -> list[tuple[Array, Array]]:
        """`beside_one` by category (the first axis of both)."""
        return [
            beside_one(cases, self.variation, far)
            for cases, far in zip(expected, away, strict=True)
        ]

    def _kept(self, used: Array) -> Array:
        return self.not_happening + (1 - self.not_happening) * used


def _summed(weights: Array, values: Array) -> Array:
    """`weights @ values` for complex values: both their parts at once, as they lie in memory."""
    import numpy as np

    return np.matmul(weights, values.view(float)).view(complex)


def _in_use(which: Array) -> tuple[Array, Array]:
    """The rows that are used, and the same with the numbers of those."""
    import numpy as np

    used = np.zeros(which.max() + 1, dtype=bool)
    used[which] = True
    return np.flatnonzero(used), (used.cumsum() - 1)[which]


def side_by_side(
    uses: Sequence[Mapping[int, Taken]], over: Horizons, of: Array, mix: Array,
    not_happening: float, variation: float, neighbours: int,
) -> SideBySide:  # fmt: skip
    """Demands from what a case of each kind (by its number) takes, a kind that is not named
    taking nothing, and from horizons one after another with, by demand, which of them it has.
    """
    import numpy as np

    rows: dict[Taken, int] = {NOTHING: 0}
    which = np.zeros((len(uses), mix.shape[1]), dtype=int)
    for number, by_kind in enumerate(uses):
        for kind, taken in by_kind.items():
            which[number, kind] = rows.setdefault(taken, len(rows))
    amounts = tuple(sorted({units for row in rows for units, _ in row}))
    chances = np.array([[dict(row).get(units, 0.0) for units in amounts] for row in rows])
    return SideBySide(
        which, amounts, chances, over, of, mix, not_happening, variation, neighbours
    )  # fmt: skip


def one_after_another(over: Sequence[Horizons], neighbours: int) -> Horizons:
    """Each with as many horizons, in full windows: the last one is repeated with no chance.

    >>> import numpy as np
    >>> one = Horizons(np.ones(1), np.zeros((1, 2)), np.zeros((1, 3)))
    >>> one_after_another([one, one], 4).weights.tolist()
    [[1.0, 0.0, 0.0, 0.0], [1.0, 0.0, 0.0, 0.0]]
    """
    import numpy as np

    most = -(-max(len(one.weights) for one in over) // neighbours) * neighbours
    rows = [np.minimum(np.arange(most), len(one.weights) - 1) for one in over]
    return Horizons(
        np.array([np.append(one.weights, np.zeros(most - len(one.weights))) for one in over]),
        np.array([one.scheduled[row] for one, row in zip(over, rows, strict=True)]),
        np.array([one.not_yet[row] for one, row in zip(over, rows, strict=True)]),
    )
