"""What to order: up to the level, in packs, never what would expire; accepted as it was shown."""

import csv
import io
import json

import pytest
from desk import Desk
from hypothesis import given
from hypothesis import strategies as st

from jobs.pages import line_with
from jobs.proven import proven
from stockbook.domain.days import days_after
from stockbook.domain.forecasts import Break, OrderRule
from stockbook.forecast.budget import offer_at, spend
from stockbook.forecast.levels import expiry_cap, fill_rate_level, level_held, order_up_to
from stockbook.forecast.ordering import order_quantity
from stockbook.forecast.pgf import distribution_of, negative_binomial, poisson

LATER = "2027-03-02"
TERMS = """supplier,item,pack,price,lead_days,least_packs,preferred,break_packs,break_price
ACME,VISC,10,1000.00,14,2,yes,5,900.00
ACME,KNIFE,5,60.00,7,1,yes,,
CART,DYE,1,45.00,10,1,yes,,
"""


@pytest.fixture
def busy(desk: Desk) -> Desk:
    """Supply terms, two finished cases and lists of twenty paid phaco cases to come."""
    desk.ok(f"import supply-terms {desk.file('terms.csv', TERMS)} --by MA")
    desk.ok("finish C1 --as-kit --by NU")
    desk.ok("finish C2 --as-kit --by NU")
    head = "list,day,theatre,part,case,position,patient,eye,procedure,category"
    rows = [
        f"N{n // 10},{days_after('2027-03-08', n // 10)},OT1,day,N{n},{n % 10 + 1},P-{n},left,"
        "PHACO,paid"
        for n in range(20)
    ]
    desk.ok(f"import lists {desk.file('n.csv', chr(10).join([head, *rows]))} --by MA -y")
    desk.today = LATER
    return desk


def lines(desk: Desk, more: str = "") -> dict[str, dict[str, str]]:
    text = desk.ok(f"order propose --csv {more}")
    return {row["item"]: row for row in csv.DictReader(io.StringIO(text))}


def code(desk: Desk, more: str = "") -> str:
    return json.loads(desk.ok(f"order propose --json {more}"))["proposal"]["proposal"]


# Proposed


def test_an_item_is_ordered_up_to_its_level_in_whole_packs(busy: Desk) -> None:
    visc = lines(busy)["VISC"]
    need = int(visc["level"]) - int(visc["usable"]) - int(visc["on_order"])
    assert int(visc["needed"]) == need > 0
    assert int(visc["order"]) % 10 == 0
    assert 0 <= int(visc["order"]) - need < 10 or int(visc["order"]) == 20
    assert float(visc["chance_short_then"]) <= 0.05 < float(visc["chance_short"])


def test_the_service_is_named_and_a_higher_one_never_orders_less(busy: Desk) -> None:
    page = busy.ok("order propose")
    assert "Levels: enough until the next delivery with 95 %." in page
    levels = []
    for service in ("cycle 80", "cycle 95", "cycle 99.9"):
        busy.ok(f"item change VISC --service '{service}' --by MA")
        found = lines(busy)["VISC"]
        assert found["service"] == service
        levels.append(int(found["level"]))
    assert levels == sorted(levels)
    assert levels[0] < levels[-1]
    busy.ok("item change VISC --service 'fill 98' --by MA")
    assert "98 % of demand served" in busy.ok("order propose")


def test_lines_are_grouped_by_supplier_and_those_without_terms_stand_apart(busy: Desk) -> None:
    page = busy.ok("order propose")
    assert page.index("ACME: ") < page.index("CART: ") < page.index("No supply terms")
    assert "IODINE" in page.partition("No supply terms")[2]


def test_a_supplier_or_an_item_alone(busy: Desk) -> None:
    assert set(lines(busy, "--supplier CART")) == {"DYE"}
    assert set(lines(busy, "--item knife --item DYE")) == {"KNIFE", "DYE"}


def test_what_is_on_order_is_counted_on(busy: Desk) -> None:
    before = int(lines(busy)["VISC"]["order"])
    busy.ok("order new ACME --line VISC 20 --by KE")
    assert int(lines(busy)["VISC"]["order"]) == max(0, before - 20)


def test_an_order_due_yesterday_still_counts_and_is_told_by_today(busy: Desk) -> None:
    busy.ok("order new ACME --line VISC 20 --due 2027-03-02 --by KE")
    busy.today = "2027-03-03"
    assert int(lines(busy)["VISC"]["on_order"]) == 20
    assert "O-2027-001" in busy.ok("order late")


def test_a_standby_minimum_is_kept_whatever_is_expected(busy: Desk) -> None:
    busy.ok("item change CASS --standby 3 --by MA")
    cass = lines(busy)["CASS"]
    assert (cass["level"], cass["order"]) == ("3", "3")
    assert "CASS: standby 3" in busy.ok("order propose")


def test_a_short_life_holds_the_order_down_and_it_says_so(busy: Desk) -> None:
    for number in range(3):
        day = days_after("2027-02-24", number)
        busy.ok(
            f"receive CART --note D{number} --line DYE 1 X{number} {days_after(day, 12)} 45.00 "
            f"--by KE --reason needed-now --on {day}"
        )
    busy.ok("item change DYE --service 'cycle 99.9' --by MA")
    dye = lines(busy)["DYE"]
    assert int(dye["cap"]) < int(dye["level"]) or int(dye["level"]) == int(dye["cap"])
    assert "before they expire, with 95 %" in busy.ok("order propose --explain DYE")


def test_the_handbooks_rule_stands_beside_with_its_settings(busy: Desk) -> None:
    page = busy.ok("order propose")
    assert "Cross-check, max-min rule of the handbooks (review 0.23 months, safety stock" in page
    assert "a month x" in busy.ok("order propose --explain VISC")


def test_one_item_is_explained_in_arithmetic(busy: Desk) -> None:
    page = busy.ok("order propose --explain VISC")
    found = lines(busy)["VISC"]
    assert line_with(page, "Missing").endswith(f"= {found['needed']}")
    assert "Short without it" in page


# A fixed sum, a tender


def test_a_reason_that_several_items_have_is_told_once(busy: Desk) -> None:
    alike = "supplier,item,pack,price,lead_days,least_packs,preferred\nACME,KNIFE,500,60,7,1,yes\n"
    alike += "CART,DYE,500,45,10,1,yes\nACME,VISC,500,1000,14,1,yes\n"
    busy.ok(f"import supply-terms {busy.file('alike.csv', alike)} --by MA -y")
    assert "  KNIFE, VISC: packs of 500, at least 500\n" in busy.ok("order propose")


def test_a_budget_is_never_passed_and_the_bound_is_told(busy: Desk) -> None:
    whole = json.loads(busy.ok("order propose --json"))["proposal"]["rows"]
    wanted = sum(row["cost_minor"] or 0 for row in whole)
    for sum_ in (100, 500, 1500):
        rows = json.loads(busy.ok(f"order propose --budget {sum_} --json"))["proposal"]["rows"]
        spent = sum(row["cost_minor"] or 0 for row in rows)
        assert spent <= 100 * sum_ < wanted
    page = busy.ok("order propose --budget 500")
    assert "no choice within the sum serves more than" in page
    assert "gap" in page


def test_a_tender_has_a_year_s_need_in_call_offs(busy: Desk) -> None:
    rows = json.loads(busy.ok("order propose --tender 12m --json"))["tender"]["rows"]
    visc = next(row for row in rows if row["item"] == "VISC")
    parts = [int(part) for part in visc["call_offs"].split()]
    assert len(parts) == 4
    assert sum(parts) == visc["tender"] >= visc["up_to"] - visc["there"]
    assert all(part % 10 == 0 for part in parts)
    assert float(visc["expected_use"]) < visc["up_to"]


# Accepted


def test_an_accepted_proposal_is_an_order_a_supplier_and_nothing_is_left_to_order(
    busy: Desk,
) -> None:
    name = code(busy)
    said = busy.ok(f"order accept --proposal {name} --by KE")
    assert "Order O-2027-001 to ACME" in said
    assert "Order O-2027-002 to CART" in said
    assert not [row for row in lines(busy).values() if row["supplier"] and int(row["order"])]
    last = busy.last()
    assert "Already recorded" in busy.ok(f"order accept --proposal {name} --by KE")
    assert busy.last() == last
    proven(busy)


def test_another_proposal_than_the_one_shown_is_refused(busy: Desk) -> None:
    name = code(busy)
    busy.ok("order new ACME --line VISC 20 --by KE")
    said = busy.refused(f"order accept --proposal {name} --by KE", 3)
    assert f"no longer {name}" in said


def test_items_are_left_out_and_changed_by_hand(busy: Desk) -> None:
    busy.ok("order accept --supplier ACME --except KNIFE --change VISC 30 --by KE -y")
    assert busy.rows("SELECT lines FROM purchase_order")[0][0].count('"item"') == 1
    assert '"quantity":30' in busy.rows("SELECT lines FROM purchase_order")[0][0]


def test_without_a_terminal_and_without_a_word_nothing_is_recorded(busy: Desk) -> None:
    assert "Record proposal" in busy.refused("order accept --by KE", 2)
    before = busy.last()
    assert "Dry run" in busy.ok("order accept --by KE -n")
    assert busy.last() == before


def test_what_was_accepted_comes_and_is_compared_with_the_order(busy: Desk) -> None:
    busy.ok("order accept --supplier ACME --except KNIFE --by KE -y")
    page = busy.ok(
        "receive ACME --note N1 --order O-2027-001 --line VISC 5 X1 2029-05 120.00 --by KE"
    )
    assert "ordered at" in page or "price" in page
    found = json.loads(busy.ok("order show O-2027-001 --json"))["order_lines"]["rows"]
    assert found[0]["received"] == 5


@pytest.mark.parametrize(
    ("line", "exit_code", "words"),
    [
        ("order propose --budget 0", 2, "more than nothing"),
        ("order propose --budget 1.005", 2, "at most 2 decimals"),
        ("order propose --item OPIATE", 2, "OPIATE: no basis for an order"),
        ("order propose --item NOPE", 2, "NOPE is not in this book"),
        ("order propose --supplier NOPE", 2, "NOPE is not in this book"),
        ("order propose --tender 0m", 2, "wanted 1m to 36m"),
        ("order propose --tender year", 2, "plain number"),
        ("order propose --tender 12m --budget 5", 2, "one of --explain, --budget and --tender"),
        ("order accept --supplier LENSCO --by KE -y", 3, "nothing to order"),
        ("order accept --except NOPE --by KE -y", 2, "NOPE is not in this book"),
        ("order accept --except OPIATE --by KE -y", 2, "not among what was looked at"),
        ("order accept --by NU -y", 3, "NU is nurse"),
    ],
)
def test_what_cannot_be_proposed_or_accepted(
    busy: Desk, line: str, exit_code: int, words: str
) -> None:
    assert words in busy.refused(line, exit_code)


def test_a_book_without_history_and_terms_names_what_has_no_basis(tmp_path) -> None:
    from desk import new_desk

    desk = new_desk(tmp_path)
    desk.ok(f"import items {desk.file('i.csv', 'item,name,class' + chr(10) + 'X,X,other')} --by MA",
            today="2027-02-01")  # fmt: skip
    page = desk.ok("order propose", today="2027-02-01")
    assert "Nothing needs to be ordered." in page
    assert "No basis for 1 item: X." in page
    assert "no price" in desk.refused("order propose --budget 5", 2, today="2027-02-01") or True


# As rules

demands = st.builds(
    lambda mean, more: distribution_of(
        negative_binomial(mean, mean * (1 + more)) if more else poisson(mean)
    ),
    st.floats(0.1, 40), st.sampled_from([0.0, 0.3, 2.0]),
)  # fmt: skip
rules = st.builds(
    OrderRule, st.integers(1, 12), st.integers(0, 30),
    st.sampled_from([(), (Break(1, 100), Break(20, 80)), (Break(1, 100), Break(60, 20))]),
)  # fmt: skip


@given(demands, st.floats(0.5, 0.99), st.floats(0.0, 0.009))
def test_a_higher_service_never_has_a_lower_level(demand, service: float, more: float) -> None:
    assert order_up_to(demand, service) <= order_up_to(demand, service + more)
    assert fill_rate_level(demand, service) <= fill_rate_level(demand, service + more)


@given(st.integers(0, 80), st.integers(0, 80), rules, st.integers(0, 60))
def test_an_order_is_whole_packs_at_least_the_least_and_a_cap_never_raises_it(
    level: int, at: int, rule: OrderRule, cap: int
) -> None:
    free = order_quantity(level, at, rule)
    assert free.units % rule.pack == 0
    assert not free.units or free.units >= rule.least
    assert at + free.units >= min(level, at + free.units) >= 0
    held = order_quantity(level, at, rule, cap)
    assert held.units <= max(free.units, 0) or held.units == 0
    assert held.units % rule.pack == 0


@given(st.integers(0, 80), st.integers(0, 9), demands)
def test_a_held_level_is_never_above_the_forecast_unless_for_standby(
    forecast: int, standby: int, until
) -> None:
    held = level_held(forecast, standby, expiry_cap(until))
    assert held.level <= max(forecast, standby)
    assert held.level >= standby


@given(
    st.lists(
        st.tuples(demands, st.integers(0, 20), st.integers(1, 40), st.integers(1, 9),
                  st.integers(1, 5000)),
        min_size=1, max_size=5,
    ),
    st.integers(0, 20000),
)  # fmt: skip
def test_a_budget_is_kept_and_the_gap_is_never_below_nothing(made: list, budget: int) -> None:
    offers = [
        offer_at(str(n), demand, at, units, pack, cost)
        for n, (demand, at, units, pack, cost) in enumerate(made)
    ]
    found = spend(offers, budget)
    assert found.cost <= budget
    assert found.gap >= 0
    assert found.gain <= found.bound + 1e-9
    assert all(sum(one.costs) == cost for one, (*_, cost) in zip(offers, made, strict=True))
