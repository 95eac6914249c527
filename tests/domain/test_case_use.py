"""What cases took, changed: value goes with quantity, and asking for what is changes nothing."""

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from stockbook.domain.case_use import CategoryUse, ItemUse, bought, less, made, together

AMOUNTS = st.integers(0, 10**6)
USES = st.builds(ItemUse, AMOUNTS, AMOUNTS, AMOUNTS, AMOUNTS)
PRICES = st.fractions(0, 10**4)


@given(USES, PRICES)
def test_the_quantity_that_was_taken_costs_what_it_cost(use: ItemUse, price: Fraction) -> None:
    if use.quantity:
        assert made(use, use.quantity, price) == use
    assert made(use, 0, price).cost == 0


@given(USES, st.integers(0, 10**6), PRICES)
def test_less_costs_its_part_and_more_costs_the_price_besides(
    use: ItemUse, quantity: int, price: Fraction
) -> None:
    found = made(use, quantity, price)
    assert found.quantity == quantity
    if quantity > use.quantity:
        assert found.cost == use.cost + (quantity - use.quantity) * price
    elif use.quantity:
        assert found.cost == Fraction(use.cost * quantity, use.quantity)


@given(USES, st.integers(0, 10**7))
def test_no_more_is_left_out_than_was_taken(use: ItemUse, quantity: int) -> None:
    left = less(use, quantity)
    assert 0 <= left.quantity <= use.quantity
    assert 0 <= left.cost <= use.cost
    if use.quantity:
        assert left.quantity == max(0, use.quantity - quantity)


@given(USES, PRICES)
def test_another_price_leaves_what_was_given_as_it_is(use: ItemUse, price: Fraction) -> None:
    found = use.at(price)
    assert (found.given, found.given_value) == (use.given, use.given_value)
    assert found.value == use.bought * price


@given(st.lists(st.dictionaries(st.sampled_from("ABC"), USES, max_size=3), max_size=6))
def test_all_together_cost_what_each_costs(many: list[dict[str, ItemUse]]) -> None:
    whole = CategoryUse("free", len(many), together(many))
    assert whole.cost == sum(use.cost for uses in many for use in uses.values())
    assert whole.of("ABC").quantity == sum(u.quantity for uses in many for u in uses.values())
    assert whole.of("Z") == ItemUse()


def test_what_is_bought_bears_its_price() -> None:
    assert bought(3, Fraction(5, 2)).cost == Fraction(15, 2)
