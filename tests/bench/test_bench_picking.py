"""Picking from 2,000 lots beside a bare sort of the same rows."""

import contextlib
from collections.abc import Callable, Iterator
from datetime import date, timedelta

import pytest
from desk import TODAY
from measure import Pair, by_turns

from stockbook.domain.facts import Lot, Quarantine
from stockbook.domain.picking import Draw, Shelf, ShelfRow, Wish, pick, why_not_usable

LOTS = 2000
ROUNDS = 15
PLACES = ("OT1", "STORE")
STOPS = tuple(Quarantine(f"Q{n}", "recall", TODAY, item="VISC", number=f"N{n}") for n in range(3))
WISH = Wish(TODAY, PLACES, "paid", least_days_left={"VISC": 30}, quarantines=STOPS)


def rows() -> list[ShelfRow]:
    """Lots in no order: two places, expiries over six years, some of them past."""
    first = date.fromisoformat("2026-09-01")
    return [
        ShelfRow(
            PLACES[n % 5 > 0],
            Lot(
                n + 1, "VISC", f"N{n}", None, (first + timedelta(days=n * 977 % 2190)).isoformat(),
                "day", f"2026-{1 + n * 7 % 12:02d}-15", None, "bought", 10,
            ),
            10,
            1000 + n,
        )
        for n in range(LOTS)
    ]  # fmt: skip


def sorted_rows(usable: list[ShelfRow]) -> list[ShelfRow]:
    """The order of picking, as bare as it can be."""
    return sorted(
        usable,
        key=lambda r: (
            PLACES.index(r.place),
            r.lot.expires_on,
            r.lot.received_on,
            r.lot.code,
        ),
    )


@pytest.mark.bench
@pytest.mark.parametrize("share", [0, 1], ids=["one-unit", "everything"])
def test_picking_beside_a_bare_sort(pairs: list[Pair], share: int) -> None:
    lots = rows()
    usable = [r for r in lots if why_not_usable(r.lot, r.place, WISH) is None]
    assert 0 < len(usable) < LOTS
    quantity = sum(r.quantity for r in usable) if share else 1
    drawn: list[Draw] = []
    order: list[ShelfRow] = []

    @contextlib.contextmanager
    def plain() -> Iterator[Callable[[], object]]:
        order.clear()
        yield lambda: order.extend(sorted_rows(usable))

    @contextlib.contextmanager
    def ours() -> Iterator[Callable[[], object]]:
        shelf = Shelf(lots)
        drawn.clear()
        yield lambda: drawn.extend(pick(shelf, "VISC", quantity, WISH).draws)

    times = by_turns(plain, ours, ROUNDS)
    assert sum(d.quantity for d in drawn) == quantity
    assert [d.lot.code for d in drawn] == [r.lot.code for r in order[: len(drawn)]]
    words = f"pick {quantity:,} of {LOTS:,} lots; plain: sort {len(usable):,} usable rows"
    pairs.append(Pair(words, *times))
