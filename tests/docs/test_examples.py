"""The examples in docstrings are true."""

import doctest
import importlib
import pkgutil

import stockbook


def test_every_example_in_a_docstring_gives_what_it_shows() -> None:
    names = [m.name for m in pkgutil.walk_packages(stockbook.__path__, "stockbook.")]
    results = [
        doctest.testmod(importlib.import_module(name))
        for name in names
        if name != "stockbook.__main__"
    ]
    assert sum(result.failed for result in results) == 0
    assert sum(result.attempted for result in results) > 25
