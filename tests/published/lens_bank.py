"""Published shapes of lens powers and the banks that serve them, through the forecast's functions.

The figures of a simulation are compared with exact ones: they may lie three in a hundred away.
"""

from pathlib import Path
from typing import Any

from published.tables import Check, Figures
from stockbook.forecast.lens_bank import (
    all_served_exactly,
    all_served_poisson,
    beside_spare,
    best_bank,
    expected_served,
)
from stockbook.forecast.lens_shares import published_shape


def _shape(mean: Any, deviation: Any, powers: list[Any]) -> tuple[list[int], list[float]]:
    """Powers in hundredths of a dioptre, from the first to the last by a step, and their shares."""
    first, last, step = (int(value * 100) for value in powers)
    grid = list(range(first, last + 1, step))
    return grid, published_shape(grid, int(mean * 100), int(deviation * 100))


def share_of_a_power(figures: Figures, folder: Path) -> None:
    """How many patients in a whole need one power."""
    mean, deviation, powers, power = figures.given("mean", "sd", "powers", "power")
    grid, shares = _shape(mean, deviation, powers)
    figures.equal("share", shares[grid.index(int(power * 100))])


def best_bank_of_a_size(figures: Figures, folder: Path) -> None:
    """How many lenses of each power the best bank holds: ranges of powers by their number."""
    mean, deviation, powers, size, patients = figures.given(
        "mean", "sd", "powers", "size", "patients"
    )
    grid, shares = _shape(mean, deviation, powers)
    bank = best_bank([patients * share for share in shares], size)
    assert sum(bank) == size
    found = {}
    for count in sorted(set(bank) - {0}):
        held = [power for power, lenses in zip(grid, bank, strict=True) if lenses == count]
        runs = [p for p in held if p - 50 not in held], [p for p in held if p + 50 not in held]
        found[str(count)] = [[first / 100, last / 100] for first, last in zip(*runs, strict=True)]
    figures.equal("powers_by_lenses", found)


def how_well_it_serves(figures: Figures, folder: Path) -> None:
    """What that bank is worth to the next patients."""
    mean, deviation, powers, size, patients = figures.given(
        "mean", "sd", "powers", "size", "patients"
    )
    _, shares = _shape(mean, deviation, powers)
    rates = [patients * share for share in shares]
    bank = best_bank(rates, size)
    found = {
        "expected_share": expected_served(rates, bank) / sum(rates),
        "all_poisson": all_served_poisson(rates, bank),
        "all_exactly": all_served_exactly(shares, bank, patients),
    }
    for name in figures.row.expected:
        figures.equal(name, found[name])


def lists_served_in_full(figures: Figures, folder: Path) -> None:
    """The share of lists of so many cases on which nobody goes without, by kind of bank."""
    mean, deviation, powers, size, patients, bank = figures.given(
        "mean", "sd", "powers", "size", "patients", "bank"
    )
    _, shares = _shape(mean, deviation, powers)
    rates = [patients * share for share in shares]
    lenses = {
        "flat": [size // len(shares)] * len(shares),
        "shaped": best_bank(rates, size),
        "shaped for the spare": best_bank(rates, size, spare=True),
    }[bank]
    assert sum(lenses) == size
    found = {
        "served": all_served_exactly(shares, lenses, patients),
        "served_with_spare": all_served_exactly(shares, beside_spare(lenses), patients),
    }
    for name in figures.row.expected:
        figures.equal(name, found[name])


LENS_BANK: dict[str, Check] = {
    "share of a power": share_of_a_power,
    "best bank": best_bank_of_a_size,
    "how well it serves": how_well_it_serves,
    "lists served in full": lists_served_in_full,
}
