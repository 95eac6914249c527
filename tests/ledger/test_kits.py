"""Questions about kits: the version in force on any day is the latest that has begun."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from desk import Desk, new_desk
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ledger.books import opened, record
from stockbook.domain.facts import Kit, KitLine
from stockbook.domain.kit_versions import version_code
from stockbook.ledger.kits import has_list_lines, kit_on
from stockbook.ledger.opening import Book

DAYS = [f"2027-{month:02}-{day:02}" for month in (1, 2, 12) for day in (1, 9, 10, 28)]
KITS = ("PHACO/any", "PHACO/paid", "PHACO/paid/SB", "PHACO/paid-2")


def a_kit(code: str, first_day: str | None, kind: str = "always") -> Kit:
    procedure, category, *surgeon = code.split("/")
    return Kit(
        version_code(code, first_day), procedure, category, surgeon[0] if surgeon else None,
        (KitLine(kind, (first_day or "NONE",), 1),), first_day,
    )  # fmt: skip


VERSIONS = [
    a_kit(code, first_day)
    for code in KITS
    for first_day in (None, *DAYS[:: 2 if code.endswith("any") else 3])
    if code != "PHACO/paid-2" or first_day
]


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    folder: Path = tmp_path_factory.mktemp("kits")
    desk: Desk = new_desk(folder)
    record(desk, facts=tuple(VERSIONS), kind="facts")
    with opened(desk.path) as held:
        yield held


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.sampled_from(KITS), st.sampled_from([*DAYS, "2026-12-31", "2027-01-02", "2028-01-01"]))
def test_the_version_in_force_is_the_latest_that_has_begun(book: Book, code: str, day: str) -> None:
    mine = [kit for kit in VERSIONS if kit.code.partition("@")[0] == code]
    begun = [kit for kit in mine if (kit.first_day or "") <= day]
    wanted = max(begun, key=lambda kit: kit.first_day or "", default=None)
    assert kit_on(book.db, code, day) == wanted


def test_a_line_per_list_is_known_wherever_it_stands(tmp_path: Path) -> None:
    desk = new_desk(tmp_path)
    record(desk, facts=(a_kit("PHACO/paid", None),), kind="facts")
    with opened(desk.path) as held:
        assert not has_list_lines(held.db)
    record(desk, facts=(a_kit("SICS/paid", "2027-03-01", "per-list"),), kind="facts")
    with opened(desk.path) as held:
        assert has_list_lines(held.db)
