"""`stockbook forecast`."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from stockbook.cli import completing
from stockbook.cli.answers import answer, answering_with_chart
from stockbook.cli.context import open_book, site_of, today

if TYPE_CHECKING:
    from stockbook.reports.data import DataSheet


@click.command("forecast")
@click.option(
    "--explain",
    metavar="ITEM",
    shell_complete=completing.items,
    help="One item in words and arithmetic.",
)
@click.option(
    "--calendar",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="CSV of first_day, last_day, category, cases: camps, targets, closures.",
)
@click.option("--review", is_flag=False, flag_value="", default=None, metavar="[PERIODS]",
              help="Past forecasts beside what happened; 6 periods by default.")  # fmt: skip
@click.option("--lenses", is_flag=True, help="Every power of every lens model.")
@answering_with_chart
def command(
    explain: str | None, calendar: Path | None, review: str | None, *, lenses: bool
) -> None:  # fmt: skip
    """What the coming lists will use, and what may run short.

    Exact distributions from the site's own cases, the lists and the calendar; nothing is
    recorded. An item that no case used and no kit names has no basis, which is never a zero.
    """
    from dataclasses import replace

    if review is not None:
        _review(review)
        return
    from stockbook.files.tables import read_table
    from stockbook.jobs.forecast import foresee, outlook_of
    from stockbook.jobs.reading_calendar import calendar_read
    from stockbook.reports.forecast import (
        demand_chart,
        explain_page,
        forecast_chart,
        forecast_page,
        forecast_sheets,
    )

    with open_book() as book:
        plan = calendar_read(book, read_table(calendar)) if calendar else []
        found, site = foresee(book, today(book), plan), site_of(book)
        if explain is not None:
            one = outlook_of(book, found, explain)
            answer(
                site, lambda: explain_page(found, one, site),
                lambda _: forecast_sheets(replace(found, outlooks=(one,), no_basis=())),
                chart=lambda: demand_chart(found, one),
            )  # fmt: skip
            return

        def sheets(_: object) -> "list[DataSheet]":
            return forecast_sheets(found)

        answer(
            site, lambda: forecast_page(found, site, powers=lenses), sheets,
            chart=lambda: forecast_chart(found),
        )  # fmt: skip


def _review(periods: str) -> None:
    from stockbook.jobs.forecast_review import review_forecast
    from stockbook.reports.forecast_review import review_page, review_sheets

    with open_book() as book:
        found, site = review_forecast(book, today(book), periods), site_of(book)
        answer(site, lambda: review_page(found, site), lambda _: review_sheets(found))
