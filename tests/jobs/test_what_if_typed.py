"""A what-if in every form and currency, and what is typed in vain refused by name."""

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from desk import Desk, new_desk
from openpyxl import load_workbook

from jobs.pages import cells
from jobs.paid_and_free import ASKED, now, worked_site


@pytest.fixture
def worked(desk: Desk) -> Desk:
    return worked_site(desk)


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
