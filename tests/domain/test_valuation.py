"""Methods of valuation: nothing is lost or made up, and each follows its own rule."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import values

from stockbook.domain.amounts import value_of_part
from stockbook.domain.cost_flows import AVERAGE, FIFO, LOT, ValuedLot, ValuedMove, gone_key
from stockbook.domain.valuation import (
    METHODS,
    MethodSums,
    Valuation,
    days_in_stock_thousandths,
    lower_of_cost_and_market,
    methods_typed,
    turnover_hundredths,
)
from stockbook.errors import InputError

DAYS = ("2027-01-31", "2027-02-01", "2027-02-28", "2027-03-01")
FEBRUARY = ("2027-02-01", "2027-02-28")
ENDS = ("used", "waste", "difference", "sent back")


@dataclass
class Ledger:
    """A small book by lot: moves go in as they would be recorded, with rule 4's values."""

    unit_cost: int | None = None
    """With one, every unit costs the same and nothing else is billed."""
    lots: dict[int, ValuedLot] = field(default_factory=dict)
    left: dict[int, tuple[int, int]] = field(default_factory=dict)
    gone: dict[tuple[int, str | None, str], tuple[int, int]] = field(default_factory=dict)
    moves: list[ValuedMove] = field(default_factory=list)

    def move(
        self, day: str, lot: int, amounts: tuple[int, int], way: tuple[str, str],
        case: str | None = None, *, reversal: bool = False,
    ) -> None:  # fmt: skip
        self.moves.append(ValuedMove(day, reversal, lot, *amounts, *way, case))
        for kind, sign in ((way[0], -1), (way[1], 1)):
            where = self.left if kind == "store" else self.gone
            key = lot if kind == "store" else (lot, case, kind)
            quantity, value = where.get(key, (0, 0))
            where[key] = quantity + sign * amounts[0], value + sign * amounts[1]

    def come(self, day: str, item: str, quantity: int, value: int, source: str) -> None:
        code = len(self.lots) + 1
        self.lots[code] = ValuedLot(item, f"class {item}", False, quantity)
        worth = value if self.unit_cost is None else quantity * self.unit_cost
        self.left[code] = (quantity, worth)
        self.moves.append(ValuedMove(day, False, code, quantity, worth, source, "store", None))

    def go(self, day: str, lot: int, quantity: int, end: str, case: str | None) -> None:
        there, value = self.left[lot]
        part = min(quantity, there)
        if part:
            self.move(day, lot, (part, value_of_part(value, there, part)), ("store", end), case)

    def back(self, day: str, lot: int, quantity: int, end: str, case: str | None) -> None:
        """Some of what went so returns, as a reversal or a correction would say it."""
        there, value = self.gone.get((lot, case, end), (0, 0))
        part = min(quantity, there)
        if part:
            amounts = (part, value_of_part(value, there, part))
            self.move(day, lot, amounts, (end, "store"), case, reversal=end == "difference")

    def bill(self, day: str, lot: int, value: int, case: str | None) -> None:
        """A later invoice follows the units; what is not on the shelf was used."""
        if self.unit_cost is None and value:
            target = "store" if self.left[lot][0] else "used"
            self.move(day, lot, (0, value), ("supplier", target), case)

    def write_down(self, day: str, lot: int, value: int) -> None:
        part = min(value, self.left[lot][1])
        if self.unit_cost is None and part:
            self.move(day, lot, (0, part), ("store", "difference"))

    def valued(self, period: tuple[str, str] = FEBRUARY) -> Valuation:
        moves = self.moves
        undone = {gone_key(m.lot, m.case, m.from_kind) for m in moves if m.to_kind == "store"}
        found = Valuation(METHODS, period, self.lots, undone)
        found.follow(moves)
        return found


_actions = st.tuples(
    st.sampled_from(("come", "go", "go", "go", "back", "back", "bill", "down")),
    st.sampled_from(DAYS), st.integers(0, 9), st.integers(1, 9), values,
    st.sampled_from(ENDS), st.sampled_from((None, "C1")), st.sampled_from(("VISC", "DYE")),
)  # fmt: skip
histories = st.lists(_actions, max_size=40)


def book_of(history: Sequence[tuple], unit_cost: int | None = None) -> Ledger:
    """The history as recorded; what names no lot yet is passed over."""
    book = Ledger(unit_cost)
    for what, day, which, quantity, value, end, case, item in history:
        lot = which % len(book.lots) + 1 if book.lots else 0
        if what == "come":
            source = {"used": "opening", "difference": "difference"}.get(end, "supplier")
            book.come(day, item, quantity, value, source)
        elif lot and what == "go":
            book.go(day, lot, quantity, end, case)
        elif lot and what == "back":
            book.back(day, lot, quantity, end, case)
        elif lot and what == "bill":
            book.bill(day, lot, value, case)
        elif lot:
            book.write_down(day, lot, value)
    return book


# Properties


@given(histories)
def test_what_was_there_and_came_is_what_went_and_what_still_lies_there(
    history: Sequence[tuple],
) -> None:
    """Opening + received - used + differences is the value of the layers, to the minor unit."""
    book = book_of(history)
    found = book.valued((DAYS[0], DAYS[-1]))
    total = found.total()
    assert total[LOT].closing == sum(value for _, value in book.left.values())
    for method in (FIFO, AVERAGE):
        layers = [flow for (_, name), flow in found.flows.items() if name == method]
        assert total[method].closing == sum(flow.value for flow in layers)
        for flow in layers:
            assert all(q > 0 and value >= 0 for q, value in flow.layers.values())
            assert list(flow.layers) == sorted(flow.layers)


@given(histories)
def test_every_method_has_the_units_of_the_ledger(history: Sequence[tuple]) -> None:
    book = book_of(history)
    for (item, _), flow in book.valued().flows.items():
        there = sum(q for lot, (q, _) in book.left.items() if book.lots[lot].item == item)
        assert sum(quantity for quantity, _ in flow.layers.values()) == there


@given(histories)
def test_what_was_received_is_the_same_by_every_method(history: Sequence[tuple]) -> None:
    total = book_of(history).valued().total()
    assert len({sums.received for sums in total.values()}) == 1


@given(histories, st.integers(0, 500))
def test_at_one_unit_cost_all_methods_agree(history: Sequence[tuple], unit_cost: int) -> None:
    for sums in book_of(history, unit_cost).valued().sums.values():
        assert sums[LOT] == sums[FIFO] == sums[AVERAGE]


@given(histories)
def test_by_lot_is_the_ledger_s_own_sum_of_each_side(history: Sequence[tuple]) -> None:
    book = book_of(history)
    within = [m for m in book.moves if FEBRUARY[0] <= m.booked_on <= FEBRUARY[1]]

    def into(*kinds: str) -> int:
        came = sum(m.value for m in within if m.to_kind in kinds)
        return came - sum(m.value for m in within if m.from_kind in kinds)

    found = book.valued().total()[LOT]
    assert found.used == into("used", "waste")
    assert found.received == -into("supplier", "opening", "sent back")
    assert found.differences == -into("difference")


@given(histories)
def test_one_period_s_closing_is_the_next_one_s_opening(history: Sequence[tuple]) -> None:
    """Whatever day later entries are booked on."""
    book = book_of(history)
    february, march = book.valued(), book.valued((DAYS[3], DAYS[3]))
    for method, sums in february.total().items():
        assert sums.closing == march.total()[method].opening


@given(histories)
def test_classes_sum_to_the_whole(history: Sequence[tuple]) -> None:
    found = book_of(history).valued()
    for method, total in found.total().items():
        parts = [sums[method] for sums in found.sums.values()]
        assert sum(part.used for part in parts) == total.used
        assert sum(part.closing for part in parts) == total.closing


# Each rule by itself: 4 units for 100, then 4 for 300

DAY = "2027-02-10"


@pytest.fixture
def two() -> Ledger:
    book = Ledger()
    book.come(DAY, "VISC", 4, 100, "supplier")
    book.come(DAY, "VISC", 4, 300, "supplier")
    return book


def used(book: Ledger) -> tuple[int, ...]:
    return tuple(sums.used for sums in book.valued().total().values())


def test_the_newer_lot_used_costs_the_older_one_by_fifo(two: Ledger) -> None:
    two.go(DAY, 2, 2, "used", "C1")
    assert used(two) == (150, 50, 100)


def test_fifo_passes_on_to_the_next_layer(two: Ledger) -> None:
    two.go(DAY, 2, 3, "used", "C1")
    two.go(DAY, 1, 2, "waste", "C1")
    assert used(two) == (275, 175, 250)


@pytest.mark.parametrize(
    ("back", "left"), [(1, (75, 25, 50)), (2, (0, 0, 0)), (3, (0, 0, 0))]
)  # fmt: skip
def test_a_return_undoes_what_it_returns(two: Ledger, back: int, left: tuple[int, ...]) -> None:
    two.go(DAY, 2, 2, "used", "C1")
    two.back(DAY, 2, back, "used", "C1")
    assert used(two) == left


def test_a_return_goes_into_the_layer_it_came_from_after_that_was_used_up(two: Ledger) -> None:
    two.go(DAY, 1, 4, "used", "C1")
    two.back(DAY, 1, 2, "used", "C1")
    flow = two.valued().flows["VISC", FIFO]
    assert flow.layers == {1: [2, 50], 2: [4, 300]}


@pytest.mark.parametrize(
    ("gone", "stays"), [(0, 40), (1, 30), (3, 10), (4, 0)]
)  # fmt: skip
def test_a_late_bill_rests_on_what_is_left_of_its_lot_and_the_rest_is_cost(
    gone: int, stays: int
) -> None:
    book = Ledger()
    book.come(DAY, "VISC", 4, 100, "supplier")
    if gone:
        book.go(DAY, 1, gone, "used", "C1")
    before = used(book)
    book.bill(DAY, 1, 40, None)
    assert used(book)[1:] == tuple(value + 40 - stays for value in before[1:])
    assert book.valued().total()[FIFO].closing == 25 * (4 - gone) + stays


def test_a_bill_taken_back_leaves_no_trace(two: Ledger) -> None:
    plain = two.valued().total()
    two.move(DAY, 1, (0, 40), ("supplier", "store"))
    two.move(DAY, 1, (0, 40), ("store", "supplier"), reversal=True)
    assert two.valued().total() == plain


def test_a_delivery_taken_back_leaves_its_own_layer(two: Ledger) -> None:
    two.move(DAY, 2, (4, 300), ("store", "supplier"), reversal=True)
    total = two.valued().total()
    assert total[FIFO] == total[LOT] == MethodSums(0, 100, 0, 0)


def test_consigned_units_are_no_layer_and_cost_their_charge(two: Ledger) -> None:
    two.lots[3] = ValuedLot("VISC", "class VISC", True, 5)
    two.move(DAY, 3, (5, 0), ("supplier", "store"))
    two.move(DAY, 3, (2, 0), ("store", "used"), "C1")
    two.move(DAY, 3, (0, 70), ("supplier", "used"), "C1")
    found = two.valued()
    assert {method: (s.used, s.closing) for method, s in found.total().items()} == dict.fromkeys(
        METHODS, (70, 400)
    )
    assert found.flows["VISC", FIFO].layers == {1: [4, 100], 2: [4, 300]}


def test_a_write_down_takes_no_more_than_the_layer_has() -> None:
    book = Ledger()
    book.come(DAY, "VISC", 4, 100, "supplier")
    book.come(DAY, "VISC", 4, 100, "supplier")
    book.go(DAY, 2, 3, "used", "C1")
    book.write_down(DAY, 1, 60)
    total = book.valued().total()
    assert total[LOT].differences == -60
    assert total[FIFO].differences == -25
    assert total[FIFO].closing == 100


@pytest.mark.parametrize("method", [FIFO, AVERAGE])
def test_what_goes_back_after_others_were_used_costs_the_gap_at_once(
    two: Ledger, method: str
) -> None:
    """The four at 100 are used by lot 2; sending lot 1 back leaves four at 300."""
    two.go(DAY, 2, 4, "used", "C1")
    two.move(DAY, 1, (4, 100), ("store", "sent back"))
    sums = two.valued().total()[method]
    assert (sums.received, sums.used, sums.closing) == (300, 300, 0)


def test_items_never_share_layers() -> None:
    book = Ledger()
    book.come(DAY, "VISC", 1, 100, "supplier")
    book.come(DAY, "DYE", 1, 7, "supplier")
    book.go(DAY, 2, 1, "used", "C1")
    assert used(book) == (7, 7, 7)


@pytest.mark.parametrize(
    ("day", "figures"),
    [
        ("2027-01-31", (100, 0)),
        ("2027-02-01", (0, 100)),
        ("2027-02-28", (0, 100)),
        ("2027-03-01", (0, 0)),
    ],
)
def test_the_day_booked_says_which_period(day: str, figures: tuple[int, int]) -> None:
    book = Ledger()
    book.come(day, "VISC", 1, 100, "supplier")
    for sums in book.valued().total().values():
        assert (sums.opening, sums.received) == figures


# What is typed


@pytest.mark.parametrize(
    ("typed", "asked"),
    [
        (["fifo"], (LOT, FIFO)),
        (["average", "FIFO", "fifo"], (LOT, FIFO, AVERAGE)),
        (["lot"], (LOT,)),
    ],
)
def test_by_lot_stands_beside_whatever_is_asked(typed: list[str], asked: tuple[str, ...]) -> None:
    assert methods_typed(typed) == asked


@pytest.mark.parametrize(("typed", "words"), [("lifo", "IAS 2"), ("fefo", "lot, fifo or average")])
def test_other_methods_are_refused(typed: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        methods_typed([typed])


# Figures beside the methods


@pytest.mark.parametrize(("used", "opening", "rate"), [(0, 1, 0), (1, 1, 200), (0, 0, None)])
def test_turnover_of_nothing_is_none(used: int, opening: int, rate: int | None) -> None:
    assert turnover_hundredths(used, opening, 0) == rate


@pytest.mark.parametrize(("used", "days"), [(0, None), (-1, None), (10, 30000)])
def test_days_in_stock_without_use_are_none(used: int, days: int | None) -> None:
    assert days_in_stock_thousandths(30, used, 10, 10) == days


@given(st.lists(st.tuples(values, values)))
def test_lower_of_cost_and_market_is_never_above_either(lines: list[tuple[int, int]]) -> None:
    found = lower_of_cost_and_market(lines)
    assert found <= min(sum(cost for cost, _ in lines), sum(market for _, market in lines))
