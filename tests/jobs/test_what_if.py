"""What the paid cases bear: tied to the page of costs, and exact at the edge."""

import json
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import pytest
from desk import Desk, new_desk
from openpyxl import load_workbook

from jobs.pages import cells, line_with

HEADER = "procedure,category,surgeon,line,kind,item,quantity,requirement,first_day\n"
KITS = (
    HEADER
    + """PHACO,free,,1,lens,,1,,2027-02-15
PHACO,free,,2,always,KNIFE,1,,2027-02-15
PHACO,free,,3,with-lens,VISC,3,RINGL,2027-02-15
PHACO,free,,4,with-lens,VISC-B,2,FLATL,2027-02-15
"""
)
BOUGHT = """item,place,quantity,lot,serial,expiry,received,total,terms
FLATL+21.50,STORE,4,F5,,2028-12,2027-01-10,1200.00,bought
"""
FOR_C4 = """item,place,quantity,lot,serial,expiry,received,total,terms
CASS,STORE,2,CA,,2028-12,2027-01-10,80.00,bought
IODINE,OT2,10,I2,,2027-09,2027-01-10,20.00,bought
"""
ASKED = "what-if --month 2027-03 --tariff paid 9000 --fixed 1000"


@pytest.fixture
def worked(desk: Desk) -> Desk:
    """Two paid cases with RINGL, a free one with FLATL and its companion, all of them bought."""
    desk.ok(f"import kits {desk.file('k.csv', KITS)} --by MA -y")
    desk.ok(f"import opening-stock {desk.file('o.csv', BOUGHT)} --by MA -y", today="2027-02-20")
    for case in ("C1", "C2", "C3"):
        desk.ok(f"finish {case} --as-kit --by NU -y")
    return desk


def rows_of(desk: Desk, line: str) -> dict[tuple[str, str], dict[str, int | None]]:
    """Figures by name and category, in whole numbers."""
    found = json.loads(desk.ok(f"{line} --json"))
    return {
        (row["figure"], row["category"]): {
            name: row.get(f"{name}_minor", row.get(name)) for name in ("now", "what_if")
        }
        for sheet in ("what_if", "what_if_cases") for row in found[sheet]["rows"]
    }  # fmt: skip


def then(desk: Desk, line: str, figure: str, category: str = "") -> int | None:
    return rows_of(desk, line)[figure, category]["what_if"]


def now(desk: Desk, line: str, figure: str, category: str = "") -> int | None:
    return rows_of(desk, line)[figure, category]["now"]


def finish_c4(desk: Desk, more: str = "") -> None:
    """A paid case with FLATL, after its stock came."""
    desk.ok(f"import opening-stock {desk.file('c4.csv', FOR_C4)} --by MA -y", today="2027-02-20")
    desk.ok(f"finish C4 --as-kit {more} --by NU -y")


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
    assert line_with(page, "Paying cases needed").endswith("no number")
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


# Refused by name


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("what-if --month 2027-03", "Give at least one --tariff CATEGORY AMOUNT"),
        (f"{ASKED} --share free 101", "wanted 0 to 100 per cent"),
        (f"{ASKED} --share free -1", "wanted 0 to 100 per cent"),
        (f"{ASKED} --share free 60 --share paid 60", "more than 100 per cent"),
        (f"{ASKED} --share free 60 --share paid 30", "nobody is left to have the rest"),
        (f"{ASKED} --share free 60 --share free 30", "free is given twice"),
        (f"{ASKED} --tariff paid 1", "paid is given twice"),
        (
            f"{ASKED} --new-tariff rich 1",
            "category: rich is not in this book. There is: free, paid.",
        ),
        (f"{ASKED} --new-tariff paid -1", "wanted nothing or more"),
        (f"{ASKED} --new-fixed much", "wanted a plain number"),
        (f"{ASKED} --new-fixed 1.005", "at most 2 decimals"),
        (f"{ASKED} --cases 0", "--cases: found '0'"),
        (f"{ASKED} --lens free RINGLE", "lens model: RINGLE is not in this book. Near: RINGL."),
        (f"{ASKED} --lens free RINGL --lens free FLATL", "free is given twice"),
        (f"{ASKED} --price KNOFE 1", "item: KNOFE is not in this book. Near: KNIFE."),
        (f"{ASKED} --kit free KNIFE -1", "wanted nothing or more"),
        (f"{ASKED} --kit free KNIFE 1.5", "wanted a whole number"),
        (f"{ASKED} --kit free KNIFE 1 --kit free KNIFE 2", "is given twice"),
        (f"{ASKED} --kit free CASS 1", "CASS: no price is known. Give one with --price CASS"),
        ("what-if --month 2026-12 --tariff paid 9000", "no case was counted from 2026-12-01"),
    ],
)
def test_what_cannot_be_meant_is_refused(worked: Desk, words: str, said: str) -> None:
    assert said in worked.refused(words, 2)


def test_a_model_without_a_price_asks_for_one(worked: Desk) -> None:
    worked.ok(
        "item new TRIL+20.00 --name Lens --class lens --lens-model TRIL --power +20.00 --by MA"
    )
    said = worked.refused(f"{ASKED} --lens free TRIL", 2)
    assert "lens model TRIL: no price is known. Give one with --price TRIL AMOUNT." in said


# Forms and currencies


def test_every_form_has_the_same_figures(worked: Desk) -> None:
    asked = f"{ASKED} --lens free RINGL"
    data = json.loads(worked.ok(f"{asked} --json"))
    worked.ok([*asked.split(), "-o", str(worked.folder / "a.xlsx")])
    page = load_workbook(worked.folder / "a.xlsx")
    assert page.sheetnames == [
        "what_if", "what_if_cases", "result_if_changed_by_per_cent", "lens_banks",
    ]  # fmt: skip
    for name in page.sheetnames:
        assert page[name].max_row == len(data[name]["rows"]) + 1
    for row in data["what_if"]["rows"]:
        assert row["difference_minor"] is None or (
            row["difference_minor"] == row["what_if_minor"] - row["now_minor"]
        )
    assert worked.ok(f"{asked} --csv").count("\n\n") == len(page.sheetnames) - 1


def in_currency(folder: Path, code: str, text: str) -> Desk:
    """A site of one item, a paid and a free case, and that currency."""
    desk = new_desk(folder, currency=code)
    files = {
        "places": "place,name,kind\nSTORE,Store,store\nOT1,Theatre,theatre\n",
        "staff": "staff,name,role\nNU,Nurse,nurse\n",
        "items": "item,name,class,unit,unit_places,lens_model,power\n"
        "L+20.00,Lens,lens,each,0,L,+20.00\n",
        "kits": "procedure,category,line,kind,item,quantity\n"
        "PHACO,paid,1,lens,,1\nPHACO,free,1,lens,,1\n",
        "lists": "list,day,theatre,part,case,position,patient,eye,procedure,category,surgeon,"
        "lens_model,power\nL1,2027-03-01,OT1,morning,C1,1,P-1,left,PHACO,paid,SA,L,+20.00\n"
        "L1,2027-03-01,OT1,morning,C2,2,P-2,left,PHACO,free,SA,L,+20.00\n",
        "opening-stock": "item,place,quantity,lot,expiry,received,total,terms\n"
        f"L+20.00,STORE,2,A1,2029-01,2027-01-10,{text},bought\n",
    }
    for kind, rows in files.items():
        desk.ok(f"import {kind} {desk.file(f'{kind}.csv', rows)} --by MA -y", today="2027-02-01")
    for case in ("C1", "C2"):
        desk.ok(f"finish {case} --as-kit --by NU -y")
    return desk


@pytest.mark.parametrize(
    ("code", "total", "tariff", "price"),
    [("JPY", "601", "1000", "700"), ("KWD", "0.601", "1.000", "0.700")],
)
def test_currencies_without_and_with_three_decimals(
    tmp_path: Path, code: str, total: str, tariff: str, price: str
) -> None:
    desk = in_currency(tmp_path, code, total)
    asked = f"what-if --month 2027-03 --tariff paid {tariff}"
    assert now(desk, asked, "result_of_the_period") == 399
    found = now(desk, asked, "highest_price_of_a_lens", "free")
    free = now(desk, asked, "of_it_the_lens", "free")
    assert found == 399 + free
    assert cells(desk.ok(asked), "Highest price of a lens")[-1] == price
    fine = desk.refused(f"what-if --month 2027-03 --tariff paid {tariff}.0005", 2)
    assert "--tariff" in fine


def numbers(value: object) -> Iterator[object]:
    if isinstance(value, dict):
        for one in value.values():
            yield from numbers(one)
    elif isinstance(value, list):
        for one in value:
            yield from numbers(one)
    else:
        yield value


def test_json_holds_whole_numbers_and_text_alone(worked: Desk) -> None:
    found = json.loads(worked.ok(f"{ASKED} --lens free RINGL --share free 50 --json"))
    assert {type(one) for one in numbers(found)} <= {int, str, bool, type(None)}
