"""`stockbook invoice`."""

from pathlib import Path

import click

from stockbook.cli import completing
from stockbook.cli.answers import answer, printable_options
from stockbook.cli.context import open_book, recorded, recording, session, show, signature, site_of

Typed = tuple[tuple[str, str, str], ...]


@click.command("invoice")
@click.argument("supplier", required=False, shell_complete=completing.suppliers)
@click.argument("number", required=False)
@click.option("--line", "typed", nargs=3, multiple=True, metavar="ITEM QTY AMOUNT",
              help="Item or pack identifier, units or packs, amount of all.")  # fmt: skip
@click.option("--lines", "file", type=click.Path(path_type=Path), metavar="FILE",
              help="The lines as CSV: item or pack, quantity, amount, note.")  # fmt: skip
@click.option("--note", metavar="TEXT", help="The delivery note that typed lines are for.")
@click.option("--dated", metavar="DAY", help="The invoice's own date; today by default.")
@click.option("--freight", metavar="AMOUNT", help="Freight that the delivery did not have.")
@click.option("--tax", metavar="AMOUNT", help="Tax, likewise.")
@click.option("--discount", metavar="AMOUNT|N%", help="Of a recorded one: for early payment.")
@click.option("--credit", is_flag=True, help="The lines are a credit note for what was sent back.")
@click.option("--match", is_flag=True, help="Of a recorded one: match what has come since.")
@printable_options
@recording
def command(
    supplier: str | None, number: str | None, typed: Typed, file: Path | None, note: str | None,
    dated: str | None, freight: str | None, tax: str | None, discount: str | None, *, match: bool,
    credit: bool,
) -> None:  # fmt: skip
    """A supplier's invoice beside what came; what has none.

    With lines it is recorded: each is matched to the deliveries that came first, and what is
    asked more (or less) than was reckoned goes to wherever the units are now, used ones too.
    With --credit the lines are a credit note for what was sent back (--note: under which note).
    Without lines a recorded one is shown; without a NUMBER, what was received and not invoiced,
    invoiced and not received, sent back and not credited.
    """
    lines = bool(typed or file)
    if credit and (freight or tax or not lines):
        raise click.UsageError("--credit goes with lines, without --freight and --tax.")
    if supplier is None or number is None:
        if lines or discount or match:
            raise click.UsageError("Give SUPPLIER and NUMBER of the invoice.")
        _unmatched(supplier)
    elif sum((lines, bool(discount), match)) > 1:
        raise click.UsageError("Give lines, --discount or --match: one at a time.")
    elif discount or match:
        _again(supplier, number, discount)
    elif lines:
        words = [(*line, "" if credit else note or "") for line in typed]
        _record(supplier, number, words, file, (dated, freight, tax), (credit, note))
    else:
        _show(supplier, number)


def _unmatched(supplier: str | None) -> None:
    from stockbook.jobs.invoice_view import unmatched
    from stockbook.reports.invoice import unmatched_page, unmatched_sheets

    with open_book() as book:
        found, site = unmatched(book, supplier), site_of(book)
        answer(site, lambda: unmatched_page(found, site, supplier),
               lambda _: unmatched_sheets(found), standing=found)  # fmt: skip


def _show(supplier: str, number: str) -> None:
    from stockbook.jobs.invoice_view import invoice_view
    from stockbook.reports.invoice import invoice_page, invoice_sheets

    with open_book() as book:
        view, site = invoice_view(book, supplier, number), site_of(book)
        answer(site, lambda: invoice_page(view, site), lambda _: invoice_sheets(view),
               standing=view)  # fmt: skip


def _record(
    supplier: str, number: str, typed: list[tuple[str, str, str, str]], file: Path | None,
    more: tuple[str | None, str | None, str | None], credit: tuple[bool, str | None],
) -> None:  # fmt: skip
    from stockbook.files.tables import read_table
    from stockbook.jobs.credit import record_credit
    from stockbook.jobs.invoice import InvoiceAsked, record_invoice
    from stockbook.jobs.invoice_lines import invoice_lines_read
    from stockbook.reports.invoice import invoice_page

    with open_book() as book:
        lines = [*(invoice_lines_read(read_table(file)) if file else []), *typed]
        asked = InvoiceAsked(supplier, number, lines, *more)
        who, keep = signature(book), not session().dry_run
        if credit[0]:
            made = record_credit(book, who, asked, credit[1], keep=keep)
        else:
            made = record_invoice(book, who, asked, keep=keep)
        show(lambda: invoice_page(made.view, site_of(book)))
        recorded(made.entry, already=made.already)


def _again(supplier: str, number: str, discount: str | None) -> None:
    from stockbook.jobs.invoice import discount_invoice, match_again
    from stockbook.reports.invoice import invoice_page

    with open_book() as book:
        who, keep = signature(book), not session().dry_run
        if discount:
            made = discount_invoice(book, who, supplier, number, discount, keep=keep)
        else:
            made = match_again(book, who, supplier, number, keep=keep)
        show(lambda: invoice_page(made.view, site_of(book)))
        recorded(made.entry, already=made.already)
