"""What is shared sums to what there was, by activity and step by step."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockbook.domain.allocation import Pool, Service, by_activity, step_down
from stockbook.errors import InputError

COSTS = st.integers(0, 10**12)
DRIVERS = st.lists(st.integers(0, 10**6), min_size=3, max_size=3).filter(any)


@given(st.lists(st.tuples(COSTS, DRIVERS), min_size=1, max_size=6))
def test_what_all_things_take_is_what_all_pools_cost(pools: list[tuple[int, list[int]]]) -> None:
    made = [Pool(str(n), cost, tuple(drivers)) for n, (cost, drivers) in enumerate(pools)]
    assert sum(by_activity(made)) == sum(pool.cost for pool in made)


@given(
    st.lists(COSTS, min_size=1, max_size=4), st.lists(COSTS, min_size=1, max_size=4), st.randoms()
)
def test_the_served_bear_all_costs_and_no_service_keeps_any(
    costs: list[int], own: list[int], random: st.DataObject
) -> None:
    served = {f"D{n}": cost for n, cost in enumerate(own)}
    names = [f"S{n}" for n in range(len(costs))]
    services = [
        Service(name, cost, {x: random.randint(0, 9) + (x in served) for x in [*names, *served]})
        for name, cost in zip(names, costs, strict=True)
    ]  # fmt: skip
    found = step_down(services, served)
    assert sum(found.total.values()) == sum(costs) + sum(own)
    assert set(found.total) == set(served)
    for place, step in enumerate(found.steps):
        assert sum(step.shares.values()) == step.amount
        assert not set(step.shares) & set(names[: place + 1])


def test_a_pool_that_nothing_took_is_refused() -> None:
    with pytest.raises(InputError, match=r"setups: found \[0, 0\]"):
        by_activity([Pool("setups", 5, (0, 0))])


def test_a_service_that_serves_an_unknown_department_is_refused() -> None:
    with pytest.raises(InputError, match="admin: serves LAUNDRY"):
        step_down([Service("admin", 5, {"LAUNDRY": 1})], {"OT": 0})
