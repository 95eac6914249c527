"""`stockbook label`."""

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

import click

from stockbook.cli import completing
from stockbook.cli.answers import answer, answering_printable
from stockbook.cli.context import open_book, site_of, today

if TYPE_CHECKING:
    from stockbook.domain.answers import Site


@click.group("label")
def command() -> None:
    """Labels to print with a code to scan: shelf, lot, case, list, card.

    With -o FILE.html it is the page (the symbols need the extra 'print'), with --csv the rows for
    a label printer. The codes are the site's own. Nothing is recorded.
    """


@command.command("shelf")
@click.argument("place", required=False, shell_complete=completing.places)
@click.option("--item", "items", multiple=True, metavar="ITEM", shell_complete=completing.items,
              help="Only this item; with a PLACE even where none lies yet.")  # fmt: skip
@answering_printable
def shelf(place: str | None, items: tuple[str, ...]) -> None:
    """Shelf labels: item, name, level, where it lies.

    For every item that has a shelf, a level or stock in PLACE (in every store and theatre).
    """
    from stockbook.jobs.label import shelf_labels
    from stockbook.reports import labels

    with open_book() as book:
        found, site = shelf_labels(book, today(book), place, items), site_of(book)
        _say(site, "Shelf labels", labels.SHELF, labels.shelf_rows(found),
             lambda: labels.shelf_sheet(found, site))  # fmt: skip


@command.command("lot")
@click.argument("lots", nargs=-1, metavar="[LOT]...")
@click.option("--entry", type=int, metavar="N", help="All lots that this delivery brought.")
@click.option("--item", "items", multiple=True, metavar="ITEM", shell_complete=completing.items,
              help="Only lots of this item.")  # fmt: skip
@click.option("--copies", type=int, default=1, show_default=True, help="Of each label.")
@answering_printable
def lot(lots: tuple[str, ...], entry: int | None, items: tuple[str, ...], copies: int) -> None:
    """Lot labels: item, printed lot, serial, expiry as a whole day.

    LOT is a printed lot number or serial of which something is on hand.
    """
    from stockbook.jobs.label import lot_labels
    from stockbook.reports import labels

    with open_book() as book:
        found = lot_labels(book, today(book), lots, entry, items=items, copies=copies)
        site = site_of(book)
        _say(site, "Lot labels", labels.LOT, labels.lot_rows(found),
             lambda: labels.lot_sheet(found, site))  # fmt: skip


@command.command("case")
@click.argument("cases", nargs=-1, required=True, shell_complete=completing.cases)
@answering_printable
def case(cases: tuple[str, ...]) -> None:
    """Strips of cases, as a sitting in theatre scans them."""
    from stockbook.jobs.label import case_strips
    from stockbook.reports import labels

    with open_book() as book:
        found, site = case_strips(book, today(book), cases), site_of(book)
        _say(site, "Strips of cases", labels.CASE, labels.case_rows(found),
             lambda: labels.strip_sheet(found, site))  # fmt: skip


@command.command("list")
@click.argument("asked", metavar="LIST|DAY", shell_complete=completing.lists)
@answering_printable
def list_(asked: str) -> None:
    """The strips of a list, or of a day's lists, each list with its own symbol."""
    from stockbook.jobs.label import list_strips
    from stockbook.reports import labels

    with open_book() as book:
        found, site = list_strips(book, today(book), asked), site_of(book)
        _say(site, "Strips of cases", labels.CASE, labels.case_rows(found),
             lambda: labels.strip_sheet(found, site))  # fmt: skip


@command.command("card")
@answering_printable
def card() -> None:
    """The card of theatre codes, to be kept beside the trolley."""
    from stockbook.jobs.label import theatre_card
    from stockbook.reports import labels

    with open_book() as book:
        found, site = theatre_card(book, today(book)), site_of(book)
        _say(site, "Theatre codes", labels.CODE, labels.card_rows(found),
             lambda: labels.card_sheet(found, site))  # fmt: skip


def _say(
    site: "Site", title: str, names: Sequence[str], rows: Sequence[tuple[str, ...]],
    printable: Callable[[], str],
) -> None:  # fmt: skip
    from stockbook.reports.labels import labels_page, labels_sheets

    answer(
        site, lambda: labels_page(title, names, rows, site),
        lambda _: labels_sheets(names, rows), printable=printable,
    )  # fmt: skip
