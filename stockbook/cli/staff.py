"""`stockbook staff`."""

import click

from stockbook.cli.context import recording
from stockbook.cli.one_fact import options, record

OPTIONS = (
    ("--role", "ROLE", "keeper, nurse, sterile, manager, finance or auditor."),
    ("--name", "TEXT", "The person's name; kept beside the book's chain."),
    ("--active", "yes|no", "Whether the code may record."),
)


@click.group("staff")
def command() -> None:
    """Make or change one staff code: new, change."""


@command.command("new")
@click.argument("code", metavar="CODE")
@options(OPTIONS)
@recording
def new(code: str, **given: str | None) -> None:
    """Make a staff code with its role."""
    from stockbook.jobs.staff import new_staff

    record(new_staff, code, given)


@command.command("change")
@click.argument("code", metavar="CODE")
@options(OPTIONS)
@recording
def change(code: str, **given: str | None) -> None:
    """Change a staff code in what is given; the rest stays as it is."""
    from stockbook.jobs.staff import change_staff

    record(change_staff, code, given)
