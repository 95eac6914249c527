"""How a period's cases look by group."""

from typing import TYPE_CHECKING

from stockbook.domain.answers import Site
from stockbook.domain.cost_groups import CostGroups, GroupCost
from stockbook.reports.full_cost import (
    FEW,
    FULL,
    few_words,
    full_cells,
    full_table,
    minutes_notes,
    without_minutes,
)
from stockbook.reports.tables import heading, plural, table

if TYPE_CHECKING:
    from stockbook.reports.data import DataSheet

_NAMES = ("Cases", "Mean", "Lower quarter", "Median", "Upper quarter", "Wasted", "At same mix")


def groups_page(found: CostGroups, site: Site) -> str:
    """A row for each group by name, all cases below, then each group's classes."""
    title = f"Cost of a case by {found.by}, {found.first_day} to {found.last_day}"
    rows = [_row(one, site) for one in (*found.groups, found.all)]
    few = [one.name for one in found.groups if one.cases < FEW]
    parts = [
        heading(f"{title} ({site.money.code})", site),
        table((found.by.capitalize(), *_NAMES), rows, ",".join(_NAMES),
              caption=f"A case by {found.by}", sums=1),
         "", full_table(found.by, found.full, _beside(found), site),
        "", _classes(found),
        "Own lines of patients' cases first used in the period, given stock as nil (its shadow "
        "value is never added); waste, and what was used in common, are apart.",
        "At same mix: the mean if the group had the procedures of all cases; * of a part of them.",
    ]  # fmt: skip
    if few:
        parts.append(few_words(few))
    parts += minutes_notes(found.full[-1:])
    parts.append(f"Last entry {found.last_entry}, checksum {found.checksum}")
    return "\n".join(parts)


def _beside(found: CostGroups) -> list[tuple[int, int]]:
    """Shadow values and provisional prices of each group, of all of them last."""
    rows = [(found.shadows.get(g.name, 0), found.provisional.get(g.name, 0)) for g in found.groups]
    return [*rows, (sum(shadow for shadow, _ in rows), sum(price for _, price in rows))]


def _row(one: GroupCost, site: Site) -> tuple[str, ...]:
    def text(value: int | None) -> str:
        return "" if value is None else site.money.text(value)

    part = "*" if 0 < one.covered < 1000 else ""
    return (
        one.name, str(one.cases), text(one.mean), text(one.lower), text(one.median),
        text(one.upper), text(one.wasted), text(one.same_mix) + part,
    )  # fmt: skip


def _classes(found: CostGroups) -> str:
    """Shares by class: a row for each class, a column for each group."""
    names = sorted(found.all.by_class)
    columns = [*found.groups, found.all]
    rows = [(name, *(_share(one, name) for one in columns)) for name in names]
    if not rows:
        return f"No case was first used in this period ({plural(0, 'case')})."
    headers = ("Class", *(one.name for one in columns))
    return table(headers, rows, ",".join(headers[1:]), caption="Share of each class")


def _share(one: GroupCost, name: str) -> str:
    value = one.by_class.get(name, 0)
    return f"{100 * value / one.used:.1f} %" if one.used else ""


def groups_sheets(found: CostGroups) -> "list[DataSheet]":
    """A row for each group, and a row for each group and class."""
    from stockbook.reports.data import DataSheet, columns

    about = (
        ("by", found.by), ("first_day", found.first_day), ("last_day", found.last_day),
        ("last_entry", str(found.last_entry)), ("checksum", found.checksum),
    )  # fmt: skip
    every = (*found.groups, found.all)
    rows = [
        (one.name, one.cases, one.used, one.mean, one.lower, one.median, one.upper, one.wasted,
         one.same_mix, one.covered, *full_cells(full), *beside)
        for one, full, beside in zip(every, found.full, _beside(found), strict=True)
    ]  # fmt: skip
    classes = [(one.name, name, value) for one in every for name, value in one.by_class.items()]
    names = columns(
        "group", "cases:count", "used:money", "mean:money", "lower_quartile:money",
        "median:money", "upper_quartile:money", "wasted:money", "at_same_mix:money",
        "mix_covered_per_mille:count", *FULL, "shadow_value:money", "provisional:money",
    )  # fmt: skip
    return [
        DataSheet("cost_by_group", about, names, tuple(rows)),
        DataSheet("group_classes", about, columns("group", "class", "used:money"), tuple(classes)),
        without_minutes(found.full[:-1]),
    ]  # fmt: skip
