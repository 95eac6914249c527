"""Service by cost: on average the site's, dear items less often enough, cheap ones oftener."""

import csv
import io
from itertools import pairwise

import pytest
from desk import Desk
from hypothesis import given
from hypothesis import strategies as st

from jobs.test_order_propose import busy, lines
from stockbook.forecast.service_costs import MOST_SHORT, chances_by_cost

__all__ = ["busy"]

AMOUNTS = st.lists(
    st.tuples(st.floats(0.01, 1e4), st.floats(0.01, 1e4)), min_size=1, max_size=12
)  # fmt: skip


@given(AMOUNTS, st.floats(1e-4, 0.4), st.sampled_from([0.0, 0.5, 1.0]))
def test_over_all_uses_the_mean_chance_is_the_one_asked_for(
    given_: list[tuple[float, float]], short: float, power: float
) -> None:
    costs, uses = map(list, zip(*given_, strict=True))
    found = chances_by_cost(costs, uses, short, power)
    mean = sum(chance * use for chance, use in zip(found, uses, strict=True)) / sum(uses)
    assert mean <= short * (1 + 1e-9)
    if max(found) < MOST_SHORT:
        assert mean == pytest.approx(short)
    ranked = [chance for _, chance in sorted(zip(costs, found, strict=True))]
    assert all(one <= other for one, other in pairwise(ranked))


def test_one_price_for_all_changes_nothing() -> None:
    assert chances_by_cost([3, 3, 3], [1, 5, 2], 0.05, 1.0) == pytest.approx([0.05] * 3)
    assert chances_by_cost([0, 0], [1, 1], 0.05, 1.0) == [0.05, 0.05]


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
    assert "% (by its cost)" in busy.ok("order propose --explain VISC")


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
