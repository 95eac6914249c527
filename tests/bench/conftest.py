"""What the benches share: the table printed at the end and the demonstration's book."""

import contextlib
import io
from pathlib import Path

import pytest
from big_book import FEW, MANY, big_book
from big_days import Size
from measure import HEADERS, Pair, Peak
from tabulate import tabulate

from stockbook.cli.context import Session
from stockbook.cli.main import invoke

_PAIRS = pytest.StashKey[list[Pair | Peak]]()
_PAGES = pytest.StashKey[list[str]]()


def pytest_configure(config: pytest.Config) -> None:
    config.stash[_PAIRS] = []
    config.stash[_PAGES] = []


@pytest.fixture
def pairs(request: pytest.FixtureRequest) -> list[Pair | Peak]:
    """Rows of the table at the end."""
    return request.config.stash[_PAIRS]


@pytest.fixture
def pages(request: pytest.FixtureRequest) -> list[str]:
    """Other pages shown at the end."""
    return request.config.stash[_PAGES]


@pytest.fixture(scope="session")
def demonstration(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demonstration's book, made once; copy it to write into it."""
    path = tmp_path_factory.mktemp("demonstration") / "book.stockbook"
    with contextlib.redirect_stdout(io.StringIO()):
        assert invoke(["demo", "--book", str(path)], Session()) == 0
    return path


@pytest.fixture(scope="session")
def old() -> Path:
    """The book after years; never written into."""
    return big_book(Size(MANY))


@pytest.fixture(scope="session")
def young() -> Path:
    """The same site's book after two weeks."""
    return big_book(Size(FEW))


@pytest.fixture(scope="session")
def first_day() -> Path:
    """The same program's work with next to nothing in the book: what a start costs."""
    return big_book(Size(12, 4, 11, 1))


def pytest_terminal_summary(
    terminalreporter: pytest.TerminalReporter, config: pytest.Config
) -> None:
    for page in config.stash.get(_PAGES, []):
        terminalreporter.write_line(f"\n{page}")
    pairs = config.stash.get(_PAIRS, [])
    if pairs:
        terminalreporter.write_line("\nRatios of this run (`at most`: our time / plain time;")
        terminalreporter.write_line("`at least`: our rate / plain rate); printed, never asserted.")
        terminalreporter.write_line(
            tabulate(
                [pair.cells() for pair in pairs],
                HEADERS,
                colalign=["left", *["right"] * 4, "left"],
                disable_numparse=True,
            )
        )
