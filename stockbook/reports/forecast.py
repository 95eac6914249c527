"""How the forecast looks: plain words on the page, the arithmetic where it is asked for."""

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from stockbook.domain.answers import Site
from stockbook.domain.facts import Item
from stockbook.domain.forecasts import Estimate, NoBasis, Shares
from stockbook.domain.foresight import Foresight, Outlook
from stockbook.domain.lenses import power_text
from stockbook.reports.amounts import amount
from stockbook.reports.chances import chance
from stockbook.reports.tables import bars, heading, plural, table

if TYPE_CHECKING:
    from stockbook.reports.charts import BarChart
    from stockbook.reports.data import DataSheet

HEADERS = (
    "Item", "Usable", "Expected use", "Lasts until", "Runs short", "Left over", "Cases using it",
)  # fmt: skip


def forecast_page(found: Foresight, site: Site, *, powers: bool = False) -> str:
    """Every item that may run short before the next delivery first, then by how long it lasts.

    Lenses are a line for each model, named with the power that runs short first; with `powers`
    a line for each power.
    """
    chosen = list(found.outlooks) if powers else _models_together(found.outlooks)
    if powers:
        chosen = [one for one in chosen if one.item.lens_model is not None]
    rows = [_row(one) for one in sorted(chosen, key=_urgent)]
    parts = [
        heading(f"Forecast, {found.day}", site),
        table(HEADERS, rows, "Usable,Expected use,Left over"),
        "Expected use: until the order after next can come (review every "
        f"{found.review_days} days, then the supplier's lead time). Runs short: one chance in so "
        "many that it is not enough until then.\nLeft over: expected of the lots that expire "
        "within a year.",
        f"From {found.basis.cases} finished cases since {found.basis.since}, the coming lists and "
        "what is usual. One item in full: stockbook forecast --explain ITEM.",
    ]
    if not powers and any(one.item.lens_model for one in found.outlooks):
        parts.append("A lens model stands with the power that runs short first; all: --lenses.")
    parts += [*found.notes, *_spiked(found)]
    if found.no_basis:
        parts.append(_without(found))
    return "\n".join(parts)


def _without(found: Foresight) -> str:
    """The items without a basis, those replaced apart."""
    codes = ", ".join(one.what for one in found.no_basis)
    return f"No basis for {plural(len(found.no_basis), 'item')} (no use seen): {codes}."


def _spiked(found: Foresight) -> list[str]:
    return [
        f"{one.item.code}: {amount(one.item, one.quantity)} in the week of {one.week}, far above "
        f"all others, is left out. Usual? stockbook item judge {one.item.code} {one.week} "
        "usual (or unusual)."
        for one in found.spikes
    ]


def _models_together(outlooks: Sequence[Outlook]) -> list[Outlook]:
    """Items as they are; of each lens model the powers in one, the worst power in its code."""
    items = [one for one in outlooks if one.item.lens_model is None]
    models: dict[str, list[Outlook]] = {}
    for one in outlooks:
        if one.item.lens_model is not None:
            models.setdefault(one.item.lens_model, []).append(one)
    return items + [_together(name, own) for name, own in models.items()]


def _together(model: str, own: Sequence[Outlook]) -> Outlook:
    worst = min(own, key=_urgent)
    left = [one.left_over for one in own if one.left_over is not None]
    code = f"{model} ({power_text(worst.item.power or 0)})"
    return replace(
        worst, item=replace(worst.item, code=code), usable=sum(one.usable for one in own),
        expected=sum(one.expected for one in own), left_over=sum(left) if left else None,
    )  # fmt: skip


def _urgent(one: Outlook) -> tuple[bool, float, str, str]:
    soon = one.one_in is not None
    return (not soon, -one.chance_short if soon else 0.0, one.lasts_until or "9999", one.item.code)


def _row(one: Outlook) -> tuple[str, ...]:
    item = one.item
    return (
        item.code, amount(item, one.usable), about(item, one.expected), one.lasts_until or "a year",
        chance(one.chance_short), "" if one.left_over is None else about(item, one.left_over),
        one.basis,
    )  # fmt: skip


def about(item: Item, steps: float) -> str:
    """An expected quantity to one decimal more than it is counted in, with its unit."""
    text = f"{steps / 10**item.unit_places:.{1 if item.unit_places == 0 else item.unit_places}f}"
    return text if item.unit == "each" else f"{text} {item.unit}"


def explain_page(found: Foresight, one: Outlook, site: Site) -> str:
    """One item in words and arithmetic, with the probabilities."""
    item, lead = one.item, one.lead
    mean_lead = sum(int(name) * share for name, share in zip(lead.names, lead.result, strict=True))
    lines = [
        heading(f"Forecast of {item.code} {item.name}, {found.day}", site),
        f"Usable {amount(item, one.usable)}, on order {amount(item, one.on_order)}.",
        f"To be covered: {found.review_days} days until the next look, and a lead time of "
        f"{mean_lead:.1f} days on average ({lead.what}: {lead.prior_source}, "
        f"{plural(round(lead.seen), 'receipt')}).",
        f"Expected use in that time {about(item, one.expected)}: {about(item, one.listed)} by "
        f"cases on the lists, {about(item, one.expected - one.listed)} by cases not yet scheduled.",
        f"Chance that more is needed than there is: {100 * one.chance_short:.2f} % "
        f"({chance(one.chance_short)}).",
        "Enough with a chance of: "
        + "; ".join(f"{100 * level:.0f} % {amount(item, n)}" for level, n in one.levels) + ".",
        f"At the expected rate it lasts until {one.lasts_until or 'a year from now or longer'}.",
    ]  # fmt: skip
    if one.left_over is not None:
        lines.append(f"Expected left over of what expires within a year: "
                     f"{about(item, one.left_over)}.")  # fmt: skip
    if one.standby:
        lines.append(f"Standby: at least {amount(item, one.standby)} in reach, whatever this says.")
    lines += ["", "What cases took:", *found.basis.uses.get(item.code, ())]
    lines += ["", "Estimates:", *(estimate_words(e) for e in found.basis.estimates)]
    return "\n".join([*lines, "", *_levels(one, site)])


def _levels(one: Outlook, _: Site) -> list[str]:
    rows = [(f"{100 * level:.0f} %", n, amount(one.item, n)) for level, n in one.levels]
    usable = ("usable", one.usable, amount(one.item, one.usable))
    return ["Enough with this chance, beside what is usable", bars([usable, *rows])]


def estimate_words(one: Estimate | Shares) -> str:
    """What was believed before, what was seen, what comes out."""
    if isinstance(one, Estimate):
        return (
            f"{one.what}: {one.result:.4g} (seen {one.observed:.4g} in {one.seen:g}; before that "
            f"{one.prior:.4g}, {one.prior_source}, worth {one.weight:g})"
        )
    shares = ", ".join(
        f"{name} {100 * share:.0f} %" for name, share in zip(one.names, one.result, strict=True)
    )
    return f"{one.what}: {shares} ({one.seen:g} seen; {one.prior_source} worth {one.weight:g})"


def forecast_sheets(found: Foresight) -> "list[DataSheet]":
    """One row an item; those without a basis have only their code and why."""
    from stockbook.reports.data import DataSheet, Quantity, columns

    names = columns(
        "item", "name", "unit", "usable:quantity", "on_order:quantity", "expected_use:text",
        "of_it_listed:text", "lasts_until:day", "chance_short:text", "left_over:text",
        "standby:quantity", "basis",
    )  # fmt: skip
    rows: list[tuple[object, ...]] = [
        (
            one.item.code, one.item.name, one.item.unit,
            Quantity(one.usable, one.item.unit_places),
            Quantity(one.on_order, one.item.unit_places),
            _plain(one.item, one.expected), _plain(one.item, one.listed), one.lasts_until,
            f"{one.chance_short:.6f}",
            None if one.left_over is None else _plain(one.item, one.left_over),
            Quantity(one.standby, one.item.unit_places), one.basis,
        )
        for one in found.outlooks
    ]  # fmt: skip
    rows += [_none(one) for one in found.no_basis]
    about_it = (("day", found.day), ("review_days", str(found.review_days)))
    return [DataSheet("forecast", about_it, names, tuple(rows))]


def _plain(item: Item, steps: float) -> str:
    return f"{steps / 10**item.unit_places:.4f}"


def _none(one: NoBasis) -> tuple[object, ...]:
    return (one.what, *(None,) * 10, f"no basis: {one.why}")


MOST_BARS = 40


def demand_chart(found: Foresight, one: Outlook) -> "BarChart":
    """One item: what is enough with which chance, beside what is usable and on order."""
    from stockbook.reports.charts import Bar, BarChart, Mark

    item, scale = one.item, 10**one.item.unit_places
    bars = tuple(
        Bar(f"enough with {100 * level:.0f} %", units / scale, amount(item, units))
        for level, units in one.levels
    )
    expected = Bar("expected use", one.expected / scale, about(item, one.expected))
    marks = [Mark(one.usable / scale, f"usable {amount(item, one.usable)}")]
    if one.on_order:
        both = one.usable + one.on_order
        marks.append(Mark(both / scale, f"with what is on order {amount(item, both)}"))
    return BarChart(
        f"Forecast of {item.code}, {found.day}", f"{item.unit}, until the order after next",
        (expected, *bars), tuple(marks),
    )  # fmt: skip


def forecast_chart(found: Foresight) -> "BarChart":
    """The chance of running short of what may, the likeliest first."""
    from stockbook.reports.charts import Bar, BarChart

    likely = sorted(found.outlooks, key=_urgent)[:MOST_BARS]
    bars = tuple(
        Bar(one.item.code, 100 * one.chance_short, chance(one.chance_short)) for one in likely
    )
    return BarChart(
        f"Chance of running short, {found.day}", "per cent, before the order after next", bars
    )
