"""How cases beside their standard kits look."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from stockbook.domain.answers import Site
from stockbook.domain.variance import CaseVariance, GroupVariance, PeriodVariance
from stockbook.reports.full_cost import FEW, NAMED, few_words
from stockbook.reports.tables import heading, plural, table

if TYPE_CHECKING:
    from stockbook.reports.data import DataSheet

_SPLIT = ("Standard", "Used", "Difference", "Price", "Usage", "Mix", "Wasted apart")


def variance_page(found: PeriodVariance, site: Site) -> str:
    """Each group by name, then the cases furthest from their standard, by their codes."""
    title = f"Cost beside standard kits by {found.by}, {found.first_day} to {found.last_day}"
    parts = [heading(f"{title} ({site.money.code})", site), _groups(found, site)]
    if found.furthest:
        parts += ["", "Furthest from their standard:", _furthest(found.furthest, site)]
    few = [one.name for one in found.groups if one.cases < FEW]
    parts += [
        "", "Standard: the kit in force for the case with its requirements (of alternatives the "
        "first), at each item's last price before the period. Above nothing is dearer.",
        "Given stock counts as nil where it was used: what it saved stands under price.",
        *([few_words(few)] if few else []), *_left_out(found),
        f"Last entry {found.last_entry}, checksum {found.checksum}",
    ]  # fmt: skip
    return "\n".join(parts)


def _groups(found: PeriodVariance, site: Site) -> str:
    if not found.cases:
        return f"No case with a standard was first used in this period ({plural(0, 'case')})."
    headers = ("Cases", *_SPLIT, "Mean difference")
    rows = [
        (one.name, str(one.cases), *_amounts(one, site),
         "" if one.mean is None else site.money.text(one.mean))
        for one in (*found.groups, found.all)
    ]  # fmt: skip
    return table((found.by.capitalize(), *headers), rows, ",".join(headers))


def _furthest(cases: Sequence[CaseVariance], site: Site) -> str:
    rows = [(one.case, one.procedure, one.category, *_amounts(one, site)) for one in cases]
    return table(("Case", "Procedure", "Category", *_SPLIT), rows, ",".join(_SPLIT))


def _amounts(one: GroupVariance | CaseVariance, site: Site) -> tuple[str, ...]:
    values = (one.standard, one.actual, one.difference, *one.split, one.wasted)
    return tuple(map(site.money.text, values))


def _left_out(found: PeriodVariance) -> list[str]:
    """What is in no figure, or at nothing: named as far as a page has room."""
    lines = []
    if found.without_standard:
        what = plural(len(found.without_standard), "case")
        lines.append(
            f"Left out, kit, lens or machine not known: {what}: {_named(found.without_standard)}."
        )
    if found.without_price:
        lines.append(f"Never priced, so nothing at standard: {_named(found.without_price)}.")
    return lines


def _named(codes: Sequence[str]) -> str:
    more = f" and {len(codes) - NAMED} more (data has all)" if len(codes) > NAMED else ""
    return ", ".join(codes[:NAMED]) + more


def variance_sheets(found: PeriodVariance) -> "list[DataSheet]":
    """A row for each group; the furthest; every case; what was left out."""
    from stockbook.reports.data import DataSheet, columns

    about = (
        ("by", found.by), ("first_day", found.first_day), ("last_day", found.last_day),
        ("last_entry", str(found.last_entry)), ("checksum", found.checksum),
    )  # fmt: skip
    split = (
        "standard:money", "used:money", "difference:money", "price:money", "usage:money",
        "mix:money", "wasted:money",
    )  # fmt: skip
    every = (*found.groups, found.all)
    groups = tuple((one.name, one.cases, *_values(one), one.mean) for one in every)
    of_case = columns("case", "group", "procedure", "category", *split)
    left_out = (
        *((code, "no standard") for code in found.without_standard),
        *((code, "no price") for code in found.without_price),
    )
    return [
        DataSheet("variance", about, columns(
            "group", "cases:count", *split, "mean_difference:money"
        ), groups),
        DataSheet("furthest", (), of_case, _case_rows(found.furthest)),
        DataSheet("variance_cases", (), of_case, _case_rows(found.cases)),
        DataSheet("left_out", (), columns("code", "why"), left_out),
    ]  # fmt: skip


def _case_rows(cases: Sequence[CaseVariance]) -> tuple[tuple[object, ...], ...]:
    return tuple((c.case, c.group, c.procedure, c.category, *_values(c)) for c in cases)


def _values(one: GroupVariance | CaseVariance) -> tuple[int, ...]:
    return (one.standard, one.actual, one.difference, *one.split, one.wasted)
