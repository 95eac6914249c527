"""What the coming lists will use of every item, from the site's own cases."""

import sqlite3
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stockbook.domain.calendar import PlannedSpan
from stockbook.domain.case_history import History, amounts_taken
from stockbook.domain.days import days_after, days_between
from stockbook.domain.facts import Item, Kit
from stockbook.domain.forecasts import Estimate, NoBasis, Shares
from stockbook.domain.foresight import Basis, Foresight, LotAhead, Outlook
from stockbook.domain.levels import usable_by_someone
from stockbook.domain.picking import Shelf, Wish
from stockbook.errors import InputError
from stockbook.forecast import estimates
from stockbook.forecast.coming import Coming, Days, protection
from stockbook.forecast.demand import Lines
from stockbook.forecast.levels import order_up_to
from stockbook.forecast.ordering import position
from stockbook.forecast.outlook import (
    SERVICE_LEVELS,
    Ahead,
    ahead_of,
    amounts_of,
    one_in,
)
from stockbook.forecast.year_ahead import YEAR, coming_year, stated_amounts
from stockbook.jobs.finding import known_item, shown
from stockbook.jobs.forecast_history import history_of
from stockbook.jobs.forecast_supply import leads_of
from stockbook.jobs.kits_in_force import KitAsked, layers_of
from stockbook.jobs.ordering import to_come
from stockbook.ledger.facts import all_of
from stockbook.ledger.opening import Book
from stockbook.ledger.settings import setting
from stockbook.ledger.stock import on_hand, places_of_kind, quarantines


@dataclass(frozen=True, slots=True)
class Ground:
    """What is the same for every item."""

    day: str
    review_days: int
    history: History
    kinds: tuple[str, ...]
    done: Mapping[str, int]
    """How many cases of each kind are finished."""
    coming: Coming
    taken: Mapping[tuple[str, str], Mapping[int, int]]
    stated: Mapping[str, Mapping[str, Sequence[tuple[int, float]]]]
    shelf: Shelf
    wish: Wish
    standby: Mapping[str, int]
    """The most of an item that a kit wants in reach, whatever the forecast says."""
    estimates: tuple[Estimate | Shares, ...]


def foresee(book: Book, day: str, plan: Sequence[PlannedSpan] = ()) -> Foresight:
    """The outlook of every item that cases use; the others are named with why they have none."""
    with book.reading() as db:
        items = [item for item in all_of(db, Item) if item.lens_model is None]
        ground = _ground(db, day, items, plan)
        leads, coming = leads_of(db, items), to_come(db)
        ordered = {code: one.quantity for code, one in coming.items()}
        found = [
            _outlook(ground, item, leads[item.code], ordered.get(item.code, 0)) for item in items
        ]
        known = tuple(one for one in found if isinstance(one, Outlook))
        none = tuple(one for one in found if isinstance(one, NoBasis))
        uses = {one.item.code: _uses_in_words(ground, one.item) for one in known}
        basis = Basis(ground.history.since, len(ground.history.done), ground.estimates, uses)
        words = [
            f"Planned: {p.first_day} to {p.last_day}, {p.category}: {p.cases} cases." for p in plan
        ]
        if not ground.history.done:
            words.append("No usual number of cases is known yet: lists and plan alone count.")
        return Foresight(day, ground.review_days, known, none, basis, tuple(words))


def _ground(
    db: sqlite3.Connection, day: str, items: Sequence[Item], plan: Sequence[PlannedSpan]
) -> Ground:
    history = history_of(db, day, YEAR)
    kinds = tuple(dict.fromkeys(case.kind for case in (*history.done, *history.listed)))
    coming, seen = coming_year(history, kinds, day, plan)
    by_case = {case.code: case.kind for case in history.done}
    stores = [place.code for place in places_of_kind(db, "store", "theatre")]
    least = {item.code: item.least_days_left for item in items}
    wish = Wish(day, tuple(stores), least_days_left=least, quarantines=quarantines(db))
    layers = {kind: _layers(db, kind, day) for kind in kinds}
    return Ground(
        day, int(setting(db, "review_days")), history, kinds,
        Counter(by_case.values()), coming,
        amounts_taken(history.taken, by_case),
        {kind: stated_amounts(kits) for kind, kits in layers.items()},
        Shelf(on_hand(db, items=[item.code for item in items], places=stores)), wish,
        _standby([kit for kits in layers.values() for kit in kits]), seen,
    )  # fmt: skip


def _layers(db: sqlite3.Connection, kind: str, day: str) -> list[Kit]:
    """The kits in force for this kind of case; none where there is no kit."""
    procedure, category = kind.split("/")[:2]
    return layers_of(db, KitAsked(procedure, category, None, day))


def _standby(kits: Sequence[Kit]) -> dict[str, int]:
    found: dict[str, int] = {}
    for line in (line for kit in kits for line in kit.lines if line.kind == "standby"):
        found[line.items[0]] = max(found.get(line.items[0], 0), line.quantity)
    return found


def _outlook(ground: Ground, item: Item, lead: Shares, on_order: int) -> Outlook | NoBasis:
    """One item's outlook over its review period and lead time."""
    uses = _uses(ground, item)
    if not uses:
        return NoBasis(
            item.code, "no case of this site used it, and no kit of a coming case has it"
        )
    interval: Days = protection(ground.review_days, estimates.days_of(lead))
    rows = usable_by_someone(ground.shelf, item.code, ground.wish)
    usable = sum(row.quantity for row in rows)
    lots = [LotAhead(row.quantity, days_between(ground.day, row.lot.expires_on)) for row in rows]
    ahead = ahead_of(ground.coming, uses, interval, usable, lots)
    return _told(ground, item, lead, (usable, on_order), ahead)


def _told(ground: Ground, item: Item, lead: Shares, held: tuple[int, int], ahead: Ahead) -> Outlook:
    """`held` is what is usable and what is on order: all of it can be counted on by then."""
    demand = ahead.demand.total
    short = demand.more_than(position(*held, 0))
    seen = sum(sum(c.values()) for (_, code), c in ground.taken.items() if code == item.code)
    basis = f"{seen} of {len(ground.history.done)}" if seen else "kits alone"
    lasts = None if ahead.last_day is None else days_after(ground.day, ahead.last_day)
    return Outlook(
        item, *held, demand.mean, ahead.demand.scheduled_mean, short, one_in(short),
        lasts, ahead.left, ground.standby.get(item.code, 0), lead, basis,
        tuple((level, order_up_to(demand, level)) for level in SERVICE_LEVELS),
    )  # fmt: skip


def _uses(ground: Ground, item: Item) -> dict[int, Lines]:
    """By the number of a kind of case, what it takes of an item."""
    found = {
        number: amounts_of(
            ground.stated[kind].get(item.code, ()),
            ground.taken.get((kind, item.code), {}),
            ground.done.get(kind, 0),
        )
        for number, kind in enumerate(ground.kinds)
    }
    return {number: lines for number, lines in found.items() if lines}


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
    if item.lens_model is not None:
        raise InputError(f"{item.code}: lenses are looked at by power: stockbook lens bank.")
    why = next((one.why for one in found.no_basis if one.what == item.code), "no use was seen")
    raise InputError(f"{item.code}: no basis for a forecast: {why}.")
