"""`stockbook sponsor`."""

import click

from stockbook.cli.answers import answer, answering_printable
from stockbook.cli.completing import sponsors
from stockbook.cli.context import open_book, recording, site_of
from stockbook.cli.one_fact import options, record

OPTIONS = (
    ("--name", "TEXT", "What it is called."),
    ("--amount", "AMOUNT", "What it pays for a case; '' where nothing is stated."),
    ("--deduction", "AMOUNT", "What it takes off for each lens that it gave in kind."),
    ("--days", "N", "How long after the list's day a case can be claimed; '' for no limit."),
)


@click.group("sponsor")
def command() -> None:
    """Show, make or change who pays for cases: show, new, change."""


@command.command("show")
@click.argument("code", metavar="[SPONSOR]", required=False, shell_complete=sponsors)
@answering_printable
def show(code: str | None) -> None:
    """Show what all sponsors pay, or one; the CSV has the columns of a file of sponsors.

    What they owe is on 'claims show'.
    """
    from stockbook.jobs.sponsor import sponsors_of
    from stockbook.reports.sponsor import sponsor_sheets, sponsors_page

    with open_book() as book:
        found, site = sponsors_of(book, code), site_of(book)
        answer(site, lambda: sponsors_page(found, site), lambda _: sponsor_sheets(found))


@command.command("new")
@click.argument("code", metavar="SPONSOR")
@options(OPTIONS)
@recording
def new(code: str, **given: str | None) -> None:
    """Make a sponsor; what it pays stays not stated until it is given."""
    record("sponsor", code, given, new=True)


@command.command("change")
@click.argument("code", metavar="SPONSOR", shell_complete=sponsors)
@options(OPTIONS)
@recording
def change(code: str, **given: str | None) -> None:
    """Change a sponsor in what is given; claims that were sent stay as they were sent."""
    record("sponsor", code, given, new=False)
