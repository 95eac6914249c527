"""What the paid cases bear: tied to the page of costs, and exact at the edge."""

import json
from fractions import Fraction

import pytest
from desk import Desk

from jobs.pages import cells, line_with
from jobs.paid_and_free import ASKED, KITS, finish_c4, now, rows_of, then, worked_site


@pytest.fixture
def worked(desk: Desk) -> Desk:
    return worked_site(desk)


# Tied to the ledger


def test_what_cases_cost_is_what_the_page_of_costs_says(worked: Desk) -> None:
    finish_c4(worked, "--wasted IODINE 1 dropped")
    page = json.loads(worked.ok("cost --month 2027-03 --per category --json"))["cost_by_group"]
    found = rows_of(worked, ASKED)
    everything = 0
    for row in page["rows"][:-1]:
        cost = Fraction(row["used_minor"] + row["wasted_minor"], row["cases"])
        assert found["cases_in_hundredths", row["group"]]["now"] == 100 * row["cases"]
        assert found["cost_of_a_case", row["group"]]["now"] == round(cost)
        everything += row["used_minor"] + row["wasted_minor"]
    assert found["cases_in_hundredths", "paid"]["now"] == 300
    assert found["result_of_the_period", ""]["now"] == 3 * 9000_00 - everything - 1000_00


def test_nothing_asked_is_as_it_is_now_whatever_is_asked_for_in_vain(worked: Desk) -> None:
    plain = rows_of(worked, ASKED)
    assert all(row["now"] == row["what_if"] for row in plain.values())
    for vain in (
        "--lens free FLATL", "--lens paid RINGL", "--new-fixed 1000", "--new-tariff paid 9000",
        "--cases 3", "--kit paid CASS 0", "--kit paid KNIFE 1",
    ):  # fmt: skip
        assert rows_of(worked, f"{ASKED} {vain}") == plain, vain


def test_a_lens_that_the_cases_took_already_is_said_to_change_nothing(worked: Desk) -> None:
    said = "free: the lens asked about changes nothing"
    assert said in worked.ok(f"{ASKED} --lens free FLATL")
    assert said not in worked.ok(f"{ASKED} --lens free RINGL")


def test_it_records_nothing(worked: Desk) -> None:
    before = worked.path.read_bytes()
    page = worked.ok(f"{ASKED} --lens free RINGL --share free 50 --price KNIFE 3")
    assert worked.path.read_bytes() == before
    number, checksum = worked.last()
    assert page.splitlines()[-1] == f"Last entry {number}, checksum {checksum}"
    assert "Which lens a patient gets" in " ".join(page.split())


def test_the_past_is_shown_as_it_was(worked: Desk) -> None:
    asked = f"{ASKED} --lens free RINGL"
    before, entry = worked.ok(asked), worked.last()[0]
    finish_c4(worked)
    assert worked.ok(asked) != before
    assert worked.ok(f"{asked} --as-of-entry {entry}") == before


# What changes


def test_another_lens_brings_its_companions_and_takes_those_of_the_old_one(worked: Desk) -> None:
    found = rows_of(worked, f"{ASKED} --lens free RINGL")
    assert found["of_it_the_lens", "free"] == {"now": 300_00, "what_if": 2400_00}
    visc, visc_b = 3 * 100_00, 2 * 50_00
    cost = found["cost_of_a_case", "free"]
    assert cost["what_if"] - cost["now"] == 2100_00 + visc - visc_b
    assert found["cost_of_a_case", "paid"]["what_if"] == found["cost_of_a_case", "paid"]["now"]


def test_companions_are_those_of_the_kit_in_force_on_the_case_s_day(worked: Desk) -> None:
    later = KITS.replace("2027-02-15", "2027-03-02").replace("VISC,3", "VISC,1")
    before = rows_of(worked, f"{ASKED} --lens free RINGL")
    worked.ok(f"import kits {worked.file('later.csv', later)} --by MA -y")
    assert rows_of(worked, f"{ASKED} --lens free RINGL") == before


def test_a_lens_that_was_given_is_bought_when_it_is_changed_and_stays_given_else(
    desk: Desk,
) -> None:
    for case in ("C1", "C3"):
        desk.ok(f"finish {case} --as-kit --by NU -y")
    assert now(desk, ASKED, "of_it_the_lens", "free") == 0
    assert then(desk, f"{ASKED} --price FLATL 500", "of_it_the_lens", "free") == 0
    assert then(desk, f"{ASKED} --lens free RINGL", "of_it_the_lens", "free") == 2400_00
    lens = now(desk, ASKED, "highest_price_of_a_lens", "free")
    assert lens == now(desk, ASKED, "result_of_the_period")


def test_a_price_is_that_of_one_unit_however_finely_it_is_counted(worked: Desk) -> None:
    found = rows_of(worked, f"{ASKED} --price IODINE 4")
    cost = found["cost_of_a_case", "paid"]
    assert cost["what_if"] - cost["now"] == 250 * 2  # 2.5 ml at 4.00 instead of 2.00


def test_a_kit_line_more_costs_its_last_price_and_one_less_saves_what_it_cost(
    worked: Desk,
) -> None:
    plain = now(worked, ASKED, "cost_of_a_case", "free")
    more = then(worked, f"{ASKED} --kit free VIT 2", "cost_of_a_case", "free")
    assert more == plain + 2 * 500_00
    less = then(worked, f"{ASKED} --kit free VISC-B 1", "cost_of_a_case", "free")
    assert less == plain - 50_00
    iodine = then(
        worked, f"{ASKED} --kit free IODINE 2.5 --price IODINE 4", "cost_of_a_case", "free"
    )
    assert iodine == plain + 10_00


def test_a_power_that_the_new_model_lacks_is_told_and_costs_its_dearest(worked: Desk) -> None:
    worked.ok(
        "item new TRIL+20.00 --name Lens --class lens --lens-model TRIL --power +20.00 --by MA"
    )
    page = worked.ok(f"{ASKED} --lens free TRIL --price TRIL 700")
    assert "1 lens of a power that the new model does not have" in " ".join(page.split())
    assert cells(page, "Of it the lens", "free")[-2] == "700.00"


def test_tariff_fixed_cost_and_number_of_cases_change_the_result_by_what_they_say(
    worked: Desk,
) -> None:
    plain = now(worked, ASKED, "result_of_the_period")
    result = "result_of_the_period"
    assert then(worked, f"{ASKED} --new-tariff paid 9500", result) == plain + 2 * 500_00
    assert then(worked, f"{ASKED} --new-fixed 1500.50", result) == plain - 500_50
    left = now(worked, ASKED, "left_over_by_all_cases")
    assert then(worked, f"{ASKED} --cases 6", result) == 2 * left - 1000_00
    assert then(worked, f"{ASKED} --cases 6", "cases_in_hundredths", "free") == 200


# At the edge, by the command itself


def test_the_highest_lens_price_bears_the_result_and_one_minor_unit_more_does_not(
    worked: Desk,
) -> None:
    price = now(worked, ASKED, "highest_price_of_a_lens", "free")
    for more, borne in ((0, True), (1, False)):
        asked = f"{ASKED} --price FLATL {(price + more) // 100}.{(price + more) % 100:02d}"
        assert (then(worked, asked, "result_of_the_period") >= 0) is borne


def test_the_most_free_cases_bear_the_result_and_one_more_does_not(worked: Desk) -> None:
    asked = f"{ASKED} --cases 1000 --new-fixed 1000000"
    most = then(worked, asked, "most_cases_borne", "free")
    for more, borne in ((0, True), (1, False)):
        share = f"--share free {(most + more) // 10}.{(most + more) % 10}"
        found = rows_of(worked, f"{asked} {share}")
        assert found["cases_in_hundredths", "free"]["what_if"] == 100 * (most + more)
        assert (found["result_of_the_period", ""]["what_if"] >= 0) is borne


def test_the_break_even_volume_bears_the_fixed_cost_and_one_case_less_does_not(
    worked: Desk,
) -> None:
    asked = "what-if --month 2027-03 --tariff paid 9000 --fixed 1000000"
    cases = now(worked, asked, "break_even_cases")
    assert then(worked, f"{asked} --cases {cases}", "result_of_the_period") >= 0
    assert then(worked, f"{asked} --cases {cases - 1}", "result_of_the_period") < 0


# The lens bank


def test_filling_the_new_bank_and_what_is_stranded_of_the_old(worked: Desk) -> None:
    found = json.loads(worked.ok(f"{ASKED} --lens free RINGL --json"))["lens_banks"]["rows"][0]
    assert (found["new_model"], found["old_model"], found["categories"]) == (
        "RINGL", "FLATL", "free",
    )  # fmt: skip
    shelf = sum(worked.on_hand("FLATL+21.50").values()) + sum(
        worked.on_hand("FLATL+21.00").values()
    )
    assert found["old_lenses"] == shelf == 9
    assert found["old_value_minor"] == 900_00 + 600_00
    assert found["bank"] == shelf + 1  # one RINGL is left for those who use it
    bank = json.loads(worked.ok("lens bank --model RINGL --size 10 --json"))
    assert found["to_buy"] == sum(row["lenses"] for row in bank["lenses_to_add"]["rows"])
    assert found["cost_minor"] == found["to_buy"] * 2400_00
    page = worked.ok(f"{ASKED} --lens free RINGL")
    assert "Stranded: 9 lenses of FLATL worth 1,500.00" in page
    cheaper = json.loads(worked.ok(f"{ASKED} --lens free RINGL --price RINGL 100 --json"))
    assert cheaper["lens_banks"]["rows"][0]["cost_minor"] == found["to_buy"] * 100_00


def test_a_bank_that_others_go_on_using_is_not_stranded(worked: Desk) -> None:
    finish_c4(worked)
    page = " ".join(worked.ok(f"{ASKED} --lens free RINGL").split())
    assert "stay in use by paid" in page
    assert "Stranded" not in page
    both = " ".join(worked.ok(f"{ASKED} --lens free RINGL --lens paid RINGL").split())
    assert "Stranded: 8 lenses of FLATL" in both


# Told, not refused


def test_a_tariff_below_cost_is_told(worked: Desk) -> None:
    page = worked.ok("what-if --month 2027-03 --tariff paid 100 --fixed 1000")
    assert "paid: a case costs" in page
    assert "more than its tariff 100.00" in page
    assert cells(page, "Break-even, cases")[-1] == "never"
    assert line_with(page, "Paying cases needed").endswith("no payer")
    assert line_with(page, "Highest price of a lens", "free").endswith("none")


def test_a_category_added_mid_year_is_left_out_until_it_has_a_case(worked: Desk) -> None:
    more = "category,name\nsubsidised,Subsidised\n"
    worked.ok(f"import categories {worked.file('c.csv', more)} --by MA -y")
    page = worked.ok(f"{ASKED} --tariff subsidised 3000")
    assert "No case of subsidised was counted in the period" in page
    assert rows_of(worked, f"{ASKED} --tariff subsidised 3000") == rows_of(worked, ASKED)
    assert rows_of(worked, f"{ASKED} --share subsidised 0") == rows_of(worked, ASKED)
    said = worked.refused(f"{ASKED} --share subsidised 10", 2)
    assert "no case of subsidised was counted in this period" in said


@pytest.mark.parametrize(
    ("share", "free", "paid"), [("0", 0, 300), ("50", 200, 100), ("100", 300, 0), ("100%", 300, 0)]
)
def test_shares_from_nothing_to_all(worked: Desk, share: str, free: int, paid: int) -> None:
    found = rows_of(worked, f"{ASKED} --share free {share}")
    assert found["cases_in_hundredths", "free"]["what_if"] == free
    assert found["cases_in_hundredths", "paid"]["what_if"] == paid
    cost = found["cost_of_a_case", "free"]
    assert cost["what_if"] == cost["now"]


def test_a_month_that_is_not_over_is_told(worked: Desk) -> None:
    words = "The period is not over: the cases are those until 2027-03-01"
    assert words in worked.ok(ASKED)
    assert words not in worked.ok(ASKED, today="2027-03-31")


def test_a_month_s_result_is_the_period_s_over_its_months(worked: Desk) -> None:
    asked = "what-if --tariff paid 9000 --fixed 1000"
    two = rows_of(worked, f"{asked} --from 2027-02-01 --to 2027-03-31")
    result = two["result_of_the_period", ""]["now"]
    assert two["result_of_a_month", ""]["now"] == round(Fraction(result, 2))
    days = rows_of(worked, f"{asked} --from 2027-03-01 --to 2027-03-08")
    assert days["result_of_a_month", ""]["now"] == round(Fraction(result * 304, 80))


def test_why_there_is_no_figure_is_said_for_now_and_for_what_if(worked: Desk) -> None:
    low = "what-if --month 2027-03 --tariff paid 1 --new-tariff paid 9000"
    page = worked.ok(f"{low} --new-tariff free 5000")
    assert line_with(page, "Borne by one paying case", "free").endswith("no payer bears itself")
    assert line_with(page, "Paying cases for each", "free").endswith("no payer 0")
    assert line_with(page, "Paying cases needed").startswith("Paying cases needed no payer ")
    none = worked.ok(f"{ASKED} --share free 0")
    assert "no lens" in line_with(none, "Highest price of a lens", "free")


def test_with_free_cases_alone_there_are_no_others(desk: Desk) -> None:
    desk.ok("finish C3 --as-kit --by NU -y")
    page = desk.ok(ASKED)
    assert cells(page, "Most cases borne", "free")[-2:] == ["no", "others"]
    assert cells(page, "Paying cases for each", "free")[-2:] == ["no", "payer"]
