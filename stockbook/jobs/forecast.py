"""What the coming lists will use of every item and lens, from the site's own cases."""

from collections.abc import Sequence

from stockbook.domain.calendar import PlannedSpan
from stockbook.domain.days import days_after
from stockbook.domain.facts import Item
from stockbook.domain.foresight import Basis, Foresight, Outlook
from stockbook.errors import InputError
from stockbook.forecast.levels import order_up_to
from stockbook.forecast.ordering import position
from stockbook.forecast.outlook import SERVICE_LEVELS, one_in
from stockbook.jobs.finding import known_item, shown
from stockbook.jobs.forecast_ground import Ground
from stockbook.jobs.prospecting import prospects_of
from stockbook.jobs.prospects import Prospect
from stockbook.ledger.opening import Book


def foresee(book: Book, day: str, plan: Sequence[PlannedSpan] = ()) -> Foresight:
    """The outlook of every item that has one; the others are named with why they have none."""
    with book.reading() as db:
        found = prospects_of(db, day, plan)
    ground = found.ground
    known = tuple(_outlook(ground, one) for one in found.known)
    uses = {one.item.code: _in_words(ground, one) for one in found.known}
    basis = Basis(ground.history.since, len(ground.history.done), ground.estimates, uses)
    words = [
        f"Planned: {p.first_day} to {p.last_day}, {p.category}: {p.cases} cases." for p in plan
    ]
    if not ground.history.done:
        words.append("No usual number of cases is known yet: lists and plan alone count.")
    return Foresight(
        day, ground.review_days, known, found.none, basis, tuple(words), found.spikes
    )  # fmt: skip


def _outlook(ground: Ground, one: Prospect) -> Outlook:
    """What is usable and what is on order can both be counted on by then."""
    demand, ahead = one.demand.total, one.ahead
    short = demand.more_than(position(one.usable, one.on_order, 0))
    lasts = None if ahead.last_day is None else days_after(ground.day, ahead.last_day)
    return Outlook(
        one.item, one.usable, one.on_order, demand.mean, one.demand.scheduled_mean, short,
        one_in(short), lasts, ahead.left, one.standby, one.lead, one.basis,
        tuple((level, order_up_to(demand, level)) for level in SERVICE_LEVELS),
    )  # fmt: skip


BY_ANY = (
    "Nearly every order has it and later ones have come first: it is covered until the first of "
    "all later orders comes."
)


def _in_words(ground: Ground, one: Prospect) -> tuple[str, ...]:
    words = one.notes or _uses_in_words(ground, one.item)
    return (*words, BY_ANY) if one.by_any else words


def _uses_in_words(ground: Ground, item: Item) -> tuple[str, ...]:
    """How many cases of each kind took how much."""
    return tuple(
        f"{kind}: "
        + ", ".join(f"{shown(item, n)} in {count}" for n, count in sorted(seen.items()))
        + f" of {ground.done[kind]} cases"
        for (kind, code), seen in sorted(ground.taken.items()) if code == item.code
    )  # fmt: skip


def outlook_of(book: Book, found: Foresight, text: str) -> Outlook:
    """The outlook of one item; an item without a basis is told so, never answered with nothing."""
    item = known_item(book.db, text)
    for one in found.outlooks:
        if one.item.code == item.code:
            return one
    why = next((one.why for one in found.no_basis if one.what == item.code), "no use was seen")
    raise InputError(f"{item.code}: no basis for a forecast: {why}.")
