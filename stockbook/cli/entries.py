"""`stockbook entries`."""

import click

from stockbook.cli.answers import answer, answering
from stockbook.cli.context import open_book, site_of, today


@click.command("entries")
@click.argument("number", type=int, required=False)
@click.option("--last", "most", type=click.IntRange(1, 100_000), default=20, show_default=True,
              help="How many of the newest.")  # fmt: skip
@click.option("--kind", metavar="KIND", help="Only this kind: delivery, issue, finish …")
@click.option("--document", metavar="TEXT", help="Only this case, note or file.")
@click.option("--happened", metavar="DAY", help="Only what happened on this day.")
@answering
def command(
    number: int | None, most: int, kind: str | None, document: str | None, happened: str | None
) -> None:
    """What was recorded, entry by entry."""
    from stockbook.domain.days import day_typed
    from stockbook.jobs.entries import entry_in_full, recent_entries
    from stockbook.reports.entries import entries_page, entry_page

    with open_book() as book:
        site = site_of(book)
        if number is not None:
            one = entry_in_full(book, number)
            answer(site, lambda: entry_page(one, site), lambda sheets: sheets.entry_sheets(one))
            return
        day = day_typed(happened, today(book), "--happened") if happened else None
        found = recent_entries(book, most=most, kind=kind, document=document, day=day)
        answer(site, lambda: entries_page(found, site), lambda sheets: sheets.entries_sheets(found))
