"""Reading scans beside a bare loop that splits and checks the same strings with a plain regex."""

import contextlib
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from statistics import median

import pytest
from desk import TODAY
from measure import Pair, by_turns

from stockbook.domain.gtin import check_digit
from stockbook.domain.scans import read

ROUNDS = 15
SCANS = 4000
PLAIN = re.compile(
    r"(?:\]..)?(?:01(?P<gtin>\d{14}))?(?:17(?P<day>\d{6}))?(?:10(?P<lot>[!-z]{1,20})(?:\x1d|$))?"
    r"(?:21(?P<serial>[!-z]{1,20}))?(?:17(?P<later>\d{6}))?"
)
"""Knows one order of five elements, and no date, set of characters or association."""

IMPORT = """
import time
import click, dataclasses, re, sqlite3
before = time.perf_counter()
import stockbook.domain.scans
print(time.perf_counter() - before)
"""


def packs() -> list[str]:
    """A delivery: one lens in two by serial, lots with the date before or after."""
    scans = []
    for n in range(SCANS):
        body = f"0952{n * 7919 % 10**9:09d}"
        gtin = body + check_digit(body)
        day, lot = f"{27 + n % 9}{1 + n % 12:02d}{n % 29:02d}", f"L{n:05d}A"
        if n % 2:
            scans.append(f"]d201{gtin}17{day}10{lot}\x1d21SN{n:07d}")
        else:
            scans.append(f"]C101{gtin}10{lot}\x1d17{day}")
    return scans


def checked(scan: str) -> str | None:
    """The lot, once the number's check digit is right."""
    found = PLAIN.fullmatch(scan)
    if found is None or not found["gtin"]:
        return None
    total = sum(int(f) * (3 if n % 2 == 0 else 1) for n, f in enumerate(found["gtin"][:13]))
    return found["lot"] if -total % 10 == int(found["gtin"][13]) else None


@pytest.mark.bench
def test_reading_beside_a_plain_regex(pairs: list[Pair], pages: list[str]) -> None:
    scans = packs()
    lots: tuple[list, list] = ([], [])

    def ready(side: list, lot_of: Callable[[str], str | None]) -> Callable[[], object]:
        @contextlib.contextmanager
        def prepared() -> Iterator[Callable[[], object]]:
            side.clear()
            yield lambda: side.extend([lot_of(scan) for scan in scans])

        return prepared

    plain = ready(lots[0], checked)
    ours = ready(lots[1], lambda scan: read(scan, TODAY).lot)
    times = by_turns(plain, ours, ROUNDS)
    assert lots[0] == lots[1]
    assert None not in lots[1]
    pairs.append(Pair(f"read {SCANS:,} scans; plain: one regex and the check digit", *times))
    rates = [f"{SCANS / figure(times[1]):,.0f}" for figure in (median, min)]
    pages.append(
        f"Scans read a second in one process: {rates[0]} (median round), {rates[1]} (best round); "
        "wanted: at least 25,000"
    )


@pytest.mark.bench
def test_importing_the_reader(pages: list[str], tmp_path: Path) -> None:
    def seconds() -> float:
        done = subprocess.run(
            [sys.executable, "-c", IMPORT], cwd=tmp_path, check=True, capture_output=True, text=True
        )
        return float(done.stdout)

    times = [seconds() * 1000 for _ in range(ROUNDS)]
    pages.append(
        f"Importing the reader of scans: {median(times):.1f} ms (median), {min(times):.1f} ms "
        "(best); wanted: under 20 ms"
    )
