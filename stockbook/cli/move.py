"""`stockbook move`."""

import click

from stockbook.cli.context import open_book, recorded, recording, session, show, signature, site_of


@click.command("move")
@click.argument("item")
@click.argument("quantity")
@click.option("--from", "source", required=True, metavar="PLACE", help="Where it lies.")
@click.option("--to", "target", required=True, metavar="PLACE", help="Where it goes.")
@click.option("--lot", "number", metavar="LOT", help="This lot (or serial); it counts as seen.")
@recording
def command(item: str, quantity: str, source: str, target: str, number: str | None) -> None:
    """Move stock from one place to another.

    Without --lot the soonest expiry that may be used is taken. What must not be used moves only
    by its lot, and never to a theatre. Reasons, where one is worth giving: refill,
    needed-elsewhere, set-aside, wrong-place.
    """
    from stockbook.jobs.move import move_stock
    from stockbook.reports.cases import moved_page

    with open_book() as book:
        moved = move_stock(
            book, signature(book), item, quantity, source, target, number=number,
            keep=not session().dry_run,
        )  # fmt: skip
        show(moved_page(moved, site_of(book)))
        recorded(moved.entry)
