"""`stockbook what-if`."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from stockbook.cli.answers import answer, answering_printable
from stockbook.cli.context import as_of_options, asked_as_of, open_book, site_of

if TYPE_CHECKING:
    from stockbook.jobs.what_if_asked import Typed

Pairs = tuple[tuple[str, str], ...]


@click.command("what-if")
@click.option("--tariff", "tariffs", nargs=2, multiple=True, metavar="CATEGORY AMOUNT",
              help="What a case of a category brings; without one: nothing.")  # fmt: skip
@click.option(
    "--fixed", metavar="AMOUNT", help="What is fixed over the period; nothing by default."
)
@click.option("--new-tariff", "new_tariffs", nargs=2, multiple=True, metavar="CATEGORY AMOUNT",
              help="What if: another tariff.")  # fmt: skip
@click.option("--new-fixed", metavar="AMOUNT", help="What if: another fixed cost.")
@click.option("--cases", metavar="N", help="What if: so many cases in the period, at this mix.")
@click.option("--share", "shares", nargs=2, multiple=True, metavar="CATEGORY PERCENT",
              help="What if: a category's share of the cases.")  # fmt: skip
@click.option("--lens", "lenses", nargs=2, multiple=True, metavar="CATEGORY MODEL",
              help="What if: every lens of a category of this model.")  # fmt: skip
@click.option("--price", "prices", nargs=2, multiple=True, metavar="ITEM|MODEL AMOUNT",
              help="What if: one unit of an item, or a lens model, at this price.")  # fmt: skip
@click.option("--kit", "kits", nargs=3, multiple=True, metavar="CATEGORY ITEM QTY",
              help="What if: each case of a category takes so much of an item.")  # fmt: skip
@click.option("--offers", type=click.Path(path_type=Path), metavar="FILE",
              help="Suppliers' offers, CSV or xlsx: supplier, item, pack, price.")  # fmt: skip
@click.option("--month", metavar="YYYY-MM", help="One calendar month; this one by default.")
@click.option("--from", "first", metavar="DAY", help="First day of the period.")
@click.option("--to", "last", metavar="DAY", help="Last day of the period.")
@as_of_options
@answering_printable
def command(
    tariffs: Pairs, fixed: str | None, new_tariffs: Pairs, new_fixed: str | None,
    cases: str | None, shares: Pairs, lenses: Pairs, prices: Pairs,
    kits: tuple[tuple[str, str, str], ...], offers: Path | None,
    month: str | None, first: str | None, last: str | None,
) -> None:  # fmt: skip
    """What the paid cases bear: tariffs, mix, lenses, prices, offers.

    From the costs and the mix of the book, now and as it would be: the result, paying cases for
    each free one, the volume that breaks even, the highest price of a lens and the highest share
    of free cases that are borne. It records nothing, and never says which lens a patient gets.
    """
    from stockbook.jobs.what_if_asked import Typed

    typed = Typed(tariffs, new_tariffs, fixed, new_fixed, cases, shares, lenses, prices, kits)
    _answer(typed, (month, first, last), offers)


def _answer(
    typed: "Typed", period: tuple[str | None, str | None, str | None], offers: Path | None
) -> None:
    from stockbook.domain.days import period_typed
    from stockbook.files.tables import read_table
    from stockbook.jobs.what_if import what_if
    from stockbook.reports.what_if import what_if_page, what_if_sheets

    with open_book() as book:
        as_of = asked_as_of(book)
        site = site_of(book, as_of)
        sheet = read_table(offers) if offers else None
        found = what_if(book, *period_typed(*period, as_of.day), typed, as_of, sheet)
        answer(site, lambda: what_if_page(found, site), lambda _: what_if_sheets(found),
               standing=found)  # fmt: skip
