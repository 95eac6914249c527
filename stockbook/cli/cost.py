"""`stockbook cost`."""

import click

from stockbook.cli.context import asking, open_book, show, site_of, today


@click.command("cost")
@click.argument("case", required=False)
@click.option("--month", metavar="YYYY-MM", help="One calendar month; this one by default.")
@click.option("--from", "first", metavar="DAY", help="First day of the period.")
@click.option("--to", "last", metavar="DAY", help="Last day of the period.")
@asking
def command(case: str | None, month: str | None, first: str | None, last: str | None) -> None:
    """What a case cost; a period's cost by category, with its proof."""
    from stockbook.domain.days import period_typed
    from stockbook.jobs.cost import cost_of_case, cost_of_period
    from stockbook.reports.cost import case_page, period_page

    if case and (month or first or last):
        raise click.UsageError("Give a CASE or a period, not both.")
    with open_book() as book:
        if case:
            show(case_page(cost_of_case(book, case), site_of(book)))
            return
        days = period_typed(month, first, last, today(book))
        show(period_page(cost_of_period(book, *days), site_of(book)))
