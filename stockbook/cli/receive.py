"""`stockbook receive`."""

from dataclasses import replace
from functools import partial
from pathlib import Path

import click

from stockbook.cli import completing
from stockbook.cli.context import (
    open_book,
    recorded,
    recording,
    session,
    signature,
    site_of,
    sure_if_asked,
)
from stockbook.cli.receive_scan import Given, show_received, unpack

Typed = tuple[str, str, str, str, str]
"""A line as it was typed: item, how many, lot, expiry, and its price or its reason."""


@click.command("receive")
@click.argument("supplier", required=False, shell_complete=completing.suppliers)
@click.argument("note_named", metavar="[NOTE]", required=False)
@click.option("--scan", is_flag=True, help="Unpack it by scanner; needs NOTE.")
@click.option("--opening", "sheet", metavar="SHEET",
              help="With --scan: what lay here before the book began, as one sheet.")  # fmt: skip
@click.option("--separator", metavar="CHAR",
              help="With --scan: what the scanner sends for GS: one of | ~ ^ @ # { }.")  # fmt: skip
@click.option("--note", metavar="TEXT", help="Number of the delivery note.")
@click.option("--line", "typed", nargs=5, multiple=True, metavar="ITEM QTY LOT EXPIRY PRICE",
              help="One line: item or pack identifier, units or packs, lot (or serial), expiry "
                   "(day or month), price of one; - leaves one out. May be repeated.")  # fmt: skip
@click.option("--lines", "file", type=click.Path(path_type=Path), metavar="FILE",
              help="The lines as CSV.")  # fmt: skip
@click.option("--to", "place", metavar="PLACE", help="Where it is put; else STORE.")
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
    supplier: str | None, note_named: str | None, scan: bool, sheet: str | None,
    separator: str | None, note: str | None, typed: tuple[Typed, ...], file: Path | None,
    place: str | None, freight: str | None, freight_by: str | None, tax: str | None,
    terms: str | None, rejected: tuple[Typed, ...], aside: tuple[Typed, ...], area: str | None,
    order: str | None,
) -> None:  # fmt: skip
    """Receive a delivery by lot.

    A file has a header with some of: item, pack, packs, units, bonus, lot, serial, expiry,
    price, total, terms, shadow, agreed, reason, power, categories, sponsors, order. Give a pack's
    identifier with packs, or an item with units (a lens: its model as item, and power).

    With --scan the packs are scanned, one after the other, from the keyboard or a pipe; the first
    is your staff code where --by is not given. Typed words: undo, qty N, price X, reject REASON,
    quarantine REASON, record, leave. Nothing is posted before record; what was scanned stays when
    the terminal dies, and another keeper can take it over.

    receive --opening SHEET --scan takes in what lies here already, before the book begins, in the
    same way: without supplier, order and freight. A price is asked for once where none is known.
    """
    named = _one_note(note, note_named)
    if sheet is not None:
        named = _opening_sheet(sheet, scan=scan, others=(supplier, named))
    elif supplier is None:
        raise click.UsageError("Give SUPPLIER; or --opening SHEET --scan for opening stock.")
    whole = Given(supplier, named, place, terms, order, freight, freight_by, tax)
    if scan:
        check_alone(typed=typed, file=file, rejected=rejected, aside=aside, area=area)
        unpack(whole, separator)
    else:
        _receive_typed(whole, typed, file, rejected, aside, area)


def _receive_typed(
    whole: Given, typed: tuple[Typed, ...], file: Path | None, rejected: tuple[Typed, ...],
    aside: tuple[Typed, ...], area: str | None,
) -> None:  # fmt: skip
    """A delivery whose lines are typed or in a file."""
    from stockbook.files.tables import read_table
    from stockbook.jobs.delivery_door import lines_set_aside, rejections_typed
    from stockbook.jobs.delivery_lines import charges_typed, lines_read, lines_typed
    from stockbook.jobs.left_ahead import left_of_delivery
    from stockbook.jobs.receive import Delivery, receive_delivery

    with open_book() as book:
        signed, terms = signature(book), {"terms": whole.terms or ""}
        lines = [
            *(lines_read(book, read_table(file)) if file else []),
            *lines_typed(book, typed, terms | {"reason": session().reason or ""}),
            *lines_set_aside(book, aside, area, terms),
        ]
        charges = charges_typed(book, whole.freight, whole.freight_by, whole.tax)
        delivery = Delivery(
            str(whole.supplier), lines, whole.note, whole.place or "STORE", charges, whole.order,
            rejected=rejections_typed(book, rejected),
        )  # fmt: skip
        unreasoned, keep = replace(signed, reason=None), not session().dry_run
        received = sure_if_asked(
            lambda sure: receive_delivery(
                book, unreasoned, replace(delivery, another=sure), keep=keep
            )
        )
        show_received(received, partial(left_of_delivery, book, signed.today), site_of(book))
        recorded(received.entry, already=received.already)


def _one_note(by_option: str | None, by_place: str | None) -> str | None:
    """The note's number, given after the supplier or by --note."""
    from stockbook.domain.texts import required_text

    if by_option is not None and by_place is not None and by_option != by_place:
        raise click.UsageError(f"Two notes: {by_place} and --note {by_option}. Give one.")
    note = by_option if by_option is not None else by_place
    return None if note is None else required_text(note, "--note", 60)


def _opening_sheet(sheet: str, *, scan: bool, others: tuple[str | None, ...]) -> str:
    """The sheet's name; opening stock comes from no supplier and by scanner alone."""
    from stockbook.domain.texts import required_text

    if any(others):
        raise click.UsageError("--opening SHEET names no supplier and no note.")
    if not scan:
        raise click.UsageError(
            "--opening goes with --scan; typed opening stock: stockbook import opening-stock FILE."
        )
    return required_text(sheet, "--opening", 60)


def check_alone(**others: object) -> None:
    """Scanned lines come from the scanner alone."""
    if any(others.values()):
        raise click.UsageError("--scan takes its lines from the scanner alone.")
