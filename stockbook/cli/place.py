"""`stockbook place`."""

import click

from stockbook.cli.completing import places
from stockbook.cli.context import recording
from stockbook.cli.one_fact import options, record

OPTIONS = (
    ("--name", "TEXT", "What it is called."),
    ("--kind", "KIND", "store, theatre (with its trolley) or quarantine; it stays so."),
    ("--storage-class", "WORD", "How things are kept there: ambient, cold …"),
    ("--closed", "yes|no", "Whether it is closed; it has to be empty."),
)


@click.group("place")
def command() -> None:
    """Make or change one place: new, change."""


@command.command("new")
@click.argument("code", metavar="PLACE")
@options(OPTIONS)
@recording
def new(code: str, **given: str | None) -> None:
    """Make a store, a theatre or a quarantine area."""
    from stockbook.jobs.place import new_place

    record(new_place, code, given)


@command.command("change")
@click.argument("code", metavar="PLACE", shell_complete=places)
@options(OPTIONS)
@recording
def change(code: str, **given: str | None) -> None:
    """Change a place in what is given; the rest stays as it is."""
    from stockbook.jobs.place import change_place

    record(change_place, code, given)
