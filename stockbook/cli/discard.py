"""`stockbook discard`."""

import click

from stockbook.cli import completing
from stockbook.cli.context import open_book, recorded, recording, session, show, signature, site_of


@click.command("discard")
@click.argument("item", shell_complete=completing.items)
@click.argument("quantity")
@click.option("--from", "source", required=True, metavar="PLACE",
              shell_complete=completing.places, help="The shelf it lies on.")  # fmt: skip
@click.option("--lot", "number", metavar="LOT", help="This lot (or serial); it counts as seen.")
@recording
def command(item: str, quantity: str, source: str, number: str | None) -> None:
    """Discard from a shelf, with a reason.

    Reasons: expired, damaged, wet, temperature, opened, recalled, remainder. With expired and
    without --lot what is past its expiry is taken. Controlled items need --checked-by.
    """
    from stockbook.jobs.discard import discard_stock
    from stockbook.reports.cases import moved_page

    with open_book() as book:
        moved = discard_stock(
            book, signature(book), item, quantity, source, number=number,
            keep=not session().dry_run,
        )  # fmt: skip
        show(lambda: moved_page(moved, site_of(book)))
        recorded(moved.entry)
