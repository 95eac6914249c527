"""`stockbook cost`."""

from typing import TYPE_CHECKING

import click

from stockbook.cli.answers import answer, answering_printable, asks_for_paper
from stockbook.cli.context import as_of_options, asked_as_of, open_book, site_of

if TYPE_CHECKING:
    from types import ModuleType

    from stockbook.domain.answers import Site
    from stockbook.domain.cost_trend import CostTrend
    from stockbook.domain.costs import PeriodCost

Typed = tuple[str | None, str | None, str | None]
"""A period as typed: month, first and last day."""


@click.command("cost")
@click.argument("case", required=False)
@click.option("--month", metavar="YYYY-MM", help="One calendar month; this one by default.")
@click.option("--from", "first", metavar="DAY", help="First day of the period.")
@click.option("--to", "last", metavar="DAY", help="Last day of the period.")
@click.option(
    "--method", "methods", metavar="METHOD", multiple=True,
    help="Value the period by fifo or average beside lot; may be repeated.",
)  # fmt: skip
@click.option(
    "--per", metavar="WAY",
    help="A case by category, sponsor, procedure, lens, surgeon, theatre or month.",
)  # fmt: skip
@click.option("--trend", is_flag=True, help="Twelve months to the period's end.")
@click.option("--movements", is_flag=True, help="Every movement behind the figures instead.")
@click.option("--only", metavar="NAME", help="With --movements: one category or group.")
@click.option(
    "--variance", is_flag=True,
    help="The period's cases beside their standard kits: price, usage, mix.",
)  # fmt: skip
@as_of_options
@answering_printable
def command(
    case: str | None, month: str | None, first: str | None, last: str | None,
    methods: tuple[str, ...], per: str | None, only: str | None, *,
    movements: bool, variance: bool, trend: bool,
) -> None:  # fmt: skip
    """What a case cost; a period's cost by category, with its proof."""
    days = (month, first, last)
    _check(
        (bool(case and any(days)), "Give a CASE or a period, not both."),
        (bool(variance and (case or methods or movements)),
         "--variance looks at the cases of a period: no CASE, --method or --movements."),
        (bool(movements and methods), "--movements goes with no --method."),
        (bool(only and (case or not movements)), "--only goes with --movements of a period."),
        (bool(per and (case or methods)),
         "--per groups the cases of a period: no CASE, no --method."),
        (bool(trend and (case or methods or per or movements or variance)),
         "--trend shows months: no CASE, --method, --per, --movements or --variance."),
        (bool(case and methods),
         "--method values a period; a CASE costs what its lots cost."),
    )  # fmt: skip
    if trend:
        _trend(days)
    elif variance:
        _variance(days, per or "category")
    elif movements:
        _movements(case, days, per, only)
    elif per:
        _groups(days, per)
    elif case:
        _case(case)
    elif methods:
        _methods(days, methods)
    else:
        _period(days)


def _check(*clashes: tuple[bool, str]) -> None:
    """Refuse what was asked together and cannot be."""
    for clash, words in clashes:
        if clash:
            raise click.UsageError(words)


def _case(code: str) -> None:
    from stockbook.jobs.cost import cost_of_case
    from stockbook.reports.cost import case_page

    with open_book() as book:
        as_of = asked_as_of(book)
        site, found = site_of(book, as_of), cost_of_case(book, code, as_of)
        answer(
            site, lambda: case_page(found, site), lambda sheets: sheets.case_cost_sheets(found),
            standing=found, charts=lambda: _charts().case_charts(found, site),
        )  # fmt: skip


def _charts() -> "ModuleType":
    from stockbook.reports import finance_charts

    return finance_charts


def _period(typed: Typed) -> None:
    from stockbook.domain.days import period_typed
    from stockbook.jobs.cost import cost_of_period
    from stockbook.reports.cost import period_page

    with open_book() as book:
        as_of = asked_as_of(book)
        site = site_of(book, as_of)
        found = cost_of_period(book, *period_typed(*typed, as_of.day), as_of)
        if asks_for_paper():
            from stockbook.domain.asking import AsOf
            from stockbook.jobs.cost_trend import cost_trend

            same = AsOf(found.last_day, found.proof.last_entry)
            _period_on_paper(found, cost_trend(book, found.last_day, same), site)
        else:
            answer(
                site, lambda: period_page(found, site),
                lambda sheets: sheets.period_cost_sheets(found), standing=found.proof,
            )  # fmt: skip


def _period_on_paper(found: "PeriodCost", trend: "CostTrend", site: "Site") -> None:
    """The period's page with the months before it."""
    from stockbook.reports.cost import period_page
    from stockbook.reports.cost_trend import trend_table

    def page() -> str:
        return f"{period_page(found, site)}\n\n{trend_table(trend, site)}"

    answer(
        site, page, lambda sheets: sheets.period_cost_sheets(found), standing=found.proof,
        charts=lambda: _charts().period_charts(found, trend, site),
    )  # fmt: skip


def _trend(typed: Typed) -> None:
    from stockbook.domain.days import period_typed
    from stockbook.jobs.cost_trend import cost_trend
    from stockbook.reports.cost_trend import trend_chart, trend_page, trend_sheets

    with open_book() as book:
        as_of = asked_as_of(book)
        site = site_of(book, as_of)
        found = cost_trend(book, period_typed(*typed, as_of.day)[1], as_of)
        answer(
            site, lambda: trend_page(found, site), lambda _: trend_sheets(found), standing=found,
            charts=lambda: [trend_chart(found, site)],
        )  # fmt: skip


def _groups(typed: Typed, way: str) -> None:
    from stockbook.domain.days import period_typed
    from stockbook.jobs.cost_groups import cost_by
    from stockbook.reports.cost_groups import groups_page, groups_sheets

    with open_book() as book:
        as_of = asked_as_of(book)
        site = site_of(book, as_of)
        found = cost_by(book, *period_typed(*typed, as_of.day), way, as_of)
        answer(
            site, lambda: groups_page(found, site), lambda _: groups_sheets(found),
            standing=found, charts=lambda: _charts().group_charts(found, site),
        )  # fmt: skip


def _movements(case: str | None, typed: Typed, per: str | None, only: str | None) -> None:
    from stockbook.domain.days import period_typed
    from stockbook.jobs.cost_movements import movements_of_case, movements_of_period
    from stockbook.reports.cost_movements import movements_page, movements_sheets

    with open_book() as book:
        as_of = asked_as_of(book)
        site = site_of(book, as_of)
        if case:
            found = movements_of_case(book, case, as_of)
        else:
            days = period_typed(*typed, as_of.day)
            found = movements_of_period(book, *days, per, only, as_of)
        answer(
            site,
            lambda: movements_page(found, site),
            lambda _: movements_sheets(found),
            standing=found,
        )


def _variance(typed: Typed, way: str) -> None:
    from stockbook.domain.days import period_typed
    from stockbook.jobs.cost_variance import cost_variance
    from stockbook.reports.cost_variance import variance_page, variance_sheets

    with open_book() as book:
        as_of = asked_as_of(book)
        site = site_of(book, as_of)
        found = cost_variance(book, *period_typed(*typed, as_of.day), way, as_of)
        answer(
            site,
            lambda: variance_page(found, site),
            lambda _: variance_sheets(found),
            standing=found,
        )


def _methods(typed: Typed, methods: tuple[str, ...]) -> None:
    from stockbook.domain.days import period_typed
    from stockbook.domain.valuation import methods_typed
    from stockbook.jobs.cost_methods import cost_by_methods
    from stockbook.reports.cost_methods import methods_page, methods_sheets

    asked = methods_typed(methods)
    with open_book() as book:
        as_of = asked_as_of(book)
        site = site_of(book, as_of)
        found = cost_by_methods(book, *period_typed(*typed, as_of.day), asked, as_of)
        answer(
            site, lambda: methods_page(found, site), lambda _: methods_sheets(found),
            standing=found,
        )  # fmt: skip
