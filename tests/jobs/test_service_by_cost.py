"""Service by cost: on average the site's, dear items less often enough, cheap ones oftener."""

import csv
import io
from itertools import pairwise

from desk import Desk
from hypothesis import given
from hypothesis import strategies as st

from jobs.test_order_propose import busy, lines
from stockbook.domain.service_levels import CYCLE, FILL
from stockbook.forecast.distributions import always
from stockbook.forecast.levels import fill_rate
from stockbook.forecast.pgf import distribution_of, poisson
from stockbook.forecast.service_costs import ALWAYS, Candidate, Ranking

__all__ = ["busy"]

means = st.floats(0.05, 30).map(lambda x: round(x, 2))


@st.composite
def candidates(draw: st.DrawFn) -> Candidate:
    """Poisson demand of a cost and a frequency, over a lead time and a week more."""
    before, week = draw(means), draw(means)
    until = [distribution_of(poisson(mean)) for mean in (before + week, before)]
    return Candidate(draw(st.floats(0.1, 500)), draw(st.floats(0.1, 50)), *until)


found = st.lists(candidates(), min_size=1, max_size=6)
KINDS = st.sampled_from([CYCLE, FILL])
shorts = st.sampled_from([0.3, 0.1, 0.05, 0.01])


def mean_short(found: list[Candidate], levels: list[int], *, fill: bool) -> float:
    """What is short on average over all uses, straight from the definitions."""
    each = [
        1 - fill_rate(one.until_next, level, one.until_own) if fill
        else one.until_next.more_than(level)
        for one, level in zip(found, levels, strict=True)
    ]  # fmt: skip
    whole = sum(one.uses for one in found)
    return sum(one.uses * part for one, part in zip(found, each, strict=True)) / whole


@given(found, shorts, st.sampled_from([0.0, 0.5, 1.0]), KINDS)
def test_over_all_uses_the_mean_is_the_one_asked_for_and_not_a_unit_more(
    found: list[Candidate], short: float, power: float, kind: str
) -> None:
    """The last unit taken was needed for it, but where all of them are wanted more than evenly."""
    fill = kind == FILL
    ranking = Ranking(found, power, fill=fill)
    levels = ranking.levels(short)
    assert mean_short(found, levels, fill=fill) <= short + 1e-7
    if sum(levels) > ranking.least:
        last = ranking.item[sum(levels) - 1]
        fewer = [level - (n == last) for n, level in enumerate(levels)]
        assert mean_short(found, fewer, fill=fill) > short - 1e-7


@given(found, shorts, st.sampled_from([0.5, 1.0]))
def test_no_unit_left_out_is_worth_more_for_its_money_than_one_taken(
    found: list[Candidate], short: float, power: float
) -> None:
    """The best that a unit or any above it is worth, from the definition, by brute force."""
    ranking = Ranking(found, power)
    levels = ranking.levels(short)

    def worth(one: Candidate, unit: int) -> float:
        served = [one.until_next.more_than(s - 1) - one.until_own.more_than(s - 1)
                  for s in range(unit, len(one.until_next.chances))]  # fmt: skip
        best = max(served, default=0.0)
        return float("inf") if best > ALWAYS else best / one.cost**power

    pairs = list(zip(found, levels, strict=True))
    out = max(worth(one, level + 1) for one, level in pairs)
    taken = min(worth(one, level) if level else float("inf") for one, level in pairs)
    assert out <= taken * (1 + 1e-6) + 1e-12


@given(found, KINDS)
def test_more_service_never_lowers_a_level(found: list[Candidate], kind: str) -> None:
    ranking = Ranking(found, 1.0, fill=kind == FILL)
    rising = [ranking.levels(short) for short in (0.3, 0.1, 0.05, 0.01)]
    assert all(a <= b for few, many in pairwise(rising) for a, b in zip(few, many, strict=True))


def test_what_one_order_serves_more_than_evenly_is_held_however_dear() -> None:
    sure = distribution_of(poisson(3))
    dear = Candidate(1e9, 1, always(2), always(0))
    cheap = Candidate(1, 1000, sure, always(0))
    assert Ranking([dear, cheap], 1.0).levels(0.4)[0] == 2


def test_without_the_rule_every_item_has_the_sites_service(busy: Desk) -> None:
    assert {row["service"] for row in lines(busy).values()} == {"cycle 95"}


def test_dear_items_may_run_short_oftener_and_the_page_says_so(busy: Desk) -> None:
    before = lines(busy)
    busy.ok("book settings service_by_cost yes --by MA")
    found = lines(busy)
    visc, knife = (float(found[item]["service"].split()[1]) for item in ("VISC", "KNIFE"))
    assert visc < 95 < knife
    assert int(found["VISC"]["level"]) <= int(before["VISC"]["level"])
    assert int(found["KNIFE"]["level"]) >= int(before["KNIFE"]["level"])
    assert found["IODINE"]["service"] == "cycle 95", "no price is known"
    page = busy.ok("order propose")
    assert "Levels: by cost, on average over all uses the site's: enough until" in page
    assert "; enough until the next delivery with 95 %." in page, "of what has no price"
    assert "% (by its cost)" in busy.ok("order propose --explain VISC")


def test_a_share_of_demand_is_kept_on_average_too(busy: Desk) -> None:
    busy.ok("book settings service_level 'fill 97' --by MA")
    before = lines(busy)
    busy.ok("book settings service_by_cost yes --by MA")
    found = lines(busy)
    assert found["VISC"]["service"].startswith("fill ")
    assert int(found["VISC"]["level"]) <= int(before["VISC"]["level"])
    assert int(found["KNIFE"]["level"]) >= int(before["KNIFE"]["level"])
    assert "% of demand served (by its cost)" in busy.ok("order propose --explain VISC")


def test_an_items_own_service_stays(busy: Desk) -> None:
    busy.ok("book settings service_by_cost yes --by MA")
    busy.ok("item change VISC --service 'cycle 99' --by MA")
    assert lines(busy)["VISC"]["service"] == "cycle 99"
    assert "; enough until the next delivery with 99 %." in busy.ok("order propose")
    assert "99 %\n" in busy.ok("order propose --explain VISC")


def test_what_is_looked_at_does_not_change_a_service(busy: Desk) -> None:
    busy.ok("book settings service_by_cost yes --by MA")
    whole = lines(busy)
    for item in ("VISC", "DYE"):
        assert lines(busy, f"--item {item}")[item] == whole[item]


def test_a_tender_goes_by_the_same_service(busy: Desk) -> None:
    def most() -> int:
        rows = csv.DictReader(io.StringIO(busy.ok("order propose --tender 1m --csv")))
        return next(int(row["up_to"]) for row in rows if row["item"] == "VISC")

    before = most()
    busy.ok("book settings service_by_cost yes --by MA")
    assert most() <= before


def test_another_word_than_yes_or_no_is_refused(busy: Desk) -> None:
    said = busy.refused("book settings service_by_cost perhaps --by MA", 2)
    assert "wanted one of: yes, no" in said
    assert "no" in busy.ok("book settings service_by_cost")
