"""How the review of the forecast looks."""

from typing import TYPE_CHECKING

from stockbook.domain.answers import Site
from stockbook.domain.forecast_review import ForecastReview, ItemReview, chance_interval
from stockbook.reports.amounts import amount
from stockbook.reports.forecast import about
from stockbook.reports.tables import heading, plural, table

if TYPE_CHECKING:
    from stockbook.reports.data import DataSheet

_NAMES = ("Item", "Expected", "Used", "Off by", "Enough", "Short", "Avoided")


def review_page(found: ForecastReview, site: Site) -> str:
    """All items together first, then each, the furthest off first."""
    title = f"Forecast beside what happened, {found.day}"
    if not found.looks:
        return (
            f"{heading(title, site)}\nNothing to look back on: the book needs {found.days} days "
            "after a Monday on which an item had a basis."
        )
    items = [one for one in found.items if one.used or one.short or one.expected >= 1]
    rows = [_row(one) for one in sorted(items, key=_furthest)]
    low, high = chance_interval(found.enough, found.looks)
    mondays = ", ".join(sorted(found.first_days))
    return "\n".join([
        heading(title, site), table(_NAMES, rows, "Expected,Used,Off by,Enough,Short,Avoided"),
        f"Levels ({found.service.words}) were enough in {found.enough} of {found.looks} looks, "
        f"{_percent(found.enough, found.looks)} (95 % interval {low / 10:.1f} to {high / 10:.1f}).",
        f"{plural(len(found.first_days), 'period')} of {found.days} days from {mondays}; each "
        "forecast from the book as it stood then.",
        "Short: periods in which somebody went without (of them with the level enough). Avoided: "
        "more was used than there was, and it came in time.",
    ])  # fmt: skip


def _furthest(one: ItemReview) -> tuple[float, str]:
    return -abs(one.used - one.expected) / max(one.expected, 1.0), one.item.code


def _row(one: ItemReview) -> tuple[str, ...]:
    item = one.item
    off = 100 * (one.expected - one.used) / one.used if one.used else None
    short = f"{one.short} ({one.avoidable})" if one.short else ""
    return (
        item.code, about(item, one.expected), amount(item, one.used),
        "" if off is None else f"{off:+.0f} %", f"{one.enough} of {len(one.looked)}", short,
        str(one.avoided or ""),
    )  # fmt: skip


def _percent(part: int, whole: int) -> str:
    return f"{100 * part / whole:.1f} %"


def review_sheets(found: ForecastReview) -> "list[DataSheet]":
    """One row for each item and period."""
    from stockbook.reports.data import DataSheet, Quantity, columns

    names = columns(
        "item", "first_day:day", "days:count", "expected_use", "level:quantity",
        "usable:quantity", "used:quantity", "enough", "short", "avoided",
    )  # fmt: skip
    rows = [
        (
            look.item.code, look.first_day, found.days,
            f"{look.expected / 10**look.item.unit_places:.4f}",
            *(Quantity(n, look.item.unit_places) for n in (look.level, look.there, look.used)),
            look.enough, look.short, look.avoided,
        )
        for one in found.items for look in one.looked
    ]  # fmt: skip
    about_it = (("day", found.day), ("looks", str(found.looks)), ("enough", str(found.enough)))
    return [DataSheet("forecast_review", about_it, names, tuple(rows))]
