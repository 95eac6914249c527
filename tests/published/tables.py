"""The rows of `shared/`, and how their figures are compared: none is skipped in silence."""

import csv
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

SHARED = Path(__file__).parents[2] / "shared"
COLUMNS = {
    "arithmetic.csv": ("case", "topic", "inputs", "expected", "tolerance", "source", "standing"),
    "trade_facts.csv": ("fact", "value", "unit", "source", "standing"),
    "lens_bank.csv": ("case", "topic", "inputs", "expected", "tolerance", "source", "standing"),
    "forecast.csv": ("case", "topic", "inputs", "expected", "tolerance", "source", "standing"),
    "scans.csv": ("raw", "hint", "expected", "source", "standing"),
}

SCANNED_ON = "2026-11-24"
"""The day that two-digit years of a scan are read as of, where its row names none."""


@dataclass(frozen=True)
class Row:
    """One published case: what is given, what has to come out, and who says so."""

    name: str
    topic: str
    inputs: dict[str, Any]
    expected: dict[str, Any]
    tolerance: str
    source: str
    standing: str

    def __str__(self) -> str:
        return f"{self.name} ({self.source}; {self.standing})"


def records(name: str, folder: Path = SHARED) -> list[dict[str, str]]:
    """A table's rows as they stand in the file."""
    with (folder / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, strict=True))


def published(name: str, folder: Path = SHARED) -> list[Row]:
    """A table's rows, ready to be run."""
    read = _scan if name == "scans.csv" else _arithmetic
    return [read(record) for record in records(name, folder)]


def _arithmetic(record: Mapping[str, str]) -> Row:
    inputs, expected = (
        json.loads(record[column], parse_float=Decimal) for column in ("inputs", "expected")
    )
    return Row(
        record["case"], record["topic"], inputs, expected, record["tolerance"],
        record["source"], record["standing"],
    )  # fmt: skip


def _scan(record: Mapping[str, str]) -> Row:
    raw = record["raw"].replace("\\x1d", "\x1d")
    expected = json.loads(record["expected"])
    inputs = {"raw": raw, "as_of": expected.pop("as_of", SCANNED_ON)}
    return Row(
        record["raw"], "scan", inputs, expected, "exact", record["source"], record["standing"]
    )


def agrees(found: Any, wanted: Any, tolerance: str) -> bool:
    """Whether a figure, or each of several, is the published one, exactly or within a distance."""
    if tolerance == "exact":
        return bool(found == wanted)
    if isinstance(wanted, dict):
        same = found.keys() == wanted.keys()
        return same and all(agrees(found[name], wanted[name], tolerance) for name in wanted)
    if isinstance(wanted, list):
        pairs = zip(found, wanted, strict=False)
        return len(found) == len(wanted) and all(agrees(f, w, tolerance) for f, w in pairs)
    if tolerance == "printed":
        return abs(Fraction(found) - Fraction(wanted)) <= as_printed(wanted)
    distance = Fraction(tolerance.removesuffix(" days"))
    return abs(Fraction(found) - Fraction(wanted)) <= distance


def as_printed(wanted: Decimal | int) -> Fraction:
    """Half of the last printed digit, or 1e-9 of the figure where that is more; whole is exact."""
    if isinstance(wanted, int):
        return Fraction(0)
    last = Fraction(10) ** int(wanted.as_tuple().exponent)
    return max(last / 2, abs(Fraction(wanted)) / 10**9)


class Figures:
    """The figures of one row while it is checked: each compared once, or left out by name."""

    def __init__(self, row: Row) -> None:
        self.row = row
        self.compared: set[str] = set()
        self.left: dict[str, str] = {}

    def given(self, *names: str) -> tuple[Any, ...]:
        """The row's inputs; a row that gives something else is not silently half used."""
        assert set(self.row.inputs) == set(names), f"{self.row}: inputs {sorted(self.row.inputs)}"
        return tuple(self.row.inputs[name] for name in names)

    def equal(self, name: str, found: Any, tolerance: str | None = None) -> None:
        """The book's figure is the published one, within the row's tolerance or a closer one."""
        assert name in self.row.expected, f"{self.row}: has no figure {name}"
        wanted = self.row.expected[name]
        self.compared.add(name)
        within = tolerance or self.row.tolerance
        assert agrees(found, wanted, within), (
            f"{self.row}: {name} is {found}, published {wanted}, tolerance {within}"
        )

    def leave_out(self, name: str, why: str) -> None:
        """A figure that this check does not compare, and why."""
        self.left[name] = why

    def complete(self) -> None:
        """Every published figure was compared or left out by name, and some were compared."""
        accounted = self.compared | set(self.left)
        assert accounted == set(self.row.expected), (
            f"{self.row}: accounted for {sorted(accounted)}, published {sorted(self.row.expected)}"
        )
        assert self.compared, f"{self.row}: no figure was compared"
        assert not self.compared & set(self.left), f"{self.row}: compared and left out"


Check = Callable[[Figures, Path], None]
"""What runs one row in a folder of its own."""


def run(row: Row, checks: Mapping[str, Check], folder: Path) -> Figures:
    """One row checked in full, with its source on the page; what was compared."""
    print(f"{row}")
    assert row.topic in checks, f"{row}: no check for the topic {row.topic!r}"
    figures = Figures(row)
    checks[row.topic](figures, folder)
    figures.complete()
    for name, why in figures.left.items():
        print(f"  left out: {name} = {row.expected[name]} ({why})")
    return figures
