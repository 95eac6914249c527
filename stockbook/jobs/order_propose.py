"""What to order: every item up to its level, in packs, before it runs short or expires."""

import sqlite3
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from stockbook.domain.calendar import PlannedSpan
from stockbook.domain.facts import Item
from stockbook.domain.forecasts import Break, OrderRule, Quantity
from stockbook.domain.handbook import MaxMin
from stockbook.domain.leftover import RecentUse
from stockbook.domain.order_facts import SupplyTerms
from stockbook.domain.proposals import Budgeted, CrossCheck, Proposal, Proposed
from stockbook.domain.service_levels import FILL
from stockbook.domain.site_rules import hundredths_of_a_day
from stockbook.errors import InputError
from stockbook.forecast.budget import offer_at, spend
from stockbook.forecast.estimates import days_of, mean_days, share_of, whole_days
from stockbook.forecast.levels import expiry_cap, fill_rate_level, level_held, order_up_to
from stockbook.forecast.ordering import chance_last_expires, chance_short, order_quantity
from stockbook.jobs.finding import known_item, known_supplier, money_of, quantity_of
from stockbook.jobs.prospecting import Prospects, prospects_of
from stockbook.jobs.prospects import Prospect
from stockbook.jobs.service_by_cost import asked_for, with_service_by_cost
from stockbook.ledger.facts import all_of
from stockbook.ledger.opening import Book
from stockbook.ledger.plain_use import shelf_lives
from stockbook.ledger.settings import setting
from stockbook.ledger.use import recent_use

LONGEST = 1100
"""So many days ahead an expiry cap looks; what keeps longer is not capped."""


@dataclass(frozen=True, slots=True)
class ProposeAsked:
    """Which items are looked at, a fixed sum as it was typed, the calendar."""

    supplier: str | None = None
    items: Sequence[str] = ()
    budget: str | None = None
    plan: Sequence[PlannedSpan] = ()


@dataclass(frozen=True, slots=True)
class Ways:
    """How items are sold, how long they keep, how they were used of late."""

    terms: Mapping[str, SupplyTerms]
    lives: Mapping[str, int]
    use: Mapping[str, RecentUse]
    month: int
    """Hundredths of a day."""


def propose(book: Book, day: str, asked: ProposeAsked) -> Proposal:
    """The proposal on a day; nothing is recorded."""
    with book.reading() as db:
        return proposal_of(db, day, asked)


def proposal_of(db: sqlite3.Connection, day: str, asked: ProposeAsked) -> Proposal:
    """Every item asked about, with its level and what to order of it."""
    found = prospects_of(db, day, asked.plan)
    ways = ways_of(db, day, [one.item for one in found.known])
    chosen = chosen_of(db, found, ways, asked)
    lines = tuple(_proposed(one, ways) for one in chosen)
    codes = {one.item.code for one in chosen}
    none = [] if asked.supplier else [n for n in found.none if not asked.items or n.what in codes]
    history = found.ground.history
    whole = Proposal(
        day, found.ground.review_days, lines, tuple(none), len(history.done), history.since,
        by_cost=asked_for(db),
    )  # fmt: skip
    return whole if asked.budget is None else _within(db, whole, chosen, asked.budget)


def ways_of(db: sqlite3.Connection, day: str, items: Sequence[Item]) -> Ways:
    """What the book says of buying these items."""
    lives = {code: sorted(days)[len(days) // 2] for code, days in shelf_lives(db).items()}
    days = int(setting(db, "recent_use_days"))
    return Ways(
        {one.item: one for one in all_of(db, SupplyTerms) if one.preferred}, lives,
        recent_use(db, {item.code for item in items}, day, days),
        hundredths_of_a_day(setting(db, "days_per_month")),
    )  # fmt: skip


def chosen_of(
    db: sqlite3.Connection, found: Prospects, ways: Ways, asked: ProposeAsked
) -> list[Prospect]:
    """The prospects of the items, or of the supplier, that were asked about."""
    wanted = {known_item(db, text).code for text in asked.items}
    supplier = known_supplier(db, asked.supplier).code if asked.supplier else None
    for one in found.none:
        if one.what in wanted:
            raise InputError(f"{one.what}: no basis for an order: {one.why}.")
    return [
        one for one in with_service_by_cost(db, found.known, ways.terms)
        if (not wanted or one.item.code in wanted)
        and (supplier is None or _supplier(ways, one.item) == supplier)
    ]  # fmt: skip


def _supplier(ways: Ways, item: Item) -> str | None:
    terms = ways.terms.get(item.code)
    return terms.supplier if terms else None


def _proposed(one: Prospect, ways: Ways) -> Proposed:
    """The item's level, what is missing to it as it is sold, and the chances."""
    terms, demand = ways.terms.get(one.item.code), one.demand.total
    life = ways.lives.get(one.item.code)
    lead = mean_days(days_of(one.lead))
    at = one.usable + one.on_order
    until = one.until(whole_days(lead) + life) if life and life + lead <= LONGEST else None
    held = level_held(_level(one), one.standby, expiry_cap(until) if until else None)
    quantity = order_quantity(held.level, at, _rule(terms), held.ceiling)
    then = at + quantity.units
    return Proposed(
        one.item, terms, one.usable, one.on_order, demand.mean, one.service, held, quantity,
        chance_short(demand, at), chance_short(demand, then),
        chance_last_expires(until, then) if until and quantity.units else None, life, lead,
        _check(one, ways, lead, at),
    )  # fmt: skip


def _level(one: Prospect) -> int:
    """The order-up-to level of the item's service, or by its cost."""
    if one.level_by_cost is not None:
        return one.level_by_cost
    share = share_of(one.service.permille, 1000)
    if one.service.kind == FILL:
        return fill_rate_level(one.demand.total, share, one.before_own)
    return order_up_to(one.demand.total, share)


def _rule(terms: SupplyTerms | None) -> OrderRule:
    """The supplier's terms as what an order has to keep to; prices are of one `price_quantity`."""
    if terms is None:
        return OrderRule()
    breaks = tuple(Break(one.quantity, one.price) for one in terms.breaks)
    return OrderRule(
        terms.pack_quantity,
        terms.least_quantity,
        (Break(1, terms.price), *breaks) if breaks else (),
    )


def _check(one: Prospect, ways: Ways, lead: float, at: int) -> CrossCheck | None:
    """The max-min rule: recent use a month, review and lead time in months, half a review safe."""
    use = ways.use[one.item.code]
    if not use.is_seen:
        return None
    month = Fraction(ways.month, 100)
    rule = MaxMin.with_half_a_review(
        review_months=Fraction(one.review_days, month),
        lead_months=Fraction(whole_days(lead), month),
    )
    return CrossCheck(Fraction(use.quantity * month, use.days), rule, at)


def _within(
    db: sqlite3.Connection, whole: Proposal, chosen: Sequence[Prospect], text: str
) -> Proposal:
    """The proposal cut to a fixed sum: the packs that serve most uses for their cost come first."""
    amount = money_of(db).minor(text, "--budget")
    if not amount:
        raise InputError(f"--budget: found {text!r}, wanted more than nothing.")
    by_code = {one.item.code: one for one in chosen}
    paid = [line for line in whole.wanted if line.cost is not None]
    if not paid:
        raise InputError(
            "--budget: nothing that is proposed has supply terms with a price. Import "
            "supply-terms, or order without a budget."
        )
    offers = [
        offer_at(
            line.item.code, by_code[line.item.code].demand.total, line.at, line.units,
            _pack(line), line.cost or 0, least=line.terms.least_quantity if line.terms else 0,
            per_use=by_code[line.item.code].per_use,
        )
        for line in paid
    ]  # fmt: skip
    spending = spend(offers, amount)
    lines = [_cut(line, spending.steps, by_code) for line in whole.lines]
    return replace(
        whole.only(lines), budget=Budgeted(amount, spending, sum(one.cost or 0 for one in paid))
    )


def _pack(line: Proposed) -> int:
    return line.terms.pack_quantity if line.terms else 1


def _cut(line: Proposed, steps: Mapping[str, int], by_code: Mapping[str, Prospect]) -> Proposed:
    """A line with as much as the budget gave it."""
    if not line.units or line.terms is None:
        return replace(line, quantity=Quantity(0, line.quantity.needed, ("no price is known",)))
    taken, least = steps[line.item.code], max(_pack(line), line.terms.least_quantity)
    units = min(line.units, least + (taken - 1) * _pack(line)) if taken else 0
    if units == line.units:
        return line
    demand = by_code[line.item.code].demand.total
    return replace(
        line, quantity=replace(line.quantity, units=units, reasons=("cut to the budget",)),
        chance_with=chance_short(demand, line.at + units),
    )  # fmt: skip


def without_and_changed(
    db: sqlite3.Connection, whole: Proposal, left_out: Collection[str],
    changed: Sequence[tuple[str, str]],
) -> Proposal:  # fmt: skip
    """The proposal without some items and with other amounts of others, as a person wants it."""
    out = {known_item(db, text).code for text in left_out}
    other = {known_item(db, text).code: count for text, count in changed}
    known = {line.item.code: line for line in whole.lines}
    for code in sorted({*out, *other} - known.keys()):
        raise InputError(f"{code}: not among what was looked at. Order it with 'order new'.")
    lines = []
    for line in whole.lines:
        if line.item.code in out:
            continue
        if line.item.code in other:
            units = quantity_of(line.item, other[line.item.code])
            line = replace(line, quantity=Quantity(units, line.quantity.needed, ("by hand",)))
        lines.append(line)
    return whole.only(lines)
