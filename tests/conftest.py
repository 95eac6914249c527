"""Fixtures shared by all tests: real books, real commands, no mocks."""

import shutil
import sys
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

for folder in (Path(__file__).parent, Path(__file__).parent / "docs"):
    sys.path.insert(0, str(folder))

from desk import Desk, small_site  # noqa: E402 the folder of the tests comes first

# How long an example takes depends on who else uses the machine: no test may fail for it.
settings.register_profile("stockbook", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("stockbook")


@pytest.fixture(autouse=True)
def _no_surroundings(monkeypatch: pytest.MonkeyPatch) -> None:
    """No test sees the book or the staff code of whoever runs it."""
    for name in ("STOCKBOOK_BOOK", "STOCKBOOK_BY"):
        monkeypatch.delenv(name, raising=False)


@pytest.fixture(scope="session")
def moved_in(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The small site's folder, made once."""
    return small_site(tmp_path_factory.mktemp("site")).folder


@pytest.fixture
def desk(moved_in: Path, tmp_path: Path) -> Desk:
    """A fresh copy of the small site for one test."""
    folder = tmp_path / "desk"
    shutil.copytree(moved_in, folder)
    return Desk(folder)
