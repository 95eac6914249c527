"""`stockbook supplier`."""

import click

from stockbook.cli.completing import suppliers
from stockbook.cli.context import recording
from stockbook.cli.one_fact import options, record

OPTIONS = (("--name", "TEXT", "What it is called."),)


@click.group("supplier")
def command() -> None:
    """Make or change one supplier: new, change."""


@command.command("new")
@click.argument("code", metavar="SUPPLIER")
@options(OPTIONS)
@recording
def new(code: str, **given: str | None) -> None:
    """Make a supplier."""
    from stockbook.jobs.supplier import new_supplier

    record(new_supplier, code, given)


@command.command("change")
@click.argument("code", metavar="SUPPLIER", shell_complete=suppliers)
@options(OPTIONS)
@recording
def change(code: str, **given: str | None) -> None:
    """Change a supplier in what is given; the rest stays as it is."""
    from stockbook.jobs.supplier import change_supplier

    record(change_supplier, code, given)
