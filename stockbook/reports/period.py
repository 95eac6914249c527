"""How a period's statement looks, and the list of closings."""

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from stockbook.domain.answers import Site
from stockbook.domain.places import STOCK_KINDS
from stockbook.domain.statements import ClassFlows, Closing, Statement
from stockbook.reports.cost import proof_lines
from stockbook.reports.tables import heading, plural, table

if TYPE_CHECKING:
    from stockbook.reports.data import DataSheet


def statement_page(found: Statement, site: Site) -> str:
    """Classes, categories, reasons of waste, all places; what colours it; its number."""
    period = found.period
    title = f"Statement of {period.code}, {period.first_day} to {period.last_day}"
    parts = [
        heading(f"{title} ({site.money.code})", site), _status(found), "",
        _classes(found, site), "", _by_name("Used", found, site),
    ]  # fmt: skip
    if any(one.wasted for one in found.classes):
        parts += ["", _by_name("Wasted", found, site)]
    parts += ["", _balances(found, site), "", *_colours(found, site)]
    parts += [proof_lines(found.proof, site), _verdict(found)]
    return "\n".join(parts)


def _status(found: Statement) -> str:
    period = found.period
    if found.entry is None:
        return "Not closed: these figures can still change."
    return f"Statement {period.number}, closed by entry {found.entry}. Digest {period.statement}"


_COLUMNS = ("Opening", "Came", "Used", "Wasted", "Sent back", "Differences", "Closing")


def _classes(found: Statement, site: Site) -> str:
    rows = [(one.item_class, *map(site.money.text, _row(one))) for one in found.classes]
    sums = [sum(column) for column in zip(*map(_row, found.classes), strict=True)]
    rows.append(("All", *map(site.money.text, sums or [0] * len(_COLUMNS))))
    return table(("Class", *_COLUMNS), rows, ",".join(_COLUMNS), caption="By class", sums=1)


def _row(one: ClassFlows) -> tuple[int, ...]:
    """What came, and what went below nothing."""
    return (
        one.opening, one.came, -sum(one.used.values()), -sum(one.wasted.values()),
        -one.sent_back, one.differences, one.closing,
    )  # fmt: skip


def _names(parts: Iterable[dict[str, int]]) -> list[str]:
    return sorted({name for part in parts for name in part})


def _by_name(what: str, found: Statement, site: Site) -> str:
    """What was used by category, or wasted by reason: a row for each class, a column for each."""
    parts = {one.item_class: one.used if what == "Used" else one.wasted for one in found.classes}
    names = _names(parts.values())
    if what == "Wasted":
        sums = [(name, sum(part.get(name, 0) for part in parts.values())) for name in names]
        rows = [(name, site.money.text(value)) for name, value in sums]
        return table(("Wasted", site.money.code), rows, site.money.code, caption="Wasted by reason")
    table_rows = [
        (item_class, *(site.money.text(part.get(name, 0)) for name in names))
        for item_class, part in parts.items()
        if part
    ]
    whole = [sum(part.get(name, 0) for part in parts.values()) for name in names]
    table_rows.append(("All", *map(site.money.text, whole)))
    return table(
        ("Used by", *names), table_rows, ",".join(names), caption="Used by category", sums=1
    )


def _balances(found: Statement, site: Site) -> str:
    """The trial balance: every place's value in less out; all of them sum to nothing."""
    rows = [(one.place, one.kind, site.money.text(one.value)) for one in found.balances]
    rows.append(("All places", "", site.money.text(sum(one.value for one in found.balances))))
    return table(
        ("Place", "Kind", "Balance"), rows, "Balance", caption="Balance of every place", sums=1
    )


def _colours(found: Statement, site: Site) -> list[str]:
    told = [
        f"{plural(one.count, one.what)}, worth {site.money.text(one.value)}"
        for one in found.colours
        if one.count
    ]
    return [f"What colours it: {'; '.join(told)}.", ""] if told else []


def _verdict(found: Statement) -> str:
    if not found.ties:
        return "THE STATEMENT DOES NOT TIE: run 'stockbook book verify'."
    if found.entry is not None and not found.is_as_closed:
        return "THESE ARE NOT THE FIGURES IT WAS CLOSED WITH: run 'stockbook book verify'."
    same = " The figures are those it was closed with." if found.entry is not None else ""
    return f"Classes, proof and all places agree.{same}"


def closings_page(made: Sequence[Closing], site: Site) -> str:
    """Every closing and reopening, in the order of recording."""
    if not made:
        return f"{heading('Periods', site)}\nNo period was closed yet."
    rows = [
        (one.period.code, one.period.first_day, one.period.last_day,
         f"closed, statement {one.period.number}" if one.period.closed else "reopened",
         one.entry, one.by, one.reason)
        for one in made
    ]  # fmt: skip
    names = ("Period", "From", "Through", "What", "Entry", "By", "Reason")
    last = [one for one in made if one.is_in_force and one.period.closed]
    through = max((one.period.last_day for one in last), default=None)
    said = f"Nothing is booked on or before {through}." if through else "Every day is open."
    closed = plural(len(last), "closed period")
    drawn = table(names, rows, "Entry", caption="Closings and reopenings, as they were recorded")
    return f"{heading('Periods', site)}\n{drawn}\n{closed}. {said}"


def statement_sheets(found: Statement) -> "list[DataSheet]":
    """The statement as data: classes, use by category, waste by reason, balances, colours."""
    from stockbook.reports.data import DataSheet, columns

    period = found.period
    about = (
        ("period", period.code), ("first_day", period.first_day), ("last_day", period.last_day),
        ("statement", str(period.number or "")), ("entry", str(found.entry or "")),
        ("digest", found.digest),
    )  # fmt: skip
    classes = [
        (one.item_class, one.opening, one.received, one.opening_stock, one.made,
         sum(one.used.values()), sum(one.wasted.values()), one.sent_back, one.differences,
         one.closing)
        for one in found.classes
    ]  # fmt: skip
    parts = [
        (one.item_class, what, name, value)
        for one in found.classes
        for what, part in (("used", one.used), ("wasted", one.wasted))
        for name, value in sorted(part.items())
    ]
    balances = [(one.place, one.kind, one.kind in STOCK_KINDS, one.value) for one in found.balances]
    colours = [(one.what, one.count, one.value) for one in found.colours]
    return [
        DataSheet("statement", about, columns(
            "class", "opening:money", "received:money", "opening_stock:money", "made:money",
            "used:money", "wasted:money", "sent_back:money", "differences:money", "closing:money",
        ), tuple(classes)),
        DataSheet("ended", about, columns("class", "end", "category_or_reason", "value:money"),
                  tuple(parts)),
        DataSheet("balances", about, columns("place", "kind", "is_stock", "value:money"),
                  tuple(balances)),
        DataSheet("colours", about, columns("what", "number:count", "value:money"),
                  tuple(colours)),
    ]  # fmt: skip


def closings_sheets(made: Sequence[Closing]) -> "list[DataSheet]":
    """Closings and reopenings, one row each."""
    from stockbook.reports.data import DataSheet, columns

    rows = [
        (one.period.code, one.period.first_day, one.period.last_day, one.period.closed,
         one.period.number, one.period.statement, one.entry, one.by, one.recorded_at, one.reason)
        for one in made
    ]  # fmt: skip
    names = columns(
        "period", "first_day:day", "last_day:day", "closed", "statement:count", "digest",
        "entry:count", "by", "recorded_at", "reason",
    )  # fmt: skip
    return [DataSheet("periods", (), names, tuple(rows))]
