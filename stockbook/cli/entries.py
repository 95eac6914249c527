"""`stockbook entries`."""

import click

from stockbook.cli.context import asking, open_book, show, site_of, today


@click.command("entries")
@click.argument("number", type=int, required=False)
@click.option("--last", "most", type=click.IntRange(1, 100_000), default=20, show_default=True,
              help="How many of the newest.")  # fmt: skip
@click.option("--kind", metavar="KIND", help="Only this kind: delivery, issue, finish …")
@click.option("--document", metavar="TEXT", help="Only this case, note or file.")
@click.option("--happened", metavar="DAY", help="Only what happened on this day.")
@asking
def command(
    number: int | None, most: int, kind: str | None, document: str | None, happened: str | None
) -> None:
    """What was recorded, entry by entry."""
    from stockbook.domain.days import day_typed
    from stockbook.jobs.entries import entry_in_full, recent_entries
    from stockbook.reports.entries import entries_page, entry_page

    with open_book() as book:
        if number is not None:
            show(entry_page(entry_in_full(book, number), site_of(book)))
            return
        day = day_typed(happened, today(book), "--happened") if happened else None
        found = recent_entries(book, most=most, kind=kind, document=document, day=day)
        show(entries_page(found, site_of(book)))
