"""Orders: made, put off, closed; none of it moves anything."""

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass, replace

from stockbook.domain import texts
from stockbook.domain.amounts import LIMIT, half_even, quantity_from_text
from stockbook.domain.days import day_typed
from stockbook.domain.entries import Draft, Request, Signature, digest_of
from stockbook.domain.facts import Item, PackSize
from stockbook.domain.order_checks import doubts
from stockbook.domain.order_facts import OrderLine, PurchaseOrder, SupplyTerms
from stockbook.domain.orders import CLOSED, COMPLETE, OrderState, due_day, price_of
from stockbook.domain.reasons import ORDER_CLOSED, check_reason, reason_from
from stockbook.errors import InputError, NeedsAnswer, Refused
from stockbook.jobs.finding import item_or_pack, known_supplier, money_of
from stockbook.jobs.ordering import known_order, states_of
from stockbook.jobs.signing import check_person, fresh_request, request
from stockbook.ledger.facts import all_of, find
from stockbook.ledger.opening import Book
from stockbook.ledger.orders import orders_numbered
from stockbook.ledger.posting import Posting, posting, same_request

Typed = tuple[str, str, str]
"""Item or pack identifier, how many of it, the price of one; `-` leaves the price out."""


@dataclass(frozen=True, slots=True)
class OrderAsked:
    """An order as it was typed; without a code it is numbered."""

    supplier: str
    lines: Sequence[Typed]
    code: str | None = None
    due: str | None = None
    another: bool = False
    """A like order of the same day is really another one."""


@dataclass(frozen=True, slots=True)
class Ordered:
    """A recorded order, and what there is to say about it."""

    state: OrderState
    entry: int
    already: bool = False
    doubts: tuple[str, ...] = ()


def new_order(book: Book, signature: Signature, asked: OrderAsked, *, keep: bool = True) -> Ordered:
    """The order is in the book; the same code with the same contents stays one."""
    with posting(book, keep=keep) as post:
        check_order_signature(post.db, signature)
        supplier = known_supplier(post.db, asked.supplier).code
        lines = [_line(post.db, supplier, typed) for typed in asked.lines]
        _check_lines([line for line, _ in lines])
        order = _order(post.db, signature, asked, supplier, [line for line, _ in lines])
        return _record(post, signature, asked, order, [terms for _, terms in lines])


def _record(
    post: Posting, signature: Signature, asked: OrderAsked, order: PurchaseOrder,
    terms: Sequence[SupplyTerms | None],
) -> Ordered:  # fmt: skip
    wanted = Request(f"order/{order.code}/0", digest_of(_asked(asked, order)))
    known = same_request(post.db, wanted) if asked.code else None
    if known is not None:
        return Ordered(_state(post.db, known_order(post.db, order.code)), known, True)
    if find(post.db, PurchaseOrder, order.code) is not None:
        raise Refused(
            f"order {order.code} is in the book already, with other contents. Look with "
            f"'stockbook order show {order.code}'; close that one to order otherwise."
        )
    if not asked.code and not asked.another:
        _ask_about_like(post.db, order)
    number = post.post(Draft("order", signature, wanted, (), [order], order.code)).number
    state = _state(post.db, order)
    said = [doubt for line, t in zip(state.lines, terms, strict=True) for doubt in doubts(line, t)]
    return Ordered(state, number, doubts=tuple(said))


def check_order_signature(db: sqlite3.Connection, signature: Signature) -> None:
    """Who orders may; a reason that is given is one of an order's."""
    check_person(db, replace(signature, reason=None), "order")
    check_reason(signature.reason, "order new or change")


def _state(db: sqlite3.Connection, order: PurchaseOrder) -> OrderState:
    return states_of(db, [order])[0]


def _line(
    db: sqlite3.Connection, supplier: str, typed: Typed
) -> tuple[OrderLine, SupplyTerms | None]:
    """A typed line: units of an item or packs of an identifier; the price typed, else the terms'.

    A price typed is that of one unit or of one pack, as the quantity is.
    """
    thing, count, price = (text.strip() for text in typed)
    item, pack = item_or_pack(db, thing)
    quantity, each = _quantity(item, pack, count)
    known = find(db, SupplyTerms, f"{supplier}/{item.code}")
    terms = None if known is None or known.closed else known
    total = price_of(terms, quantity) if terms else None
    if price not in ("", "-"):
        total = half_even(money_of(db).minor(price, f"price of {item.code}") * quantity, each)
    if quantity >= LIMIT or (total or 0) >= LIMIT:
        raise InputError(f"{item.code}: found {count!r}, wanted an amount that can be real.")
    packed = terms.pack_quantity if terms else pack.units if pack else 0
    quoted = terms.lead_days if terms else None
    return OrderLine(item.code, quantity, total, pack.code if pack else None, packed, quoted), known


def _quantity(item: Item, pack: PackSize | None, count: str) -> tuple[int, int]:
    """Finest steps ordered, and how many of them the typed price is for."""
    if pack is None:
        what = f"quantity of {item.code}"
        return quantity_from_text(count, item.unit_places, what), int(10**item.unit_places)
    return quantity_from_text(count, 0, f"packs of {item.code}") * pack.units, pack.units


def _check_lines(lines: Sequence[OrderLine]) -> None:
    if not lines:
        raise InputError("order: no lines. Give --line ITEM QTY.")
    named = [line.item for line in lines]
    twice = sorted({item for item in named if named.count(item) > 1})
    if twice:
        raise InputError(f"order: {', '.join(twice)} has two lines; wanted each item once.")


def _order(
    db: sqlite3.Connection, signature: Signature, asked: OrderAsked, supplier: str,
    lines: Sequence[OrderLine],
) -> PurchaseOrder:  # fmt: skip
    day = signature.happened_on
    due = day_typed(asked.due, signature.today, "--due") if asked.due else due_day(day, lines)
    if due is None:
        raise InputError(
            f"order: no lead time of {supplier} is known for these items. Give --due DAY, or "
            "import supply-terms first."
        )
    code = texts.code(asked.code, "--code") if asked.code else next_code(db, day)
    order = PurchaseOrder(code, supplier, day, due, tuple(lines))
    _check_due(order)
    return order


def _check_due(order: PurchaseOrder) -> None:
    if order.due_on < order.ordered_on:
        raise InputError(
            f"--due: {order.due_on} lies before the day of the order ({order.ordered_on})."
        )


def next_code(db: sqlite3.Connection, day: str) -> str:
    """The year's next number; numbers run through the book, so that one names one order."""
    prefix = f"O-{day[:4]}-"
    ends = [code[len(prefix) :] for code in orders_numbered(db, prefix)]
    return f"{prefix}{max([0, *(int(end) for end in ends if end.isdigit())]) + 1:03d}"


def _asked(asked: OrderAsked, order: PurchaseOrder) -> list[object]:
    """What was typed: prices of the terms may be others when the same is asked again."""
    due = order.due_on if asked.due else None
    prices = [None if typed[2] in ("", "-") else line.price
              for typed, line in zip(asked.lines, order.lines, strict=True)]  # fmt: skip
    lines = [[line.item, line.quantity] for line in order.lines]
    return [order.supplier, due, lines, prices]


def _ask_about_like(db: sqlite3.Connection, order: PurchaseOrder) -> None:
    """A like order of the same day is asked about: was the command given twice?"""
    lines = [(line.item, line.quantity) for line in order.lines]
    for one in all_of(db, PurchaseOrder, supplier=order.supplier, ordered_on=order.ordered_on):
        if one.state != CLOSED and [(line.item, line.quantity) for line in one.lines] == lines:
            raise NeedsAnswer(
                f"Order {one.code} of {one.supplier} on {one.ordered_on} has the same lines. "
                "Is this another one?"
            )


def change_order(
    book: Book, signature: Signature, code: str, due: str, *, keep: bool = True
) -> tuple[OrderState, int | None]:
    """What is still to come of the order is due on another day; no entry where it was so."""
    with posting(book, keep=keep) as post:
        check_order_signature(post.db, signature)
        was = known_order(post.db, code)
        _check_open(_state(post.db, was))
        now = replace(was, due_on=day_typed(due, signature.today, "--due"))
        _check_due(now)
        if now == was:
            return _state(post.db, was), None
        asked = fresh_request(post.db, f"order/{was.code}/change", [now.code, now.due_on])
        number = post.post(Draft("order", signature, asked, (), [now], now.code)).number
        return _state(post.db, now), number


def close_order(
    book: Book, signature: Signature, code: str, *, keep: bool = True
) -> tuple[OrderState, int, bool]:
    """What has not come of the order is given up: the order, its entry, was it so already."""
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "order")
        reason = reason_from(signature.reason, ORDER_CLOSED, "--reason")
        was = known_order(post.db, code)
        asked = request(f"order/{was.code}/close", [was.code, reason])
        known = same_request(post.db, asked)
        if known is not None:
            return _state(post.db, was), known, True
        _check_open(_state(post.db, was))
        now = replace(was, state=CLOSED)
        number = post.post(Draft("order", signature, asked, (), [now], now.code)).number
        return _state(post.db, now), number, False


def _check_open(state: OrderState) -> None:
    code = state.order.code
    if state.state == CLOSED:
        raise Refused(f"order {code} is closed already; what had not come was given up.")
    if state.state == COMPLETE:
        raise Refused(f"order {code} is complete: nothing of it is still to come.")
