"""`stockbook valuation`."""

from typing import TYPE_CHECKING

import click

from stockbook.cli import completing
from stockbook.cli.answers import answer, answering_printable
from stockbook.cli.context import (
    as_of_options,
    asked_as_of,
    open_book,
    recorded,
    recording,
    session,
    show,
    signature,
    site_of,
    today,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stockbook.reports.charts import Chart


@click.group("valuation")
def command() -> None:
    """What the stock is worth: show, write-down, idle, prices."""


@command.command("show")
@click.option("--method", "methods", metavar="METHOD", multiple=True,
              help="fifo or average beside by lot; may be repeated.")  # fmt: skip
@as_of_options
@answering_printable
def show_value(methods: tuple[str, ...]) -> None:
    """Item by item: by lot, by other methods, the stated value, the lower of both."""
    from stockbook.domain.valuation import methods_typed
    from stockbook.jobs.valuation import value_of_stock
    from stockbook.reports.valuation import value_page, value_sheets

    asked = methods_typed(methods)
    with open_book() as book:
        as_of = asked_as_of(book)
        site, found = site_of(book, as_of), value_of_stock(book, as_of.day, asked, as_of)

        def charts() -> "Sequence[Chart]":
            from stockbook.reports.finance_charts import value_charts

            return value_charts(found, site)

        answer(
            site, lambda: value_page(found, site), lambda _: value_sheets(found),
            standing=found, charts=charts,
        )  # fmt: skip


@command.command("idle")
@click.option("--days", type=click.IntRange(1, 3660), default=365, show_default=True,
              help="Nothing of it was used for so long.")  # fmt: skip
@answering_printable
def idle(days: int) -> None:
    """What does not move: lots on shelves of whose item nothing was used for long."""
    from stockbook.jobs.valuation import not_moving
    from stockbook.reports.valuation import not_moving_page, not_moving_sheets

    with open_book() as book:
        day, site = today(book), site_of(book)
        found = not_moving(book, day, days)
        answer(
            site, lambda: not_moving_page(found.rows, days, site, day),
            lambda _: not_moving_sheets(found.rows, days, day), standing=found,
        )  # fmt: skip


@command.command("prices")
@click.option("--month", metavar="YYYY-MM", help="One calendar month; this one by default.")
@click.option("--from", "first", metavar="DAY", help="First day of the period.")
@click.option("--to", "last", metavar="DAY", help="Last day of the period.")
@answering_printable
def prices(month: str | None, first: str | None, last: str | None) -> None:
    """What was paid for each lot beside the item's price before the period."""
    from stockbook.domain.days import period_typed
    from stockbook.jobs.valuation import prices_paid
    from stockbook.reports.valuation import prices_page, prices_sheets

    with open_book() as book:
        days, site = period_typed(month, first, last, today(book)), site_of(book)
        found = prices_paid(book, *days)
        answer(
            site, lambda: prices_page(found.rows, days, site),
            lambda _: prices_sheets(found.rows, days), standing=found,
        )  # fmt: skip


@command.command("write-down")
@click.argument("item", shell_complete=completing.items)
@click.argument("value", metavar="VALUE")
@recording
def write_down(item: str, value: str) -> None:
    """State what one unit of ITEM is worth: its stock goes to the lower of that and its cost.

    A later, higher value gives back at most what was written down. Two people sign
    (--checked-by), with a --reason.
    """
    from stockbook.jobs.valuation import state_value
    from stockbook.reports.valuation import wrote_down_page

    with open_book() as book:
        made = state_value(book, signature(book), item, value, keep=not session().dry_run)
        show(lambda: wrote_down_page(made, site_of(book)))
        recorded(made.entry)
