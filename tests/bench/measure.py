"""Two ways to do the same work, timed by turns in one run."""

import gc
import time
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from statistics import median

Ready = Callable[[], AbstractContextManager[Callable[[], object]]]
"""Prepares one round, hands out the work that is timed, and clears away after it."""


@dataclass(frozen=True)
class Pair:
    """The seconds of both sides, round by round, and what their ratio should be."""

    what: str
    plain: Sequence[float]
    ours: Sequence[float]
    target: str = "none"
    rate: bool = True

    def ratio(self, figure: Callable[[Sequence[float]], float]) -> float:
        """Our rate beside the plain one, or (for start-up) our time beside the plain one."""
        plain, ours = figure(self.plain), figure(self.ours)
        return plain / ours if self.rate else ours / plain

    def cells(self) -> list[str]:
        """The row of the table: milliseconds of the median round, ratios by minimum and median."""
        return [
            self.what,
            f"{median(self.plain) * 1000:.2f}",
            f"{median(self.ours) * 1000:.2f}",
            f"{self.ratio(min):.2f}",
            f"{self.ratio(median):.2f}",
            self.target,
        ]


@dataclass(frozen=True)
class Peak:
    """The most memory of two processes, in bytes: one that does next to nothing, and ours."""

    what: str
    plain: int
    ours: int
    target: str

    def cells(self) -> list[str]:
        """The row of the table, in megabytes instead of milliseconds."""
        plain, ours = (f"{peak / 1e6:.0f} MB" for peak in (self.plain, self.ours))
        return [self.what, plain, ours, "", f"{self.ours / self.plain:.2f}", self.target]


HEADERS = ("what", "plain ms", "ours ms", "by minimum", "by median", "target")


def by_turns(plain: Ready, ours: Ready, rounds: int) -> tuple[list[float], list[float]]:
    """Both sides once a round, the one that goes first changing; a round before is not timed."""
    times: tuple[list[float], list[float]] = ([], [])
    for turn in range(-1, rounds):
        order = ((plain, times[0]), (ours, times[1]))
        for ready, kept in order if turn % 2 else order[::-1]:
            seconds = _once(ready)
            if turn >= 0:
                kept.append(seconds)
    return times


def _once(ready: Ready) -> float:
    with ready() as work:
        gc.collect()
        started = time.perf_counter()
        work()
        return time.perf_counter() - started
