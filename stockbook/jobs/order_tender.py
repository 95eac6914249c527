"""Quantities for a tender: what a year needs beyond what there is, called off at even times."""

import sqlite3

from stockbook.domain.amounts import whole_from_text
from stockbook.domain.order_sizes import in_packs
from stockbook.domain.proposals import Tender, TenderLine
from stockbook.domain.service_levels import LEAST_PERMILLE, MOST_PERMILLE
from stockbook.errors import InputError
from stockbook.forecast.estimates import share_of
from stockbook.forecast.levels import order_up_to
from stockbook.jobs.order_propose import LONGEST, ProposeAsked, Ways, chosen_of, ways_of
from stockbook.jobs.prospecting import prospects_of
from stockbook.jobs.prospects import Prospect
from stockbook.ledger.opening import Book

QUARTER = 3
"""Months between call-offs, where nothing expires sooner."""


def tender(book: Book, day: str, asked: ProposeAsked, text: str) -> Tender:
    """Yearly (or so many months') quantities of every item with a basis."""
    months = _months(text)
    with book.reading() as db:
        return _tender(db, day, asked, months)


def _months(text: str) -> int:
    """`12m`, or plain 12."""
    months = whole_from_text(text.strip().lower().removesuffix("m"), 0, "--tender")
    if not 1 <= months <= 36:
        raise InputError(f"--tender: found {text!r}, wanted 1m to 36m.")
    return months


def _tender(db: sqlite3.Connection, day: str, asked: ProposeAsked, months: int) -> Tender:
    found = prospects_of(db, day, asked.plan)
    ways = ways_of(db, day, [one.item for one in found.known])
    every = min(QUARTER, months)
    lines = [_line(one, ways, months, every) for one in chosen_of(db, found, ways, asked)]
    return Tender(day, months, every, tuple(one for one in lines if one.most), found.none)


def _line(one: Prospect, ways: Ways, months: int, every: int) -> TenderLine:
    """What is needed with the chance of the item's service, less what there is, in whole packs."""
    days = min(_days(months, ways.month), LONGEST)
    demand = one.until(days)
    most = max(order_up_to(demand, _share(one)), one.standby)
    at = one.usable + one.on_order
    terms = ways.terms.get(one.item.code)
    pack = terms.pack_quantity if terms else 1
    whole = in_packs(max(0, most - at), pack)
    return TenderLine(
        one.item, demand.mean, most, at, whole, _call_offs(whole, pack, months, every),
        ways.lives.get(one.item.code),
    )  # fmt: skip


def _share(one: Prospect) -> float:
    """The chance with which a year's quantity is enough: what goes by cost may be at more risk
    until the next order, but not over a year.
    """
    return share_of(max(LEAST_PERMILLE, min(MOST_PERMILLE, one.service.permille)), 1000)


def _days(months: int, month: int) -> int:
    return months * month // 100


def _call_offs(whole: int, pack: int, months: int, every: int) -> tuple[int, ...]:
    """The quantity in whole packs over even times, the first ones larger by a pack."""
    times, packs = -(-months // every), whole // pack
    each, more = divmod(packs, times)
    return tuple((each + (n < more)) * pack for n in range(times))
