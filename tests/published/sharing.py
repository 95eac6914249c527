"""Checks of costs that are shared out, and of volumes that bear them."""

from fractions import Fraction
from math import ceil
from pathlib import Path

from published.one_item import MINOR
from published.tables import Figures
from stockbook.domain.allocation import Pool, Service, by_activity, step_down
from stockbook.domain.break_even import Earner, break_even, carried_by_one
from stockbook.domain.what_if import CaseKind, Scenario, borne, break_even_cases

OTHER_BASIS = "the method by which the source shows what activity-based costing mends"


def minor(amount: object) -> int:
    """A published amount in cents."""
    return int(Fraction(str(amount)) * MINOR)


def activity_based(figures: Figures, _: Path) -> None:
    """Rates of the pools, what each product takes, and one unit with material and labour."""
    pools, units, material, labour = figures.given("pools", "units", "material", "labour")
    made = [Pool(n, minor(p["cost"]), tuple(p["drivers"])) for n, p in pools.items()]
    taken = by_activity(made)
    assert sum(taken) == sum(pool.cost for pool in made)
    figures.equal("rates", [pool.rate / MINOR for pool in made])
    figures.equal("overhead", [Fraction(amount, MINOR) for amount in taken])
    each = [Fraction(amount, MINOR * n) for amount, n in zip(taken, units, strict=True)]
    figures.equal("overhead_per_unit", each)
    whole = zip(each, material, labour, strict=True)
    figures.equal("cost_per_unit", [a + Fraction(m) + Fraction(b) for a, m, b in whole])
    figures.leave_out("traditional_cost_per_unit", OTHER_BASIS)


def stepping_down(figures: Figures, _: Path) -> None:
    """Administration first, then the building, at last those who sell."""
    order, cost, hours, area = figures.given("order", "cost", "hours", "area")
    drivers = dict(zip(order, (hours, area), strict=True))
    services = [Service(name, minor(cost[name]), drivers[name]) for name in order]
    served = {name: minor(value) for name, value in cost.items() if name not in order}
    found = step_down(services, served)
    admin, building = found.steps
    figures.equal("admin_rate", Fraction(admin.amount, MINOR * sum(hours.values())))
    figures.equal("building_after", Fraction(building.amount, MINOR))
    figures.equal("building_rate", Fraction(building.amount, MINOR * sum(area.values())))
    for name, amount in found.total.items():
        figures.equal(name, Fraction(amount, MINOR))
    figures.equal("total", Fraction(sum(found.total.values()), MINOR))


def scenario(fixed: object, **each: tuple[int, object, object]) -> Scenario:
    """What the command reckons with: by name so many cases, what one brings and what it costs."""
    kinds = [
        CaseKind(name, cases, Fraction(cases), Fraction(minor(price)), Fraction(minor(variable)))
        for name, (cases, price, variable) in each.items()
    ]
    return Scenario(tuple(kinds), Fraction(minor(fixed)))


def one_product(figures: Figures, _: Path) -> None:
    """The volume and what it brings."""
    price, variable, fixed = figures.given("price", "variable_cost", "fixed_cost")
    found = break_even(minor(fixed), [Earner("one", 1, minor(price), minor(variable))])
    assert found is not None
    figures.equal("units", found.composite_units)
    figures.equal("revenue", found.composite_units * price)
    assert break_even_cases(scenario(fixed, one=(1, price, variable))) == found.whole_units


def changed_inputs(figures: Figures, _: Path) -> None:
    """Each row of the table by itself."""
    rows, columns = figures.given("rows", "columns")
    assert columns == ["price", "variable_cost", "fixed_cost"]
    found = [
        break_even(minor(fixed), [Earner("one", 1, minor(price), minor(variable))])
        for price, variable, fixed in rows
    ]
    figures.equal("units", [one.composite_units if one else None for one in found])
    figures.equal("units", [
        break_even_cases(scenario(fixed, one=(1, price, variable)))
        for price, variable, fixed in rows
    ])  # fmt: skip


def product_mix(figures: Figures, _: Path) -> None:
    """Several products sold in a fixed proportion."""
    mix, price, variable, fixed = figures.given("mix", "price", "variable_cost", "fixed_cost")
    earners = [
        Earner(str(n), weight, minor(p), minor(v))
        for n, (weight, p, v) in enumerate(zip(mix, price, variable, strict=True))
    ]
    found = break_even(minor(fixed), earners)
    assert found is not None
    figures.equal("cm_composite", found.contribution / MINOR)
    figures.equal("composite_units", found.composite_units)
    figures.equal("ceil", found.whole_units)
    figures.equal("units", list(found.cases))
    figures.equal("total_units", sum(found.cases))


def paid_for_free(figures: Figures, _: Path) -> None:
    """Paid cases bear the free ones and the fixed cost."""
    mix, price, variable, fixed = figures.given("mix", "price", "variable_cost", "fixed_cost")
    paid, free = (
        Earner(name, mix[name], minor(price[name]), minor(variable[name]))
        for name in ("paid", "free")
    )
    found = break_even(minor(fixed), [paid, free])
    assert found is not None
    figures.equal("cm_composite", found.contribution / MINOR)
    figures.equal("composite_units", found.composite_units)
    figures.equal("paid_cases_ceil", found.whole_units * paid.weight)
    figures.equal("free_cases", found.whole_units * free.weight)
    figures.equal("max_free_per_paid_at_zero_fixed", carried_by_one(paid, free))
    asked = scenario(fixed, **{n: (mix[n], price[n], variable[n]) for n in ("paid", "free")})
    figures.equal("max_free_per_paid_at_zero_fixed", borne(asked, "free").carried)
    assert break_even_cases(asked) == ceil(sum(found.cases))
