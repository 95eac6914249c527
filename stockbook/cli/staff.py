"""`stockbook staff`."""

import click

from stockbook.cli.answers import answer, answering
from stockbook.cli.completing import staff
from stockbook.cli.context import open_book, recording, site_of
from stockbook.cli.one_fact import options, record

OPTIONS = (
    ("--role", "ROLE", "keeper, nurse, sterile, manager, finance or auditor."),
    ("--name", "TEXT", "The person's name; kept beside the book's chain."),
    ("--active", "yes|no", "Whether the code may record."),
)


@click.group("staff")
def command() -> None:
    """Show, make or change staff codes: show, new, change."""


@command.command("show")
@click.argument("code", metavar="[CODE]", required=False, shell_complete=staff)
@answering
def show(code: str | None) -> None:
    """Show all staff codes, or one; the CSV has the columns of a file of staff."""
    from stockbook.jobs.staff import all_staff, one_person
    from stockbook.reports.staff import person_page, staff_page, staff_sheets

    with open_book() as book:
        site = site_of(book)
        if code is None:
            found = all_staff(book)
            answer(site, lambda: staff_page(found, site), lambda _: staff_sheets(found))
        else:
            one = one_person(book, code)
            answer(site, lambda: person_page(one, site), lambda _: staff_sheets([one]))


@command.command("new")
@click.argument("code", metavar="CODE")
@options(OPTIONS)
@recording
def new(code: str, **given: str | None) -> None:
    """Make a staff code with its role."""
    record("staff", code, given, new=True)


@command.command("change")
@click.argument("code", metavar="CODE", shell_complete=staff)
@options(OPTIONS)
@recording
def change(code: str, **given: str | None) -> None:
    """Change a staff code in what is given; the rest stays as it is."""
    record("staff", code, given, new=False)
