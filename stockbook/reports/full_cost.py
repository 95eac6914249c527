"""How full costs look: rows on a page, a table of groups, columns of data."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from stockbook.domain.answers import Site
from stockbook.domain.costs import CaseCost, PeriodCost
from stockbook.domain.full_cost import FullCost
from stockbook.domain.overhead import PER_CASE, CaseOverhead
from stockbook.reports.tables import plural, table

if TYPE_CHECKING:
    from stockbook.reports.data import DataSheet

FEW = 10
"""Fewer cases than these are marked: their mean and median say little."""

NAMED = 12
"""So many cases without minutes are named on a page; data has them all."""

FULL = (
    "list_share:money", "common_share:money", "overhead:money", "full_cost:money",
    "mean_full_cost:money", "without_minutes:count",
)  # fmt: skip


def full_cells(one: FullCost) -> tuple[Any, ...]:
    """What stands under the columns `FULL`."""
    return (
        one.list_share, one.common_share, one.overhead, one.full, one.mean,
        len(one.without_minutes),
    )  # fmt: skip


def without_minutes(full: Sequence[FullCost]) -> "DataSheet":
    """Every case whose overhead is not known."""
    from stockbook.reports.data import DataSheet, columns

    rows = tuple((code, one.own.name) for one in full for code in one.without_minutes)
    return DataSheet("without_minutes", (), columns("case", "group"), rows)


def full_of_case(cost: CaseCost) -> Mapping[str, str]:
    """Of one case what stands above its lines in data."""
    found = {"used_minor": cost.used, "wasted_minor": cost.wasted, "full_cost_minor": cost.full}
    if cost.overhead is not None and cost.overhead.amount is not None:
        found["overhead_minor"] = cost.overhead.amount
    if cost.case.minutes is not None:
        found["minutes"] = cost.case.minutes
    return {name: str(value) for name, value in found.items()}


def full_lines(cost: CaseCost, site: Site) -> list[str]:
    """What a case bears beside what it used; nothing where that is all."""
    rows = [("Used", cost.used)]
    if cost.wasted:
        rows.append(("Wasted on it", cost.wasted))
    if cost.share is not None:
        rows.append(("Its part of the list's common use", cost.share.part))
    if cost.overhead is not None and cost.overhead.amount is not None:
        rows.append((f"Overhead, {_rate(cost.overhead, site)}", cost.overhead.amount))
    lines = []
    if cost.overhead is not None and cost.lacks_minutes:
        lines.append(
            f"Overhead is not known: {_rate(cost.overhead, site)}, and the case has no minutes. "
            f"Give them with 'case change {cost.case.code} --minutes N'."
        )
    if len(rows) == 1:
        return lines
    rows.append(("Full cost but overhead" if lines else "Full cost", cost.full))
    shown = [(words, site.money.text(value)) for words, value in rows]
    return ["", table(("In all", site.money.code), shown, site.money.code), *lines]


def _rate(one: CaseOverhead, site: Site) -> str:
    amount = site.money.text(one.rate.amount)
    if one.rate.per == PER_CASE:
        return f"{amount} a case"
    minutes = "" if one.minutes is None else f"{one.minutes} minutes at "
    return f"{minutes}{amount} a minute"


def full_rows(cost: PeriodCost, site: Site) -> list[tuple[str, ...]]:
    """What is shared, what cases bear of the theatre, and all of it together."""
    full = cost.full
    rows = [
        _row(f"Part of lists' common use, by {cost.share_key}", [c.list_share for c in full], site),
        _row("Part of other common use, by cases", [c.common_share for c in full], site),
        _row("Overhead", [c.overhead for c in full], site),
    ]
    counts = [len(c.without_minutes) for c in full]
    but = ", but overhead not known" if any(counts) else ""
    unknown = [("Cases without minutes", *(str(n) if n else "" for n in counts))]
    every = _row(f"Full cost{but}", [c.full for c in full], site, always=True)
    means = ["" if c.mean is None else site.money.text(c.mean) for c in full]
    shown = [*rows, unknown if any(counts) else [], every]
    return [*(row for found in shown for row in found), ("Full cost, mean of a case", *means)]


def _row(
    words: str, values: Sequence[int], site: Site, *, always: bool = False
) -> list[tuple[str, ...]]:
    return [(words, *map(site.money.text, values))] if always or any(values) else []


def minutes_notes(full: Sequence[FullCost]) -> list[str]:
    """Cases whose overhead is not known, by code; a long row of them is cut, never a short one."""
    codes = sorted(code for one in full for code in one.without_minutes)
    if not codes:
        return []
    named = ", ".join(codes[:NAMED])
    more = f" and {len(codes) - NAMED} more (data has all)" if len(codes) > NAMED else ""
    return [
        f"Overhead of {plural(len(codes), 'case')} is not known and not above, for want of "
        f"minutes: {named}{more}."
    ]


def few_words(names: Sequence[str]) -> str:
    """A warning about groups of few cases."""
    return f"Fewer than {FEW} cases, to be read with care: {', '.join(names)}."


def full_table(
    by: str, groups: Sequence[FullCost], beside: Sequence[tuple[int, int]], site: Site
) -> str:
    """A row for each group; `beside` are its shadow values and provisional prices.

    What is nothing for every group has no column: the page stays narrow, data has all.
    """
    money = site.money.text
    headers = ("Cases", "Used", "Wasted", "Lists' part", "Common part", "Overhead", "Full cost",
               "Full mean", "No minutes", "At shadow", "Provisional")  # fmt: skip
    rows = [
        (one.own.name, str(one.own.cases), money(one.own.used), money(one.own.wasted),
         money(one.list_share), money(one.common_share), money(one.overhead), money(one.full),
         "" if one.mean is None else money(one.mean), str(len(one.without_minutes) or ""),
         money(shadow), money(provisional))
        for one, (shadow, provisional) in zip(groups, beside, strict=True)
    ]  # fmt: skip
    said = [n for n, _ in enumerate(headers, 1) if any(r[n] not in ("", money(0)) for r in rows)]
    names = [headers[n - 1] for n in said]
    return table(
        (by.capitalize(), *names), [(r[0], *(r[n] for n in said)) for r in rows], ",".join(names)
    )
