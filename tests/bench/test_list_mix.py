"""LIST-MIX in its quick form: the world is as described, and the stock of a run adds up."""

from collections.abc import Sequence
from fractions import Fraction

import numpy as np
import pytest
from list_mix import demand, scoring, told
from list_mix.demand import SCENARIOS, WEEKS, World, made_world
from list_mix.estimated import Estimated, Sight, learn
from list_mix.handbooks import MinMax, OrderUpTo, handbook_family
from list_mix.run import Theatre, simulated
from list_mix.site import EVENTS, MIX, SUPPLIERS, Ints, made_site, power_shares
from list_mix.view import UNKNOWN, View

from stockbook.domain import handbook

SEEDS = (1, 2)


@pytest.fixture(scope="module")
def worlds() -> list[World]:
    return [made_world(made_site(), "camps", seed) for seed in SEEDS]


class Watching:
    """A policy that keeps the views it was shown and orders as another does."""

    def __init__(self, other: OrderUpTo | MinMax) -> None:
        self.other = other
        self.views: list[View] = []

    def orders(self, view: View) -> Ints:
        self.views.append(view)
        return self.other.orders(view)


def near(share: float, wanted: float, number: int) -> bool:
    """Within four standard errors."""
    return bool(abs(share - wanted) <= 4 * (wanted * (1 - wanted) / number) ** 0.5)


def over(worlds: Sequence[World], name: str) -> Ints:
    return np.concatenate([getattr(world.cases, name) for world in worlds])


def test_shares_are_what_they_should_be(worlds: list[World]) -> None:
    category, camp = over(worlds, "category"), over(worlds, "camp")
    procedure, events = over(worlds, "procedure"), over(worlds, "events")
    for place in (0, 1):
        rows = category == place
        number = int(rows.sum())
        assert all(near((procedure[rows] == p).mean(), MIX[place, p], number) for p in range(3))
        for event in range(len(EVENTS)):
            assert near(events[rows, event].mean(), demand.CHANCES[place, event], number)
    happens = over(worlds, "happens")
    assert near(happens.mean(), 0.94, len(happens))
    ahead = over(worlds, "week") - over(worlds, "seen_week")
    for weeks, chance in zip(demand.SEEN_AHEAD, demand.SEEN_CHANCES, strict=True):
        assert near((ahead == weeks).mean(), chance, len(ahead))
    assert (category[camp == 1] == 1).all()


def test_powers_have_the_published_shape(worlds: list[World]) -> None:
    shares = power_shares()
    assert shares.sum() == pytest.approx(1)
    assert shares[22] == pytest.approx(0.06648743081, rel=1e-9)
    power = over(worlds, "power")
    assert all(near((power == p).mean(), share, len(power)) for p, share in enumerate(shares))


@pytest.mark.parametrize("scenario", SCENARIOS)
def test_sixty_cases_are_operated_a_week(scenario: str) -> None:
    """Two or three streams of a varying volume; the calendar's own chance comes on top."""
    worlds = [made_world(made_site(), scenario, seed) for seed in range(4)]
    counts, paid = [], []
    for world in worlds:
        done = world.cases.happens == 1
        planned = 42 * world.calendar.open_share + world.calendar.free * world.calendar.open_share
        expected = (planned + world.calendar.camp)[:WEEKS]
        counts.append(np.bincount(world.cases.week[done], minlength=WEEKS) - expected)
        paid.append(np.bincount(world.cases.week[done & (world.cases.category == 0)]) / 42)
    error = np.concatenate(counts)
    assert abs(error.mean()) <= 4 * error.std() / len(error) ** 0.5
    if scenario == "flat":
        spread = np.concatenate(paid).var()
        assert spread == pytest.approx(1 / 42 + 0.12**2, rel=0.25)


def test_camps_and_closures_fall_as_described() -> None:
    camps = made_world(made_site(), "camps", 1).calendar
    assert set(camps.camp[:WEEKS]) == {0.0, 24.0}
    assert camps.camp[:WEEKS].sum() == 24 * WEEKS / 4
    uneven = made_world(made_site(), "uneven", 1).calendar
    assert set(uneven.camp) <= {0.0, 12.0, 24.0, 36.0, 48.0}
    assert (uneven.open_share < 1).sum() == 6
    assert (uneven.camp[uneven.open_share < 1] == 0).all()


def test_lead_times_keep_their_limits_and_cross(worlds: list[World]) -> None:
    days = np.concatenate([world.lead_days for world in worlds])
    assert days.shape[1] == SUPPLIERS
    assert days.min() >= 3
    assert days.max() <= 35
    assert abs(days.mean() - 14.1) < 4 * 5 / days.size**0.5 + 0.1
    assert (np.diff(days, axis=0) < -7).any(), "no order overtakes the one before"


def test_every_policy_meets_the_same_cases(worlds: list[World]) -> None:
    again = made_world(made_site(), "camps", SEEDS[0])
    for name in ("day", "power", "need", "seen_week"):
        assert (getattr(again.cases, name) == getattr(worlds[0].cases, name)).all()
    assert (again.lead_days == worlds[0].lead_days).all()
    few, many = (Watching(OrderUpTo(Fraction(months))) for months in (1, 3))
    outcomes = [simulated(worlds[0], policy) for policy in (few, many)]
    assert all(
        (a.scheduled.power == b.scheduled.power).all()
        and (a.wanted_by_week == b.wanted_by_week).all()
        and (a.past.need == b.past.need).all()
        for a, b in zip(few.views, many.views, strict=True)
    )
    wanted = [outcome.used + outcome.unmet for outcome in outcomes]
    assert (wanted[0] == wanted[1]).all()


def test_what_came_less_what_went_is_there(worlds: list[World]) -> None:
    for months in ("0.75", "3"):
        outcome = simulated(worlds[0], OrderUpTo(Fraction(months)))
        on_hand = outcome.received - outcome.used - outcome.expired
        assert (on_hand == outcome.on_hand).all()
        assert (on_hand >= 0).all()
        assert (outcome.unmet >= 0).all()
    assert outcome.expired.sum() > 0, "three months of the shortest shelf life never expire"


def test_a_view_shows_nothing_that_is_not_known_yet(worlds: list[World]) -> None:
    world, watching = worlds[0], Watching(OrderUpTo(Fraction(2)))
    simulated(world, watching)
    for view in watching.views[10::29]:
        assert (view.past.day < view.today).all()
        assert (view.scheduled.day >= view.today).all()
        assert len(view.wanted_by_week) == view.week
        assert (view.receipts.received_day <= view.today).all()
        late = view.scheduled.camp == 1
        assert (view.scheduled.power[late & (view.scheduled.day > view.today + 1)] == UNKNOWN).all()
        own_week = (view.scheduled.week == view.week) & ~late
        assert (view.scheduled.power[own_week] != UNKNOWN).all()
        assert len(view.camp) == view.week + 7
        lots = view.lots()
        assert (np.bincount(lots.item, lots.quantity, len(view.on_hand)) == view.on_hand).all()
        assert (lots.last_day >= view.today).all()
        open_units = sum((units for _, units in view.open_orders), np.zeros_like(view.on_order))
        assert (open_units == view.on_order).all()


def test_a_case_is_short_after_the_last_unit() -> None:
    world = made_world(made_site(), "flat", 1)
    theatre = Theatre(world)
    theatre.open_morning(0)
    rows = np.flatnonzero(world.cases.day == 0)
    gloves = world.site.names.index("gloves")
    need = world.cases.need[rows, gloves]
    theatre._mark_short(0, gloves, int(need[:4].sum()))
    served = np.flatnonzero(need.cumsum() <= need[:4].sum())
    assert not theatre.short_of_consumable[rows[served]].any()
    unserved = np.flatnonzero((need.cumsum() > need[:4].sum()) & (need > 0))
    assert theatre.short_of_consumable[rows[unserved]].all()


def test_the_rules_are_those_of_the_domain(worlds: list[World]) -> None:
    months, top = Fraction("1.25"), Fraction("1.75")
    watching = Watching(MinMax(months, top))
    simulated(worlds[0], watching)
    view = watching.views[70]
    orders = watching.other.orders(view)
    upto = OrderUpTo(top).orders(view)
    rule = handbook.MaxMin(review_months=top - months, lead_months=months, safety_months=0)
    window = view.wanted_by_week[-26:]
    for item in range(len(view.on_hand)):
        use = handbook.adjusted_monthly_use(
            int(window[:, item].sum()), Fraction(7 * 26) / handbook.DAYS_A_MONTH, 0
        )
        assert use is not None
        position = int(view.position[item])
        assert orders[item] == handbook.order_at_minimum(use, rule, position)
        assert upto[item] == handbook.forced_order(use, rule, position)


def test_a_handbook_rule_reaches_the_service_at_some_stock(worlds: list[World]) -> None:
    rule = [lambda _, p=p: p for p in handbook_family()["up to, 26 weeks averaged"]]
    found = scoring.frontier(worlds, rule)
    needed = found.needed()
    assert 0 < needed.consumables < 40_000
    assert 0 < needed.lenses < 40_000
    assert (np.diff(found.short_consumables.mean(axis=0)) <= 0.002).all()
    assert (np.diff(found.value_consumables.mean(axis=0)) > 0).all()
    itself = scoring.score(found, {"itself": found})
    assert (itself.ratio, itself.low, itself.high) == (1.0, 1.0, 1.0)


def test_the_forecast_needs_less_stock_than_every_handbook_rule() -> None:
    """The quick form: one world, and only that it beats them; the bench prints by how much."""
    world = made_world(made_site(), "uneven", 1)
    rules = {
        name: scoring.frontier([world], [lambda _, p=policy: p for policy in rule])
        for name, rule in handbook_family().items()
    }
    sight = Sight(world, (0.1, 0.02, 0.006, 0.003), (0.2, 0.06, 0.02, 0.01))
    ours = scoring.frontier([world], [lambda _, k=k: Estimated(sight, k) for k in range(4)])
    assert ours.needed().together < 0.8 * scoring.best_of(rules).value


def test_a_forecast_learns_what_is_so_whatever_it_believed(worlds: list[World]) -> None:
    """After two years the notice, what does not happen and the shares are near the truth."""
    world, watching = worlds[0], Watching(OrderUpTo(Fraction(2)))
    simulated(world, watching)
    learned = learn(watching.views[104])
    assert learned.coming.not_happening == pytest.approx(0.06, abs=0.01)
    assert learned.spoiled == pytest.approx(0.00662, abs=0.004)
    assert learned.model_parts[:, 0] == pytest.approx([0.05, 0.75, 0.20], abs=0.03)
    assert learned.coming.mix[0, :3] == pytest.approx(MIX[0], abs=0.02)
    assert np.array(learned.shares[1]) == pytest.approx(power_shares(), abs=0.012)


def test_the_needed_value_goes_straight_between_logarithms() -> None:
    short, value = np.array([0.1, 0.01, 0.001]), np.array([100.0, 200.0, 400.0])
    assert scoring.needed_value(short, value, 0.01) == pytest.approx((200.0, 1.0))
    assert scoring.needed_value(short, value, 0.1 * 10**-0.5) == pytest.approx((100 * 2**0.5, 0.5))
    assert scoring.needed_value(short, value, 0.5) == (100.0, 0.0)
    assert scoring.needed_value(short, value, 0.0001)[0] == float("inf")


def test_the_yardstick_reckons_as_sampling_does() -> None:
    """A level by generating functions against the sampled use until the next order's arrival."""
    draw = np.random.default_rng(5)
    means = np.array([6.0, 6.0, 6.0, 3.0, 3.0, 3.0])
    z = told.roots(256)
    lens = (0.9 * z + 0.1 * z**2)[:, None]
    by_day = told.unseen(means, lens)
    found = told.levels(by_day, 256, np.array([[0.2], [0.05]]))[:, 0]
    number = 20_000
    covered = told.operating_days_covered()
    days = draw.choice(len(covered), size=number, p=covered)
    part = np.clip(days[:, None] / 5 - np.arange(6), 0, 1)
    shape = 1 / demand.VOLUME_CV**2
    cases = draw.poisson(means * part * draw.gamma(shape, 1 / shape, part.shape)).sum(axis=1)
    used = cases + draw.binomial(cases, 0.1)
    for level, short in zip(found, (0.2, 0.05), strict=True):
        margin = 4 * (short * (1 - short) / number) ** 0.5
        assert (used > level).mean() <= short + margin
        assert (used > level - 1).mean() >= short - margin
