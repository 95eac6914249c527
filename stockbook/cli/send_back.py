"""`stockbook send-back`."""

import click

from stockbook.cli import completing
from stockbook.cli.context import open_book, recorded, recording, session, show, signature, site_of


@click.command("send-back")
@click.argument("supplier", shell_complete=completing.suppliers)
@click.option("--note", required=True, metavar="TEXT",
              help="The number under which it goes back: the supplier's return note.")  # fmt: skip
@click.option("--line", "lines", nargs=3, multiple=True, metavar="ITEM QTY LOT",
              help="So many units of a printed lot (or serial). May be repeated.")  # fmt: skip
@click.option("--lot", "lots", multiple=True, metavar="LOT",
              help="All there is of a lot (or serial). May be repeated.")  # fmt: skip
@click.option("--from", "place", metavar="PLACE", shell_complete=completing.places,
              help="Where it lies; without it quarantine areas and stores. A quarantine area "
                   "alone: all of the supplier that lies there.")  # fmt: skip
@recording
def command(
    supplier: str, note: str, lines: tuple[tuple[str, str, str], ...], lots: tuple[str, ...],
    place: str | None,
) -> None:  # fmt: skip
    """Send units back to who delivered them, with a reason.

    Reasons: damaged, wet, warm, faulty, short-dated, expired, wrong-item, not-ordered, recalled,
    surplus. What is expired or in quarantine may go back; what is recalled only as recalled.
    Controlled items need --checked-by. The same note is recorded once.
    """
    from stockbook.jobs.send_back import BackAsked, send_back
    from stockbook.reports.send_back import sent_page

    with open_book() as book:
        asked = BackAsked(supplier, note, lines, lots, place)
        sent = send_back(book, signature(book), asked, keep=not session().dry_run)
        if not sent.already:
            show(lambda: sent_page(sent, site_of(book)))
        for words in sent.warnings:
            click.echo(words)
        recorded(sent.entry, already=sent.already)
