"""A supplier's record as a pure function of order lines."""

from hypothesis import given
from hypothesis import strategies as st

from stockbook.domain.days import days_after
from stockbook.domain.supply_record import Delivered, OrderedLine, Share, lead_times, supply_record

DAY = "2027-02-01"


def line(*came: tuple[str, int], due: str = "2027-01-10", quantity: int = 10) -> OrderedLine:
    days = tuple(Delivered(day, units) for day, units in came)
    return OrderedLine("O-1", "GEL", "2027-01-01", due, quantity, 9, False, days)


def test_a_line_that_is_not_due_yet_is_no_failure() -> None:
    for due, judged in (("2027-01-31", 1), (DAY, 0), ("2027-02-02", 0)):
        assert len(supply_record([line(due=due)], DAY).judged) == judged


def test_what_came_on_the_due_day_came_in_time() -> None:
    for day, share in (("2027-01-09", 10_000), ("2027-01-10", 10_000), ("2027-01-11", 0)):
        record = supply_record([line((day, 10))], DAY)
        assert (record.fill, record.fill_in_time) == (10_000, share)


def test_what_came_beyond_the_order_is_no_merit() -> None:
    record = supply_record([line(("2027-01-05", 30)), line()], DAY)
    assert (record.fill, record.full) == (5_000, Share(1, 2))


def test_no_lines_have_no_record() -> None:
    record = supply_record([], DAY)
    assert (record.lines, record.fill, record.full, record.lead_times) == (0, 0, Share(0, 0), ())


days = st.lists(st.tuples(st.integers(0, 40), st.integers(1, 20)), max_size=5)


@given(st.lists(days, max_size=5))
def test_every_delivery_has_a_lead_time_and_shares_stay_within_their_whole(
    plans: list[list[tuple[int, int]]],
) -> None:
    rows = [line(*((days_after("2027-01-01", n), units) for n, units in plan)) for plan in plans]
    record = supply_record(rows, DAY)
    assert sorted(one.days for one in lead_times(rows)) == sorted(n for p in plans for n, _ in p)
    assert 0 <= record.fill_in_time <= record.fill <= 10_000
    assert record.full_in_time.part <= record.full.part <= record.full.whole
