"""`stockbook today`."""

import os

import click

from stockbook.cli.answers import answer, answering
from stockbook.cli.context import by_option, open_book, session, site_of, today


@click.command("today")
@click.option("--role", metavar="ROLE", help="For this role; else yours (--by), else for anyone.")
@by_option
@answering
def command(role: str | None) -> None:
    """What waits today, on one screen, by role."""
    from stockbook.jobs.today import what_waits
    from stockbook.reports.today import today_page, today_sheets

    with open_book() as book:
        by = session().by or os.environ.get("STOCKBOOK_BY")
        found, site = what_waits(book, today(book), role=role, by=by), site_of(book)
        answer(site, lambda: today_page(found, site), lambda _: today_sheets(found))
