"""What the pages of finance draw: cost by class and category, waste, groups, stock by class."""

from collections.abc import Mapping, Sequence

from stockbook.domain.amounts import sums_of
from stockbook.domain.answers import Site
from stockbook.domain.cost_groups import CostGroups
from stockbook.domain.cost_trend import CostTrend
from stockbook.domain.costs import CaseCost, PeriodCost
from stockbook.domain.statements import Statement
from stockbook.domain.write_downs import StockValue, by_class
from stockbook.reports.charts import Bar, BarChart, Chart, Mark
from stockbook.reports.cost_trend import trend_chart
from stockbook.reports.money_charts import BESIDE, PanelChart, panels

MOST_BARS = 24
"""More groups than this are a table, not a picture."""


def period_charts(found: PeriodCost, trend: CostTrend, site: Site) -> list[Chart]:
    """Used by class and category, wasted likewise, month by month."""
    used = {one.category: one.by_class for one in found.categories}
    wasted = {one.category: one.wasted_by_class for one in found.categories}
    code = site.money.code
    charts: list[Chart] = [
        *_by_class(f"Used by class and category ({code})", used, site),
        *_by_class(f"Wasted by class and category ({code})", wasted, site),
    ]
    return [*charts, trend_chart(trend, site)] if trend.months else charts


def statement_charts(found: Statement, site: Site) -> list[Chart]:
    """Used by class and category, wasted by reason."""
    used: dict[str, dict[str, int]] = {}
    for one in found.classes:
        for name, value in one.used.items():
            used.setdefault(name, {})[one.item_class] = value
    wasted = sums_of(one.wasted for one in found.classes)
    code = site.money.code
    return [
        *_by_class(f"Used by class and category ({code})", dict(sorted(used.items())), site),
        *_bars(f"Wasted by reason ({code})", wasted, site),
    ]


def case_charts(found: CaseCost, site: Site) -> list[Chart]:
    """What the case used, by class."""
    return _bars(f"Used by class ({site.money.code})", found.by_class, site)


def value_charts(found: StockValue, site: Site) -> list[Chart]:
    """What lies there, by class."""
    return _bars(f"Value of the stock by class, by lot ({site.money.code})", by_class(found), site)


def group_charts(found: CostGroups, site: Site) -> list[Chart]:
    """What a case of each group cost, by name, with all cases' mean across."""
    groups = [(one.name, one.mean) for one in found.groups if one.mean is not None]
    if found.all.mean is None or len(groups) > MOST_BARS:
        return []
    title = f"Mean of a case by {found.by} ({site.money.code})"
    bars = tuple(Bar(name, mean, site.money.text(mean)) for name, mean in groups)
    mark = Mark(found.all.mean, f"all cases {site.money.text(found.all.mean)}")
    return [BarChart(title, "", bars, (mark,), scaled=False)]


def _bars(title: str, values: Mapping[str, int], site: Site) -> list[Chart]:
    """Dearest first; nothing where there is nothing."""
    bars = tuple(Bar(name, values[name], site.money.text(values[name])) for name in _order(values))
    return [BarChart(title, "", bars, scaled=False)] if bars else []


def _by_class(
    title: str, groups: Mapping[str, Mapping[str, int]], site: Site
) -> list[PanelChart]:  # fmt: skip
    """A panel for each group that has anything, over the same classes, dearest first in all."""
    rows = _order(sums_of(groups.values()))
    shown = [
        (name, [own.get(row, 0) for row in rows], [_text(own.get(row, 0), site) for row in rows])
        for name, own in groups.items()
        if any(own.values())
    ]
    pieces = [shown[n : n + BESIDE] for n in range(0, len(shown), BESIDE)]
    return [
        panels(title if len(pieces) == 1 else f"{title}, {n} of {len(pieces)}", rows, piece)
        for n, piece in enumerate(pieces, start=1)
    ]


def _text(value: int, site: Site) -> str:
    return site.money.text(value) if value else ""


def _order(values: Mapping[str, int]) -> Sequence[str]:
    return sorted((name for name in values if values[name]), key=lambda name: (-values[name], name))
