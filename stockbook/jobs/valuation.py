"""What the stock is worth: item by item, by method, at the lower of cost and a stated value."""

import sqlite3
from collections.abc import Sequence

from stockbook.domain.amounts import half_even
from stockbook.domain.answers import Listed
from stockbook.domain.asking import AsOf
from stockbook.domain.cost_flows import LOT
from stockbook.domain.days import days_after
from stockbook.domain.entries import Draft, Movement, Signature
from stockbook.domain.finance_facts import StatedValue
from stockbook.domain.places import DIFFERENCE, SITE_KINDS
from stockbook.domain.reasons import WRITE_DOWN, reason_from
from stockbook.domain.valuation import Valuation
from stockbook.domain.write_downs import (
    ItemValue,
    NotMoving,
    PricePaid,
    StockValue,
    WroteDown,
    adjusted,
    outstanding,
    written_down,
)
from stockbook.errors import Refused
from stockbook.jobs.finding import known_item, money_of
from stockbook.jobs.signing import check_person, fresh_request, second_person
from stockbook.ledger.as_of import BOOKED, reading_as_of
from stockbook.ledger.facts import all_of, find
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import posting
from stockbook.ledger.settings import last_entry, setting
from stockbook.ledger.stock import items_by_code, lots_by_code, on_hand, places_of_kind
from stockbook.ledger.values import bought_prices, carried_rows, last_uses, value_by_item
from stockbook.ledger.valuing import undone_keys, valued_lots, valued_moves


def value_of_stock(
    book: Book, day: str, methods: Sequence[str], as_of: AsOf | None = None
) -> StockValue:
    """Every item's units and value by lot and by the other methods, beside its stated value.

    What is consigned is not owned and stands nowhere here.
    """
    with reading_as_of(book, as_of, BOOKED) as db:
        found = value_by_item(db)
        items = items_by_code(db, found)
        stated = {one.code: one for one in all_of(db, StatedValue)}
        flows = _by_method(db, day, [method for method in methods if method != LOT])
        number, checksum, _, _ = last_entry(db)
        rows = tuple(
            ItemValue(
                items[code], quantity, value, flows.get(code, {}), stated.get(code)
            )
            for code, (quantity, value) in found.items()
        )  # fmt: skip
        return StockValue(
            day, setting(db, "value_test"), tuple(methods), rows, number, checksum
        )  # fmt: skip


def _by_method(
    db: sqlite3.Connection, day: str, methods: Sequence[str]
) -> dict[str, dict[str, int]]:
    """What each item is worth by FIFO and moving average, as its layers stand."""
    if not methods:
        return {}
    valuation = Valuation(methods, (day, day), valued_lots(db), undone_keys(db))
    valuation.follow(valued_moves(db, "9999-12-31"))
    found: dict[str, dict[str, int]] = {}
    for (item, method), flow in valuation.flows.items():
        found.setdefault(item, {})[method] = flow.value
    return found


def state_value(
    book: Book, signature: Signature, text: str, amount: str, *, keep: bool = True
) -> WroteDown:
    """One unit of the item is worth so much: its stock is at the lower of that and its cost.

    Written down or, up to what was written down before, up again; on shelves, not on trolleys.
    """
    reason = reason_from(signature.reason, WRITE_DOWN, "--reason")
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "valuation")
        second_person(signature, "A write-down")
        item = known_item(post.db, text)
        value = money_of(post.db).minor(amount, f"value of one {item.unit} of {item.code}")
        before = find(post.db, StatedValue, item.code)
        rows = carried_rows(post.db, item.code)
        below = outstanding(rows, before.lots if before else ())
        made = adjusted(rows, value, item.unit_places, below)
        stated = StatedValue(
            item.code, value, setting(post.db, "value_test"), written_down(rows, below, made)
        )
        if before is not None and stated == before and not made:
            raise Refused(f"{item.code}: this value is stated already and nothing changes by it.")
        moves = [_movement(one.lot, one.place, one.amount, reason) for one in made]
        request = fresh_request(post.db, "write-down", [item.code, value])
        draft = Draft("write-down", signature, request, moves, [stated], item.code)
        entry = post.post(draft).number
        lots = lots_by_code(post.db, {one.lot for one in made})
        cost = sum(row.value for row in rows)
        changes = tuple((lots[one.lot], one.place, one.amount) for one in made)
        return WroteDown(item, cost, cost + sum(one.amount for one in made), changes, entry)


def _movement(lot: int, place: str, amount: int, reason: str) -> Movement:
    if amount < 0:
        return Movement(lot, 0, -amount, place, DIFFERENCE, reason=reason)
    return Movement(lot, 0, amount, DIFFERENCE, place, reason=reason)


def not_moving(book: Book, day: str, days: int) -> Listed[NotMoving]:
    """Lots on shelves of whose item nothing was used in so many days, and that came before."""
    since = days_after(day, -days)
    with book.reading() as db:
        used = last_uses(db, since)
        places = [place.code for place in places_of_kind(db, *SITE_KINDS)]
        rows = [
            row for row in on_hand(db, places=places)
            if row.lot.item not in used and row.lot.received_on < since
        ]  # fmt: skip
        items = items_by_code(db, {row.lot.item for row in rows})
        ever = last_uses(db, "0001-01-01") if rows else {}
        found = [
            NotMoving(items[row.lot.item], row.lot, row.place, row.quantity, row.value,
                      ever.get(row.lot.item))
            for row in rows
        ]  # fmt: skip
        rows_found = sorted(found, key=lambda one: (-one.value, one.item.code, one.lot.code))
        return Listed(tuple(rows_found), *last_entry(db)[:2])


def prices_paid(book: Book, first_day: str, last_day: str) -> Listed[PricePaid]:
    """Lots bought in a period beside what they would have cost at the item's price before.

    The price before is that of the last lot of the item that came before the period.
    """
    with book.reading() as db:
        rows = bought_prices(db, last_day)
        inside = [row for row in rows if row[2] >= first_day]
        before = {row[1]: row for row in rows if row[2] < first_day}
        lots = lots_by_code(db, {row[0] for row in inside})
        items = items_by_code(db, {row[1] for row in inside})
        paid = (
            PricePaid(items[item], lots[lot], price, _at_price(before.get(item), quantity))
            for lot, item, _, price, quantity in inside
        )
        return Listed(tuple(paid), *last_entry(db)[:2])


def _at_price(before: tuple[int, str, str, int, int] | None, quantity: int) -> int | None:
    return None if before is None else half_even(before[3] * quantity, before[4])
