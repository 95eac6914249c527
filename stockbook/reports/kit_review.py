"""How a review of kits looks: counts with their number of cases and intervals, then a proposal."""

from collections.abc import Sequence
from typing import Any

from stockbook.domain.amounts import half_even, quantity_text, text_from_whole
from stockbook.domain.answers import Site
from stockbook.domain.facts import KitLine
from stockbook.domain.kit_review import SPOILED_LENSES, KitReview, wilson
from stockbook.reports.amounts import amount
from stockbook.reports.data import DataSheet, Quantity, columns
from stockbook.reports.kits import line_words
from stockbook.reports.tables import heading, plural, table

INTERVAL = "Intervals: 95 %, Wilson score (E. B. Wilson 1927, J Am Stat Assoc 22:209-212)."


def reviews_page(reviews: Sequence[KitReview], span: tuple[str, str], site: Site) -> str:
    """Every kit in one line, by code."""
    rows = [
        (one.code, one.cases, len(one.proposed), line_words(one.proposed, one.items))
        for one in reviews
    ]
    title = f"Kits in use, {span[0]} to {span[1]}"
    if not rows:
        return f"{heading(title, site)}\nNo case with a kit was finished in this time."
    page = table(("Kit", "Cases", "Proposals", "Lines proposed"), rows, "Cases,Proposals")
    return f"{heading(title, site)}\n{page}\nEach in full: stockbook kit review KIT"


def review_page(review: KitReview, site: Site) -> str:
    """One kit: its lines, what was added, what was wasted, and what is proposed."""
    title = (
        f"Kit {review.code}, {plural(review.cases, 'case')} finished "
        f"{review.first_day} to {review.last_day}"
    )
    parts = [heading(title, site)]
    if not review.cases:
        return f"{parts[0]}\nNo case of this kit was finished in this time."
    parts += ["Lines of the kit that came back unopened", _lines(review)]
    if review.extras:
        parts += ["", "Added, and in no line of the kit", _extras(review, site)]
    if review.waste:
        parts += ["", "Wasted", _waste(review, site)]
    parts += ["", *_lenses(review), INTERVAL, _proposal(review)]
    return "\n".join(parts)


def rate(count: int, of: int) -> str:
    """A count of cases with its share and interval.

    >>> rate(81, 263), rate(0, 0)
    ('81 of 263: 30.8 % (25.5-36.6)', 'no case')
    """
    if not of:
        return "no case"
    low, high = (text_from_whole(end, 1) for end in wilson(count, of, 1000))
    share = text_from_whole(half_even(1000 * count, of), 1)
    return f"{count} of {of}: {share} % ({low}-{high})"


def _lines(review: KitReview) -> str:
    rows = [
        (
            " or ".join(one.line.items), _units(review, one.line.items[0], one.line.quantity),
            rate(one.returned, one.cases), _units(review, one.line.items[0], one.units_back),
            _becomes(review, one.proposed),
        )
        for one in review.lines
    ]  # fmt: skip
    return table(("Item", "Units", "Came back in", "Units back", "Proposed"), rows, "Units")


def _becomes(review: KitReview, line: KitLine | None) -> str:
    if line is None:
        return ""
    return "standby" if line.kind == "standby" else line_words((line,), review.items)


def _extras(review: KitReview, site: Site) -> str:
    rows = [
        (
            one.item, rate(one.cases, one.of), _units(review, one.item, one.units),
            site.money.text(one.value), _becomes(review, one.proposed),
        )
        for one in review.extras
    ]  # fmt: skip
    return table(("Item", "Taken in", "Units", "Value", "Proposed"), rows, "Units,Value")


def _waste(review: KitReview, site: Site) -> str:
    rows = [
        (
            one.item, one.reason, rate(one.cases, review.cases),
            _units(review, one.item, one.units), site.money.text(one.value),
        )
        for one in review.waste
    ]  # fmt: skip
    rows.append(("", "", "", "", site.money.text(sum(one.value for one in review.waste))))
    return table(("Item", "Reason", "In", "Units", "Value"), rows, "Units,Value")


def _lenses(review: KitReview) -> list[str]:
    """Spoiled lenses beside the published figure."""
    spoiled, all_lenses = review.lenses
    if not all_lenses:
        return []
    hundredths, source = SPOILED_LENSES
    return [
        f"Lenses spoiled: {rate(spoiled, all_lenses)}. Published: "
        f"{text_from_whole(hundredths, 2)} in 1,000 ({source})."
    ]


def _proposal(review: KitReview) -> str:
    if not review.proposed:
        return (
            "Nothing is proposed: no line came back more than half the time, and no item was "
            "added in more than 30 % of cases."
        )
    words = line_words(review.proposed, review.items)
    return f"Proposed: {words}. Record it with: stockbook kit accept {review.code} --from DAY"


def _units(review: KitReview, item: str, quantity: int) -> str:
    known = review.items.get(item)
    return amount(known, quantity) if known else quantity_text(quantity, 0)


def review_sheets(reviews: Sequence[KitReview]) -> list[DataSheet]:
    """Lines, extras and waste of every kit reviewed; shares in ten-thousandths."""
    lines: list[tuple[Any, ...]] = []
    extras: list[tuple[Any, ...]] = []
    waste: list[tuple[Any, ...]] = []
    for r in reviews:
        lines += [
            (r.code, " ".join(x.line.items), x.line.kind, _q(r, x.line.items[0], x.line.quantity),
             x.cases, x.returned, *_ends(x.returned, x.cases),
             _q(r, x.line.items[0], x.units_back), _becomes(r, x.proposed) or None)
            for x in r.lines
        ]  # fmt: skip
        extras += [
            (r.code, x.item, x.of, x.cases, *_ends(x.cases, x.of), _q(r, x.item, x.units), x.value,
             _becomes(r, x.proposed) or None)
            for x in r.extras
        ]  # fmt: skip
        waste += [
            (r.code, x.item, x.reason, r.cases, x.cases, _q(r, x.item, x.units), x.value)
            for x in r.waste
        ]
    interval = columns("from_ten_thousandths:count", "to_ten_thousandths:count")
    about = (
        (("first_day", reviews[0].first_day), ("last_day", reviews[0].last_day)) if reviews else ()
    )
    return [
        DataSheet("kit_review_lines", about, (
            *columns("kit", "items", "kind", "quantity:quantity", "cases:count", "returned:count"),
            *interval, *columns("units_back:quantity", "proposed"),
        ), tuple(lines)),
        DataSheet("kit_review_extras", about, (
            *columns("kit", "item", "cases:count", "taken:count"), *interval,
            *columns("units:quantity", "value:money", "proposed"),
        ), tuple(extras)),
        DataSheet("kit_review_waste", about, columns(
            "kit", "item", "reason", "cases:count", "wasted:count", "units:quantity", "value:money"
        ), tuple(waste)),
    ]  # fmt: skip


def _ends(count: int, of: int) -> tuple[int | None, int | None]:
    return wilson(count, of) if of else (None, None)


def _q(review: KitReview, item: str, quantity: int) -> Quantity:
    return Quantity(quantity, review.items[item].unit_places)
