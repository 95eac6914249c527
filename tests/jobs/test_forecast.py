"""The forecast: from the site's own cases, the lists and the calendar; a basis or none."""

import csv
import io
import shutil

import pytest
from desk import Desk

from jobs.pages import line_with
from stockbook.domain.days import days_after
from stockbook.forecast.intermittent import tsb

LATER = "2027-03-02"


def row(desk: Desk, item: str, more: str = "", *, today: str = LATER) -> dict[str, str]:
    text = desk.ok(f"forecast --csv {more}", today=today)
    return next(r for r in csv.DictReader(io.StringIO(text)) if r["item"] == item)


def plan(desk: Desk, day: str, cases: int, *, start: int = 100) -> None:
    """A list of paid phaco cases on a day, none of them with a lens yet."""
    head = "list,day,theatre,part,case,position,patient,eye,procedure,category"
    rows = [
        f"N{day},{day},OT1,day,N{start + n},{n + 1},P-{start + n},left,PHACO,paid"
        for n in range(cases)
    ]
    desk.ok(f"import lists {desk.file('n.csv', chr(10).join([head, *rows]))} --by MA -y",
            today=LATER)  # fmt: skip


@pytest.fixture
def history(desk: Desk) -> Desk:
    """One day of cases finished."""
    desk.ok("finish C1 --as-kit --by NU")
    desk.ok("finish C2 --as-kit --by NU")
    return desk


def test_cases_on_the_lists_are_expected_less_those_that_do_not_happen(history: Desk) -> None:
    before = float(row(history, "KNIFE")["of_it_listed"])
    plan(history, "2027-03-08", 10)
    after = float(row(history, "KNIFE")["of_it_listed"])
    missed = 0.06 * 50 / (50 + 2)
    assert after - before == pytest.approx(10 * (1 - missed), rel=1e-3)


def test_more_cases_never_make_it_likelier_to_last(history: Desk) -> None:
    chances = []
    for n, day in enumerate(["2027-03-08", "2027-03-09", "2027-03-10"]):
        plan(history, day, 8, start=100 * (n + 1))
        chances.append(float(row(history, "KNIFE")["chance_short"]))
    assert chances == sorted(chances)
    assert chances[-1] > 0.9


def test_what_no_case_used_and_no_kit_names_has_no_basis(history: Desk) -> None:
    found = row(history, "OPIATE")
    assert found["basis"].startswith("no basis")
    assert found["expected_use"] == ""
    said = history.refused("forecast --explain OPIATE", 2, today=LATER)
    assert "no basis" in said


def test_a_book_without_lists_and_cases_says_no_basis_for_everything(tmp_path) -> None:
    from desk import new_desk

    desk = new_desk(tmp_path)
    for kind, text in (
        ("suppliers", "supplier,name\nA,A\n"),
        ("items", "item,name,class\nX,X,other\n"),
    ):
        desk.ok(f"import {kind} {desk.file(kind + '.csv', text)} --by MA", today="2027-02-01")
    page = desk.ok("forecast", today="2027-02-01")
    assert "No basis for 1 item" in page
    assert "X" in page


def test_a_calendar_overrides_what_is_usual(history: Desk) -> None:
    closed = "first_day,last_day,category,cases\n2027-03-02,2027-06-30,paid,0\n"
    camp = "first_day,last_day,category,cases\n2027-03-10,2027-03-12,paid,60\n"
    nothing = float(
        row(history, "KNIFE", f"--calendar {history.file('c.csv', closed)}")["expected_use"]
    )
    many = float(row(history, "KNIFE", f"--calendar {history.file('d.csv', camp)}")["expected_use"])
    usual = float(row(history, "KNIFE")["expected_use"])
    assert nothing < usual < many
    assert many > 50


@pytest.mark.parametrize(
    "line",
    [
        "2027-03-10,2027-03-09,paid,5",
        "2027-03-10,2027-03-12,gold,5",
        "2027-03-10,2027-03-12,paid,-1",
        "2027-03-10,2027-03-12,paid,99999",
        "tomorrow,2027-03-12,paid,5",
    ],
)
def test_an_absurd_calendar_is_named_row_by_row(history: Desk, line: str) -> None:
    text = f"first_day,last_day,category,cases\n{line}\n"
    assert "c.csv" in history.refused(
        f"forecast --calendar {history.file('c.csv', text)}", 2, today=LATER
    )


def test_the_page_has_seven_columns_of_plain_words(history: Desk) -> None:
    page = history.ok("forecast", today=LATER)
    assert (
        line_with(page, "Item ")
        == "Item Usable Expected use Lasts until Runs short Left over Cases using it"
    )
    assert "From 2 finished cases since 2027-03-01" in page


def test_one_item_is_explained_with_every_estimate(history: Desk) -> None:
    page = history.ok("forecast --explain KNIFE", today=LATER)
    for words in ("Expected use in that time", "Enough with a chance of", "ours, worth 50",
                  "PHACO/paid: 1 in 2 of 2 cases", "notice of cases"):  # fmt: skip
        assert words in page


# Lenses


def test_a_lens_on_the_lists_is_needed_exactly_and_the_others_by_their_shares(
    history: Desk,
) -> None:
    """One free case is listed with FLATL +21.50; no case had FLATL before."""
    sure = row(history, "FLATL+21.50", today="2027-03-01")
    assert float(sure["of_it_listed"]) == pytest.approx(0.94 * 1.00662, rel=0.01)
    assert float(row(history, "FLATL+21.00", today="2027-03-01")["of_it_listed"]) > 0.9


def test_a_model_stands_on_one_line_and_all_its_powers_where_they_are_asked_for(
    history: Desk,
) -> None:
    page = history.ok("forecast", today=LATER)
    assert "RINGL+21.50" not in page
    assert line_with(page, "RINGL (").startswith("RINGL (+21.")
    every = history.ok("forecast --lenses", today=LATER)
    assert "RINGL+21.50" in every
    assert "KNIFE" not in every


def test_a_lens_is_explained_with_its_share(history: Desk) -> None:
    page = history.ok("forecast --explain RINGL+21.50", today=LATER)
    assert "RINGL: 2 of 2 finished cases, 1 of them of this power" in page


def test_a_model_that_nobody_had_or_will_have_has_no_basis(history: Desk) -> None:
    text = "item,name,class,lens_model,power,serial\nODD+20.00,Odd,lens,ODD,+20.00,no\n"
    history.ok(f"import items {history.file('i.csv', text)} --by MA")
    assert "no case had or will have a lens ODD" in row(history, "ODD+20.00")["basis"]


# Outside cases


def services(desk: Desk, uses: list[int]) -> str:
    """What a service used week by week, from 2027-03-01 on; the day after."""
    desk.ok("receive ACME --note N1 --line OPIATE 999 X1 2031-05 1.00 --by KE")
    for week, units in enumerate(uses):
        day = days_after("2027-03-02", 7 * week)
        if units:
            desk.ok(f"issue --service ward --extra OPIATE {units} --by NU -y", today=day)
    return days_after("2027-03-01", 7 * len(uses))


def test_what_a_service_uses_is_expected_week_by_week(history: Desk) -> None:
    day = services(history, [4, 4, 4, 4, 4, 4, 4, 4])
    found = row(history, "OPIATE", today=day)
    weekly = tsb([0] * 4 + [4] * 8)  # the book had four weeks before
    assert float(found["expected_use"]) == pytest.approx(3 * weekly, rel=0.01)
    assert "12 periods" in found["basis"]


def test_a_week_far_above_all_others_is_left_out_until_it_is_judged(history: Desk) -> None:
    day = services(history, [2, 2, 2, 2, 2, 2, 2, 300, 2, 2])
    calm = float(row(history, "OPIATE", today=day)["expected_use"])
    page = history.ok("forecast", today=day)
    assert "OPIATE: 300 in the week of 2027-04-19, far above all others, is left out" in page
    said = history.ok("item judge OPIATE 2027-04-19 usual --by MA -y", today=day)
    assert "the week of 2027-04-19 counts" in said
    assert float(row(history, "OPIATE", today=day)["expected_use"]) > 5 * calm
    assert "far above" not in history.ok("forecast", today=day)
    history.ok("item judge OPIATE 2027-04-19 unusual --by MA -y", today=day)
    assert float(row(history, "OPIATE", today=day)["expected_use"]) == pytest.approx(calm)
    assert "judged unusual already" in history.refused(
        "item judge OPIATE 2027-04-19 unusual --by MA -y", 3, today=day
    )
    assert "begins on 2027-04-19" in history.refused(
        "item judge OPIATE 2027-04-21 usual --by MA -y", 2, today=day
    )


def test_a_week_that_ran_out_does_not_pass_for_a_week_of_little_use(history: Desk) -> None:
    """The same use, once with the shelf empty in the short week and once with more on it."""
    expected = []
    for surplus in (1, 10):
        site = Desk(history.folder, name=f"surplus-{surplus}.stockbook")
        shutil.copy(history.path, site.path)
        for week, (came, used) in enumerate([(4, 4), (surplus, 4), (0, 1), (8, 4), (4, 4), (4, 4)]):
            day = days_after("2027-03-02", 7 * week)
            line = f"OPIATE {came} X{week} 2031-05 1.00"
            if came:
                site.ok(f"receive ACME --note W{week} --line {line} --by KE", today=day)
            site.ok(f"issue --service ward --extra OPIATE {used} --by NU -y", today=day)
        expected.append(float(row(site, "OPIATE", today="2027-04-13")["expected_use"]))
    hidden, seen = expected
    assert hidden > 1.02 * seen


def test_weeks_without_any_use_have_no_basis_and_never_a_silent_zero(history: Desk) -> None:
    assert row(history, "OPIATE")["expected_use"] == ""


def test_months_before_the_book_are_a_basis_where_nothing_else_is(history: Desk) -> None:
    text = "item,month,quantity\nOPIATE,2026-12,31\nOPIATE,2027-01,31\n"
    history.ok(f"import past-use {history.file('p.csv', text)} --by MA")
    found = row(history, "OPIATE")
    assert float(found["expected_use"]) == pytest.approx(21, rel=0.01)
    assert "2 months before the book" in found["basis"]


# Standby, replaced


def test_an_item_kept_for_standby_alone_says_so_and_has_no_silent_zero(history: Desk) -> None:
    history.ok("item change CASS --standby 2 --by MA")
    found = row(history, "CASS")
    assert (found["basis"], found["standby"], found["expected_use"]) == (
        "standby alone", "2", "0.0000"
    )  # fmt: skip
    assert "Standby: at least 2" in history.ok("forecast --explain CASS", today=LATER)


def test_an_item_that_replaces_another_has_its_use_and_what_is_left_of_it(history: Desk) -> None:
    before = row(history, "KNIFE")
    history.ok("item new KNIFE-N --name Knife --class blades --replaces KNIFE --by MA")
    new = row(history, "KNIFE-N")
    assert new["expected_use"] == before["expected_use"]
    assert new["usable"] == before["usable"]
    assert "with KNIFE" in new["basis"]
    assert "replaced by KNIFE-N" in row(history, "KNIFE")["basis"]


def test_items_that_replace_one_another_replace_nothing(history: Desk) -> None:
    before = row(history, "KNIFE")["expected_use"]
    history.ok("item new KNIFE-N --name Knife --class blades --replaces KNIFE --by MA")
    history.ok("item change KNIFE --replaces KNIFE-N --by MA")
    assert row(history, "KNIFE")["expected_use"] == before


def test_a_longer_lead_time_and_a_longer_review_never_need_less(history: Desk) -> None:
    plan(history, "2027-03-20", 10)
    short = float(row(history, "KNIFE")["expected_use"])
    history.ok("book settings lead_days 30 --by MA", today=LATER)
    longer = float(row(history, "KNIFE")["expected_use"])
    history.ok("book settings review_days 28 --by MA", today=LATER)
    assert short <= longer <= float(row(history, "KNIFE")["expected_use"])


def test_asking_records_nothing(history: Desk) -> None:
    last = history.last()
    history.ok("forecast", today=LATER)
    assert history.last() == last


def test_without_any_history_the_lists_alone_count_and_it_says_so(desk: Desk) -> None:
    page = desk.ok("forecast")
    assert "No usual number of cases is known yet" in page
    assert float(row(desk, "KNIFE", today="2027-03-01")["of_it_listed"]) > 0


TERMS = "supplier,item,pack,price,lead_days\nACME,KNIFE,1,100.00,30\n"


def test_what_is_on_order_can_be_counted_on_and_a_quoted_time_is_covered(history: Desk) -> None:
    plan(history, "2027-03-20", 12)
    before = row(history, "KNIFE")
    history.ok(f"import supply-terms {history.file('t.csv', TERMS)} --by MA", today=LATER)
    quoted = row(history, "KNIFE")
    assert float(quoted["expected_use"]) >= float(before["expected_use"])
    history.ok("order new ACME --line KNIFE 50 --by KE", today=LATER)
    ordered = row(history, "KNIFE")
    assert ordered["on_order"] == "50"
    assert float(ordered["chance_short"]) < float(quoted["chance_short"])
    page = history.ok("forecast --explain KNIFE", today=LATER)
    assert "on order 50" in page
    assert "ACME: quoted, 30 days, 0 receipts" in page


def test_lead_times_are_learned_from_the_receipts_of_orders(history: Desk) -> None:
    history.ok(f"import supply-terms {history.file('t.csv', TERMS)} --by MA", today=LATER)
    history.ok("order new ACME --line KNIFE 5 --by KE", today=LATER)
    code = history.rows("SELECT code FROM purchase_order")[0][0]
    history.ok(
        f"receive ACME --note N1 --order {code} --line KNIFE 5 K9 2029-01 100.00 --by KE",
        today="2027-03-04",
    )
    page = history.ok("forecast --explain KNIFE", today="2027-03-04")
    assert "1 receipt)" in page
    assert "lead time of 30.0 days" not in page


def four_orders(desk: Desk, days: tuple[str, ...]) -> None:
    """Four orders of a knife, a day apart, each delivered on one of these days."""
    desk.ok(f"import supply-terms {desk.file('t.csv', TERMS)} --by MA", today=LATER)
    for n in range(4):
        desk.ok("order new ACME --line KNIFE 5 --by KE -y", today=days_after(LATER, n))
    codes = [code for (code,) in desk.rows("SELECT code FROM purchase_order ORDER BY code")]
    for code, day in sorted(zip(codes, days, strict=True), key=lambda pair: pair[1]):
        desk.ok(f"receive ACME --note {code} --order {code} --line KNIFE 5 {code} 2029-01 100.00 "
                "--by KE -y", today=day)  # fmt: skip


@pytest.mark.parametrize(
    ("days", "crossed"),
    [(("2027-03-10", "2027-03-12", "2027-03-11", "2027-03-14"), True),
     (("2027-03-10", "2027-03-11", "2027-03-12", "2027-03-14"), False)],
)  # fmt: skip
def test_where_later_orders_came_first_the_first_of_them_ends_what_is_to_be_covered(
    history: Desk,
    days: tuple[str, ...],
    crossed: bool,  # noqa: FBT001 a column of the table
) -> None:
    four_orders(history, days)
    page = " ".join(history.ok("forecast --explain KNIFE", today="2027-03-15").split())
    assert ("until the first of all later orders comes" in page) == crossed
    other = " ".join(history.ok("forecast --explain IODINE", today="2027-03-15").split())
    assert "first of all later orders" not in other
