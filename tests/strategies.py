"""Invented facts to build tests from, and Hypothesis strategies shared by them."""

from dataclasses import replace
from datetime import date

from hypothesis import settings
from hypothesis import strategies as st

from stockbook.domain.facts import Case, Item, Lot
from stockbook.domain.finance_facts import Sponsor
from stockbook.domain.picking import Shelf, ShelfRow, Wish

# How long an example takes depends on who else uses the machine: no test may fail for it.
settings.register_profile("stockbook", deadline=None)
settings.load_profile("stockbook")

DAY = "2027-03-01"
PLACES = ("OT1", "STORE", "OT2")

a_bottle = Item("IODINE", "Povidone-iodine", "fluids", "ml", 1)
a_case = Case("C1", "L1", 1, category="paid", sponsor="FUND")


def a_lot(code: int = 1, item: str = "VISC", **changes: object) -> Lot:
    """A lot of ten units that nothing speaks against on DAY."""
    lot = Lot(code, item, f"N{code}", None, "2028-01-31", "day", "2027-01-10", "ACME", "bought", 10)
    return replace(lot, **changes)


def a_row(
    code: int = 1, quantity: int = 10, value: int = 100, place: str = "STORE", **changes: object
) -> ShelfRow:
    """Units of `a_lot` at a place."""
    return ShelfRow(place, a_lot(code, **changes), quantity, value)


def a_wish(**changes: object) -> Wish:
    """A paid case on DAY that draws from its theatre, then from the store."""
    return replace(Wish(DAY, ("OT1", "STORE"), category="paid"), **changes)


# Whole numbers

quantities = st.integers(1, 10_000)
values = st.integers(0, 10**9)
decimals = st.integers(0, 3)


@st.composite
def parts_of(draw: st.DrawFn, most: int = 500) -> list[int]:
    """A quantity cut into the parts in which it leaves, one after the other."""
    left = draw(st.integers(1, most))
    parts = []
    while left:
        part = draw(st.integers(1, left))
        parts.append(part)
        left -= part
    return parts


# Days and texts

days = st.dates(date(2000, 1, 1), date(2099, 12, 31)).map(date.isoformat)
codes = st.text("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789", min_size=1, max_size=8)
names = st.text(
    st.characters(exclude_categories=("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")), max_size=40
)

# Sponsors: an amount, a deduction from it and days, each stated or not


@st.composite
def sponsors(
    draw: st.DrawFn, code: st.SearchStrategy[str] = codes, called: st.SearchStrategy[str] = names
) -> Sponsor:
    """Who pays for cases; only where an amount is stated is something taken off it."""
    amount = draw(st.none() | values)
    deduction = draw(values) if amount is not None else 0
    return Sponsor(
        draw(code), draw(called), amount, deduction, draw(st.none() | st.integers(0, 90))
    )


# Shelves: few days, few places and few lots, so that ties are common

_near_days = st.dates(date(2027, 2, 26), date(2027, 3, 5)).map(date.isoformat)


@st.composite
def lots(draw: st.DrawFn, code: int, items: tuple[str, ...] = ("VISC", "DYE")) -> Lot:
    """A lot that may be too late, too old, or for other people than asked."""
    return a_lot(
        code,
        draw(st.sampled_from(items)),
        expires_on=draw(_near_days),
        received_on=draw(_near_days),
        categories=draw(st.sampled_from(((), ("free",), ("free", "paid")))),
    )


@st.composite
def shelves(draw: st.DrawFn, most: int = 8) -> Shelf:
    """Lots at places, each place and lot at most once."""
    known = [draw(lots(code)) for code in range(1, draw(st.integers(1, most)) + 1)]
    rows = []
    for lot in known:
        for place in draw(st.sets(st.sampled_from(PLACES), min_size=1)):
            rows.append(ShelfRow(place, lot, draw(st.integers(1, 12)), draw(st.integers(0, 999))))
    return Shelf(draw(st.permutations(rows)))


@st.composite
def wishes(draw: st.DrawFn) -> Wish:
    """A case of either category that draws from some of the places in some order."""
    places = draw(st.permutations(PLACES))[: draw(st.integers(1, len(PLACES)))]
    return Wish(
        DAY,
        places,
        category=draw(st.sampled_from(("free", "paid"))),
        least_days_left={"VISC": draw(st.integers(0, 3))},
    )
