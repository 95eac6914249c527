"""Libraries of the test extra that a check cannot do without."""

import importlib
import os
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path
from types import ModuleType

import pytest

IN_CI = bool(os.environ.get("STOCKBOOK_CI"))


def needed(module: str) -> ModuleType:
    """A library of the test extra; in continuous integration its absence is a failure."""
    if IN_CI:
        return importlib.import_module(module)
    return pytest.importorskip(module)


def needed_file(package: str, name: str) -> Path:
    """A file that an installed package brings, without importing the package."""
    try:
        return Path(str(distribution(package).locate_file(name)))
    except PackageNotFoundError:
        if IN_CI:
            raise
        pytest.skip(f"{package} is not installed")
