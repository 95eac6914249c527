"""`stockbook item`."""

import click

from stockbook.cli.completing import items
from stockbook.cli.context import recording
from stockbook.cli.one_fact import options, record

OPTIONS = (
    ("--name", "TEXT", "What it is called."),
    ("--class", "WORD", "Its class, one lower-case word."),
    ("--unit", "WORD", "The unit of use: each, ml, use …"),
    ("--unit-places", "0-3", "Decimals its unit is counted in."),
    ("--lens-model", "MODEL", "A lens: its model."),
    ("--power", "POWER", "A lens: its power, such as +21.50."),
    ("--serial", "yes|no", "Whether each unit has a serial."),
    ("--least-days-left", "DAYS", "Days it must have left when used."),
    ("--controlled", "yes|no", "Whether two people sign when it is discarded."),
    ("--storage-class", "WORD", "How it has to be kept: ambient, cold …"),
)


@click.group("item")
def command() -> None:
    """Make or change one item: new, change."""


@command.command("new")
@click.argument("code", metavar="ITEM")
@options(OPTIONS)
@recording
def new(code: str, **given: str | None) -> None:
    """Make an item. A lens is one item at one power, its code MODEL and power."""
    from stockbook.jobs.item import new_item

    record(new_item, code, given)


@command.command("change")
@click.argument("code", metavar="ITEM", shell_complete=items)
@options(OPTIONS)
@recording
def change(code: str, **given: str | None) -> None:
    """Change an item in what is given; the rest stays as it is."""
    from stockbook.jobs.item import change_item

    record(change_item, code, given)
