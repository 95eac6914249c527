"""What waits today: one answer by role, from the book alone."""

import sqlite3
from collections.abc import Callable

from stockbook.domain.days import days_after
from stockbook.domain.facts import Case, OperatingList
from stockbook.domain.finance_facts import Sponsor
from stockbook.domain.list_shares import LIST
from stockbook.domain.orders import OrderState
from stockbook.domain.roles import ROLES
from stockbook.domain.texts import one_of
from stockbook.domain.today import (
    AGAINST,
    BELOW,
    CLAIM,
    DESK,
    DUE,
    EXPIRED,
    FOUND,
    IF_ANY,
    KINDS,
    LATE,
    OF_ROLE,
    OWED,
    PROVISIONAL,
    RESCUE,
    UNFINISHED,
    Point,
    Today,
    Waiting,
)
from stockbook.jobs.claims_due import claims_due
from stockbook.jobs.filling import lines_below
from stockbook.jobs.finding import shown
from stockbook.jobs.ordering import open_orders
from stockbook.jobs.signing import known_staff
from stockbook.jobs.today_points import not_credited, sittings_waiting
from stockbook.ledger.cases import unfinished
from stockbook.ledger.facts import all_of, codes
from stockbook.ledger.history import entries
from stockbook.ledger.open_points import (
    against_rules,
    found_at_use,
    provisional_lots,
    unexplained_rescues,
)
from stockbook.ledger.opening import Book
from stockbook.ledger.settings import staff
from stockbook.ledger.stock import items_by_code, on_hand
from stockbook.ledger.upkeep import last_upkeep

RECENT_DAYS = 30
"""How long what was recorded against a rule is shown."""


def what_waits(book: Book, day: str, *, role: str | None = None, by: str | None = None) -> Today:
    """What waits on a day for the role named, else for that of the person; else for anyone.

    Claims have their line only where a sponsor is described; what is begun by scanner, and what a
    supplier owes, only where there is any.
    """
    with book.reading() as db:
        known = _role(db, role, by)
        kinds = OF_ROLE[known] if known else KINDS
        asked = [
            Waiting(kind, tuple(_ASK[kind](db, day))) for kind in kinds
            if kind != CLAIM or codes(db, Sponsor)
        ]  # fmt: skip
        parts = tuple(one for one in asked if one.points or one.kind not in IF_ANY)
        last = entries(db, most=1)
        return Today(day, known, parts, last[0] if last else None, last_upkeep(db))


def _role(db: sqlite3.Connection, role: str | None, by: str | None) -> str | None:
    if role is not None:
        return one_of(role, ROLES, "--role")
    person = staff(db, known_staff(db, by)) if by else None
    return person.role if person else None


def _unfinished(db: sqlite3.Connection, _: str) -> list[Point]:
    cases = all_of(db, Case, code=unfinished(db))
    lists = {one.code: one for one in all_of(db, OperatingList, code={c.list for c in cases})}
    points = [
        Point(c.code, _what(c), lists[c.list].day,
              lists[c.list].theatre)
        for c in cases
    ]  # fmt: skip
    return sorted(points, key=lambda p: (str(p.day), p.code))


def _what(case: Case) -> str:
    if case.kind == LIST:
        return "used in common by the list"
    return " ".join(words for words in (case.procedure, case.category) if words)


def _expired(db: sqlite3.Connection, day: str) -> list[Point]:
    rows = [row for row in on_hand(db) if row.lot.expires_on < day]
    items = items_by_code(db, {row.lot.item for row in rows})
    rows.sort(key=lambda r: (r.lot.expires_on, r.lot.item, r.place, r.lot.code))
    return [
        Point(r.lot.item, "", r.lot.expires_on, r.place, items[r.lot.item], r.lot, r.quantity)
        for r in rows
    ]


def _below(db: sqlite3.Connection, day: str) -> list[Point]:
    return [
        Point(
            line.item.code, f"keep at least {shown(line.item, line.keep_at_least)}", None, place,
            line.item, None, line.there,
        )
        for place, line in lines_below(db, day)
    ]  # fmt: skip


def _provisional(db: sqlite3.Connection, _: str) -> list[Point]:
    lots = provisional_lots(db)
    items = items_by_code(db, {lot.item for lot in lots})
    return [
        Point(lot.item, lot.document or "", lot.received_on, None, items[lot.item], lot,
              lot.quantity)
        for lot in lots
    ]  # fmt: skip


def _found(db: sqlite3.Connection, _: str) -> list[Point]:
    found = found_at_use(db)
    items = items_by_code(db, {lot.item for lot, *_ in found})
    return [
        Point(lot.item, f"case {case}" if case else "", when, None, items[lot.item], lot, quantity)
        for lot, quantity, case, when in found
    ]


def _against(db: sqlite3.Connection, day: str) -> list[Point]:
    return [
        Point(f"entry {one.number}", f"{one.kind} {one.document or ''}: {one.reason}, {one.by}",
              one.happened_on)
        for one in against_rules(db, days_after(day, -RECENT_DAYS))
    ]  # fmt: skip


def _rescues(db: sqlite3.Connection, _: str) -> list[Point]:
    """Rescue kits wait for the word that says why."""
    return [
        Point(str(one.document), f"issued by {one.by}, entry {one.number}", one.happened_on)
        for one in unexplained_rescues(db)
    ]


def _late(db: sqlite3.Connection, day: str) -> list[Point]:
    late = [one for one in open_orders(db) if one.days_late(day)]
    return [_order(one, one.days_late(day)) for one in late]


def _due(db: sqlite3.Connection, day: str) -> list[Point]:
    return [_order(one) for one in open_orders(db) if one.order.due_on == day]


def _order(state: OrderState, late: int = 0) -> Point:
    to_come = [f"{one.item.code} {shown(one.item, one.to_come)}" for one in state.lines
               if one.to_come]  # fmt: skip
    words = f"{', '.join(to_come)} to come"
    said = f"{late} day{'s' if late > 1 else ''} late" if late else ""
    parts = (state.order.supplier, said, words)
    return Point(
        state.order.code, "  ".join(part for part in parts if part), state.order.due_on
    )  # fmt: skip


_ASK: dict[str, Callable[[sqlite3.Connection, str], list[Point]]] = {
    UNFINISHED: _unfinished,
    RESCUE: _rescues,
    EXPIRED: _expired,
    BELOW: _below,
    LATE: _late,
    DUE: _due,
    PROVISIONAL: _provisional,
    CLAIM: claims_due,
    DESK: sittings_waiting,
    OWED: not_credited,
    FOUND: _found,
    AGAINST: _against,
}
