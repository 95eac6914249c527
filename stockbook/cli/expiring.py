"""`stockbook expiring`."""

import click

from stockbook.cli.context import asking, open_book, show, site_of, today


@click.command("expiring")
@click.option("--within", metavar="DAYS", help="How far ahead (the site's setting: 90).")
@click.option("--place", metavar="PLACE", help="Only what lies here.")
@asking
def command(within: str | None, place: str | None) -> None:
    """What is expired on a shelf, and what expires soon."""
    from stockbook.jobs.expiring import expiring_stock
    from stockbook.reports.expiring import expiring_page

    with open_book() as book:
        found = expiring_stock(book, today(book), within=within, place=place)
        show(expiring_page(found, site_of(book)))
