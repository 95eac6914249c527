"""A case beside its standard: price, usage and mix, which sum to the difference exactly."""

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from stockbook.domain.kits import Need
from stockbook.domain.variance import (
    NOTHING,
    Amounts,
    CaseVariance,
    PeriodVariance,
    Split,
    UnitPrice,
    grouped_variances,
    split_case,
    split_of,
    standard_of,
    summed,
    worth,
)

ITEMS = ("A", "B", "C", "D", "LENS-1", "LENS-2")
PRICES = {
    "A": UnitPrice(100, 1), "B": UnitPrice(70, 3), "C": UnitPrice(1000, 10),
    "LENS-1": UnitPrice(5000, 1), "LENS-2": UnitPrice(6000, 1),
}  # fmt: skip


def is_lens(item: str) -> bool:
    return item.startswith("LENS")


def split(needs: list[Need], used: dict[str, Amounts], lens: str = "") -> Split:
    return summed(
        s for *_, s in split_case(standard_of(needs, lens, PRICES), used, is_lens, PRICES)
    )


items = st.sampled_from(ITEMS)
needs = st.lists(
    st.builds(
        Need, st.lists(items, min_size=1, max_size=3, unique=True).map(tuple),
        st.integers(1, 50), st.booleans(),
    ),
    max_size=6,
)  # fmt: skip
used = st.dictionaries(
    items, st.builds(Amounts, st.integers(-5, 100), st.integers(-100, 10**7)), max_size=6
)
prices = st.dictionaries(
    items, st.builds(UnitPrice, st.integers(0, 10**7), st.integers(1, 1000)), max_size=6
)
lenses = st.sampled_from(["", "LENS-1", "LENS-2"])


@given(needs, used, prices, lenses)
def test_the_three_sum_to_the_difference_to_the_minor_unit(
    wanted: list[Need], took: dict[str, Amounts], at: dict[str, UnitPrice], lens: str
) -> None:
    standard = standard_of(wanted, lens, at)
    parts = split_case(standard, took, is_lens, at)
    whole = summed(one for *_, one in parts)
    assert whole.all == sum(one.value for one in took.values()) - standard.cost
    told = [item for _, mine, _ in parts for item in mine]
    assert sorted(told) == sorted(took)
    assert split_of(standard, took, is_lens, at) == whole


@given(needs, prices, lenses)
def test_a_case_that_took_its_kit_at_standard_price_has_no_difference(
    wanted: list[Need], at: dict[str, UnitPrice], lens: str
) -> None:
    standard = standard_of(wanted, lens, at)
    took = {
        item: Amounts(steps, worth(item, steps, at))
        for line in standard.lines for item, steps in line.quantities
    }  # fmt: skip
    # A lens besides the planned one in another line is an exchange; only kits without it here.
    if sum(is_lens(item) for item in took) <= 1:
        found = summed(one for *_, one in split_case(standard, took, is_lens, at))
        assert split_of(standard, took, is_lens, at) == found
        assert found.price == 0
        assert found.all == found.usage + found.mix == 0
        assert abs(found.mix) <= len(took)  # the rounding of several prices at once


def test_dearer_is_price_more_is_usage_another_is_mix() -> None:
    wanted = [Need(("A", "B"), 2), Need(("C",), 5)]
    kit = {"A": Amounts(2, 200), "C": Amounts(5, 500)}
    assert split(wanted, kit) == Split(0, 0, 0)
    assert split(wanted, {**kit, "A": Amounts(2, 230)}) == Split(price=30)
    assert split(wanted, {**kit, "C": Amounts(7, 700)}) == Split(usage=200)
    assert split(wanted, {"A": kit["A"]}) == Split(usage=-500)
    other = {"B": Amounts(2, 47), "C": Amounts(5, 500)}
    assert split(wanted, other) == Split(mix=47 - 200)


def test_what_no_line_asks_for_is_usage_at_standard_price() -> None:
    wanted = [Need(("A",), 1)]
    took = {"A": Amounts(1, 100), "C": Amounts(2, 260), "D": Amounts(3, 90)}
    assert split(wanted, took) == Split(price=60 + 90, usage=200)
    parts = split_case(standard_of(wanted, "", PRICES), took, is_lens, PRICES)
    assert [line is NOTHING for line, *_ in parts] == [False, True, True]


def test_another_lens_than_planned_is_mix_and_a_second_one_usage() -> None:
    wanted = [Need(("LENS-1",), 1)]
    assert split(wanted, {"LENS-2": Amounts(1, 6000)}, "LENS-1") == Split(mix=1000)
    both = {"LENS-1": Amounts(1, 5000), "LENS-2": Amounts(1, 6000)}
    assert split(wanted, both, "LENS-1") == Split(usage=5000, mix=1000)


def test_what_only_has_to_be_in_the_room_costs_nothing() -> None:
    assert standard_of([Need(("A",), 1, standby=True)], "", PRICES).lines == ()


def test_needs_that_share_an_item_are_one_line() -> None:
    standard = standard_of(
        [Need(("A",), 1), Need(("C",), 1), Need(("A", "B"), 2), Need(("B", "C"), 1)], "", PRICES
    )
    (line,) = standard.lines
    assert line.items == {"A", "B", "C"}
    assert dict(line.quantities) == {"A": 3, "B": 1, "C": 1}


def test_mixed_standards_keep_their_proportions() -> None:
    """The textbook's rule in fractions, beside which ours is rounded once."""
    wanted = [Need(("A", "B"), 2), Need(("B",), 1)]
    took = {"A": Amounts(1, 90), "B": Amounts(4, 100)}
    found = split(wanted, took)
    average = (2 * Fraction(100) + Fraction(70, 3)) / 3
    assert abs(found.usage - (5 - 3) * average) <= 1
    assert abs(found.mix - (100 + 4 * Fraction(70, 3) - 5 * average)) <= 1


def variance(case: str, difference: int, group: str = "g") -> CaseVariance:
    return CaseVariance(case, group, "P", "paid", 1000, 1000 + difference, Split(difference), 0)


def period(cases: list[CaseVariance]) -> PeriodVariance:
    days = ("2027-03-01", "2027-03-31")
    return PeriodVariance("category", *days, *grouped_variances(cases), tuple(cases), (), (), 1, "")


@given(st.lists(st.integers(-1000, 1000), max_size=40))
def test_the_furthest_lie_no_nearer_than_any_other(differences: list[int]) -> None:
    cases = [variance(f"C{n:03d}", one) for n, one in enumerate(differences)]
    far = period(cases).furthest
    assert len(far) == min(10, sum(one != 0 for one in differences))
    rest = [abs(one.difference) for one in cases if one not in far]
    assert all(abs(one.difference) >= max(rest, default=0) for one in far)
    keys = [(-abs(one.difference), one.case) for one in far]
    assert keys == sorted(keys)


@given(st.lists(st.tuples(st.sampled_from("ab"), st.integers(-1000, 1000)), max_size=20))
def test_groups_sum_to_all_cases_and_stand_by_name(made: list[tuple[str, int]]) -> None:
    cases = [variance(f"C{n:03d}", one, group) for n, (group, one) in enumerate(made)]
    groups, everything = grouped_variances(cases)
    assert [one.name for one in groups] == sorted({group for group, _ in made})
    assert summed(one.split for one in groups) == everything.split
    assert everything.split.all == everything.difference
    assert sum(one.cases for one in groups) == everything.cases == len(made)
    assert (everything.mean is None) is (not made)
