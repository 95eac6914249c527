"""What the commands share that make or change one item, place, supplier, sponsor or staff code."""

from collections.abc import Callable
from typing import Any, TypeVar

import click

from stockbook.cli.context import open_book, recorded, session, show, signature
from stockbook.errors import InputError

F = TypeVar("F", bound=Callable[..., object])
Options = tuple[tuple[str, str, str], ...]
"""Each option's name, the sign of its value, and its help; its column has the same name."""


def options(wanted: Options) -> Callable[[F], F]:
    """A text option for each column."""

    def add(function: F) -> F:
        for name, sign, words in reversed(wanted):
            column = name.lstrip("-").replace("-", "_")
            function = click.option(name, column, metavar=sign, help=words)(function)
        return function

    return add


def record(noun: str, code: str, given: dict[str, Any], *, new: bool) -> None:
    """One is made, or changed in the options that were given, and told."""
    from stockbook.jobs.one_fact import record_one
    from stockbook.reports.imports import one_fact_page

    with open_book() as book:
        columns = {column: text for column, text in given.items() if text is not None}
        if not columns:
            raise InputError("Nothing was given to record. Give an option; --help names them.")
        done = record_one(
            book, signature(book), noun, {noun: code, **columns}, new=new,
            keep=not session().dry_run,
        )  # fmt: skip
        show(lambda: one_fact_page(done))
        if done.entry is not None:
            recorded(done.entry)
