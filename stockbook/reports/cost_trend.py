"""How the months of cost look beside one another."""

from typing import TYPE_CHECKING

from stockbook.domain.answers import Site
from stockbook.domain.cost_trend import CostTrend, MonthCost
from stockbook.reports.tables import heading, table

if TYPE_CHECKING:
    from stockbook.reports.data import DataSheet
    from stockbook.reports.money_charts import MonthChart

NOTE = (
    "Each month as its own page has it: a case counts in the month its first use was booked; "
    "the months before the book began are left out."
)


def trend_page(found: CostTrend, site: Site) -> str:
    """A row for each month."""
    title = f"Cost month by month, through {found.last_day} ({site.money.code})"
    ending = f"Last entry {found.last_entry}, checksum {found.checksum}"
    return "\n".join([heading(title, site), trend_table(found, site), NOTE, ending])


def trend_table(found: CostTrend, site: Site) -> str:
    """The months: cases, what a case cost in each category, and all that ended."""
    names = [f"A {name} case" for name in found.categories]
    headers = (
        "Month", "Cases", *names, "Used", "Wasted", "Earlier cases", "All that ended",
    )  # fmt: skip
    rows = [_row(month, found, site) for month in found.months]
    caption = f"Month by month, through {found.last_day}"
    return table(headers, rows, ",".join(headers[1:]), caption=caption)


def _row(month: MonthCost, found: CostTrend, site: Site) -> tuple[str, ...]:
    place = found.months.index(month)
    means = [found.mean_of(name)[place] for name in found.categories]
    sums = (month.used, month.wasted, month.earlier_cases, month.total)
    return (
        month.month, str(month.cases), *("" if v is None else site.money.text(v) for v in means),
        *map(site.money.text, sums),
    )  # fmt: skip


def trend_chart(found: CostTrend, site: Site) -> "MonthChart":
    """What was used and wasted, and what a case of each category cost."""
    from stockbook.reports.money_charts import Line, MonthChart

    code = site.money.code
    lines = [
        Line(name, values, tuple("" if v is None else site.money.text(v) for v in values))
        for name in found.categories
        for values in [found.mean_of(name)]
    ]
    return MonthChart(
        f"Cost month by month, through {found.last_day} ({code})", f"used and wasted, {code}",
        tuple(month.month for month in found.months), tuple(month.used for month in found.months),
        tuple(month.wasted for month in found.months), tuple(lines), f"mean of a case, {code}",
        10**site.money.decimals,
    )  # fmt: skip


def trend_sheets(found: CostTrend) -> "list[DataSheet]":
    """A row for each month and category."""
    from stockbook.reports.data import DataSheet, columns

    rows = [
        (month.month, month.first_day, month.last_day, one.category, one.cases, one.used, one.mean,
         one.wasted, one.earlier_cases, one.total)
        for month in found.months
        for one in month.categories
    ]  # fmt: skip
    names = columns(
        "month", "first_day:day", "last_day:day", "category", "cases:count", "used:money",
        "mean:money", "wasted:money", "earlier_cases:money", "total:money",
    )  # fmt: skip
    about = (
        ("last_day", found.last_day), ("last_entry", str(found.last_entry)),
        ("checksum", found.checksum),
    )  # fmt: skip
    return [DataSheet("cost_by_month", about, names, tuple(rows))]
