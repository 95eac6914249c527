"""`stockbook period`."""

from typing import TYPE_CHECKING

import click

from stockbook.cli.answers import answer, answering_printable
from stockbook.cli.context import (
    open_book,
    recorded,
    recording,
    session,
    show,
    signature,
    site_of,
    sure_if_asked,
    today,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stockbook.reports.charts import Chart


@click.group("period")
def command() -> None:
    """A period's statement: close, show, reopen.

    What came, was used, wasted and is left, by class, tied to the balance of all places. A closed
    period takes nothing more: what comes later is booked on the first open day and keeps the day
    it happened. Its statement can be shown again at any time, with the same figures.
    """


def _span(month: str | None, first: str | None, last: str | None, day: str) -> tuple[str, str]:
    from stockbook.domain.days import period_typed

    return period_typed(month, first, last, day)


@command.command("close")
@click.argument("month", metavar="[YYYY-MM]", required=False)
@click.option("--from", "first", metavar="DAY", help="First day, where it is not a month.")
@click.option("--to", "last", metavar="DAY", help="Last day.")
@recording
def close(month: str | None, first: str | None, last: str | None) -> None:
    """Close a month, or a span of days, and print its statement."""
    from stockbook.jobs.period import close_period
    from stockbook.reports.period import statement_page

    if month is None and first is None:
        raise click.UsageError("Give a month YYYY-MM, or --from DAY and --to DAY.")
    with open_book() as book:
        who, site = signature(book), site_of(book)
        span = _span(month, first, last, today(book))
        made = sure_if_asked(
            lambda sure: close_period(book, who, span, sure=sure, keep=not session().dry_run)
        )
        show(lambda: statement_page(made.statement, site))
        recorded(made.entry, already=made.already)


@command.command("show")
@click.argument("period", required=False)
@click.option("--open", "month", metavar="YYYY-MM", help="An open month, as it would be closed.")
@click.option("--from", "first", metavar="DAY", help="An open span of days: its first day.")
@click.option("--to", "last", metavar="DAY", help="Its last day.")
@answering_printable
def show_period(period: str | None, month: str | None, first: str | None, last: str | None) -> None:
    """Every closing; one PERIOD's statement, or that of its number, as it was closed."""
    if period and (month or first or last):
        raise click.UsageError("Give a closed PERIOD, or an open month or span, not both.")
    if period is None and month is None and first is None:
        _closings()
    else:
        _statement(period, month, first, last)


def _closings() -> None:
    from stockbook.jobs.period import all_closings
    from stockbook.reports.period import closings_page, closings_sheets

    with open_book() as book:
        made, site = all_closings(book), site_of(book)
        answer(
            site, lambda: closings_page(made.rows, site), lambda _: closings_sheets(made.rows),
            standing=made,
        )  # fmt: skip


def _statement(period: str | None, month: str | None, first: str | None, last: str | None) -> None:
    from stockbook.jobs.period import statement_now, statement_of
    from stockbook.reports.period import statement_page, statement_sheets

    with open_book() as book:
        site = site_of(book)
        if period is not None:
            found = statement_of(book, period)
        else:
            found = statement_now(book, *_span(month, first, last, today(book)))

        def charts() -> "Sequence[Chart]":
            from stockbook.reports.finance_charts import statement_charts

            return statement_charts(found, site)

        answer(
            site, lambda: statement_page(found, site), lambda _: statement_sheets(found),
            standing=found.proof, charts=charts,
        )  # fmt: skip


@command.command("reopen")
@click.argument("period")
@recording
def reopen(period: str) -> None:
    """Let the last closed PERIOD take entries again: --checked-by and --reason are asked."""
    from stockbook.jobs.period import reopen_period

    with open_book() as book:
        opened, entry = reopen_period(
            book, signature(book), period, keep=not session().dry_run
        )  # fmt: skip
        show(
            f"Period {opened.code} is open again. Statement {opened.number} stays as it was "
            f"printed: stockbook period show {opened.number}"
        )
        recorded(entry)
