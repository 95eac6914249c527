"""`stockbook receive`."""

from dataclasses import replace
from pathlib import Path

import click

from stockbook.cli import completing
from stockbook.cli.context import (
    open_book,
    recorded,
    recording,
    session,
    show,
    signature,
    site_of,
    sure_if_asked,
)

Typed = tuple[str, str, str, str, str]
"""A line as it was typed: item, how many, lot, expiry, and its price or its reason."""


@click.command("receive")
@click.argument("supplier", shell_complete=completing.suppliers)
@click.option("--note", metavar="TEXT", help="Number of the delivery note.")
@click.option("--line", "typed", nargs=5, multiple=True, metavar="ITEM QTY LOT EXPIRY PRICE",
              help="One line: item or pack identifier, units or packs, lot (or serial), expiry "
                   "(day or month), price of one; - leaves one out. May be repeated.")  # fmt: skip
@click.option("--lines", "file", type=click.Path(path_type=Path), metavar="FILE",
              help="The lines as CSV.")  # fmt: skip
@click.option("--to", "place", default="STORE", show_default=True, help="Where it is put.")
@click.option("--freight", metavar="AMOUNT", help="Freight, spread over the lines by value.")
@click.option("--freight-by", metavar="SUPPLIER", help="Who bills the freight, if another.")
@click.option("--tax", metavar="AMOUNT", help="Tax that is not given back, spread likewise.")
@click.option("--terms", type=click.Choice(["bought", "donated", "in-kind"]),
              help="Terms of the typed lines.")  # fmt: skip
@click.option("--reject", "rejected", nargs=5, multiple=True,
              metavar="ITEM QTY LOT EXPIRY REASON",
              help="What came and is not taken in, and why. May be repeated.")  # fmt: skip
@click.option("--quarantine", "aside", nargs=5, multiple=True,
              metavar="ITEM QTY LOT EXPIRY REASON",
              help="What is taken to the quarantine area, and why. May be repeated.")  # fmt: skip
@click.option("--area", metavar="PLACE", shell_complete=completing.places,
              help="Which quarantine area, where there are several.")  # fmt: skip
@click.option("--order", metavar="ORDER", shell_complete=completing.orders,
              help="The order it came on.")  # fmt: skip
@recording
def command(
    supplier: str, note: str | None, typed: tuple[Typed, ...],
    file: Path | None, place: str, freight: str | None, freight_by: str | None, tax: str | None,
    terms: str | None, rejected: tuple[Typed, ...], aside: tuple[Typed, ...], area: str | None,
    order: str | None,
) -> None:  # fmt: skip
    """Receive a delivery by lot.

    A file has a header with some of: item, pack, packs, units, bonus, lot, serial, expiry,
    price, total, terms, shadow, agreed, reason, power, categories, sponsors, order. Give a pack's
    identifier with packs, or an item with units (a lens: its model as item, and power).
    """
    from stockbook.files.tables import read_table
    from stockbook.jobs.delivery_door import lines_set_aside, rejections_typed
    from stockbook.jobs.delivery_lines import charges_typed, lines_read, lines_typed
    from stockbook.jobs.left_ahead import left_of_delivery
    from stockbook.jobs.receive import Delivery, receive_delivery
    from stockbook.reports.receive import left_page, received_page

    with open_book() as book:
        signed = signature(book)
        more = {"terms": terms or "", "reason": session().reason or ""}
        lines = [
            *(lines_read(book, read_table(file)) if file else []),
            *lines_typed(book, typed, more),
        ]
        charges = charges_typed(book, freight, freight_by, tax)
        lines += lines_set_aside(book, aside, area, {"terms": terms or ""})
        delivery = Delivery(
            supplier, lines, _note(note), place, charges, order,
            rejected=rejections_typed(book, rejected),
        )  # fmt: skip
        unreasoned, keep = replace(signed, reason=None), not session().dry_run
        received = sure_if_asked(
            lambda sure: receive_delivery(
                book, unreasoned, replace(delivery, another=sure), keep=keep
            )
        )
        if received.lines or received.rejected:
            show(lambda: received_page(received, site_of(book)))
            left = "" if session().dry_run else left_page(
                left_of_delivery(book, signed.today, received)
            )  # fmt: skip
            if left:
                show(left)
        recorded(received.entry, already=received.already)


def _note(note: str | None) -> str | None:
    from stockbook.domain.texts import required_text

    return None if note is None else required_text(note, "--note", 60)
