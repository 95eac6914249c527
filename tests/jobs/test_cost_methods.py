"""A period by lot, FIFO and moving average through the command, against the ledger's own sums."""

import json

import pytest
from desk import Desk

from jobs.pages import line_with

MARCH = "cost --month 2027-03"
BOTH = f"{MARCH} --method fifo --method average"
FIGURES = ("opening", "received", "used", "differences", "closing")


def by_method(desk: Desk, line: str = BOTH) -> dict[str, dict[str, int]]:
    """The total of each method, in minor units."""
    rows = json.loads(desk.ok(f"{line} --json"))["cost_by_method"]["rows"]
    return {row["method"]: {name: row[f"{name}_minor"] for name in FIGURES} for row in rows}


def by_class(desk: Desk, name: str) -> dict[str, dict[str, int]]:
    rows = json.loads(desk.ok(f"{BOTH} --json"))["cost_by_method_class"]["rows"]
    return {
        row["method"]: {figure: row[f"{figure}_minor"] for figure in FIGURES}
        for row in rows
        if row["class"] == name
    }


def proof(desk: Desk, line: str = MARCH) -> dict[str, int]:
    rows = json.loads(desk.ok(f"{line} --json"))["proof"]["rows"]
    return {row["figure"]: row["value_minor"] for row in rows}


@pytest.fixture
def busy(desk: Desk) -> Desk:
    """Deliveries with freight and tax, consigned dye; cases, waste, finds, and reversals."""
    receive = "receive ACME --by KE -y"
    desk.ok(f"{receive} --note A1 --line VISC 3 V8 2028-01 130 --freight 10")
    desk.ok(f"{receive} --note A2 --line KNIFE 7 K8 2027-12 12.34 --tax 5.55")
    desk.file("dye.csv", "item,units,lot,expiry,terms,agreed\nDYE,4,D9,2028-05,consigned,100\n")
    desk.ok("receive CART --note B1 --lines dye.csv --by KE -y")
    desk.ok("move VISC 2 --from STORE --to OT2 --by KE")
    desk.ok("finish C1 --as-kit --lot VISC V8 --wasted KNIFE 1 dropped --by NU")
    desk.ok("issue C2 --by NU --found VISC V77 2028-09 1")
    desk.ok("finish C2 --as-kit --by NU")
    desk.ok("discard VISC 1 --from STORE --reason damaged --by KE")
    desk.ok(f"reverse {desk.last()[0]} --by KE --reason typing-error")
    desk.ok("finish C3 --as-kit --by NU")
    desk.ok(f"reverse {desk.last()[0]} --by NU --reason wrong-case")
    desk.ok("book verify")
    return desk


def test_by_lot_is_what_the_proof_of_the_same_month_says(busy: Desk) -> None:
    wanted, found = proof(busy), by_method(busy)["lot"]
    assert found["opening"] == wanted["opening"]
    assert found["used"] == wanted["used"] + wanted["wasted"]
    assert found["differences"] == wanted["differences"] == 13000
    came = wanted["received"] + wanted["opening_stock"] + wanted["made"] - wanted["sent_back"]
    assert found["received"] == came
    assert found["closing"] == wanted["on_hand"]
    assert wanted["on_hand"] == busy.rows("SELECT SUM(value) FROM on_hand")[0][0]


def test_every_method_balances_and_received_the_same(busy: Desk) -> None:
    found = by_method(busy)
    for sums in found.values():
        had = sums["opening"] + sums["received"] + sums["differences"]
        assert had == sums["used"] + sums["closing"]
    assert len({sums["received"] for sums in found.values()}) == 1
    assert len({sums["used"] for sums in found.values()}) == 3


def test_fifo_takes_the_lot_recorded_first_whichever_was_used(desk: Desk) -> None:
    """The shelf has V1 and V2 at 100, then V3 at 130: the case uses V3 twice."""
    desk.ok("finish C1 --as-kit --lot VISC V3 --by NU")
    used = {name: sums["used"] for name, sums in by_class(desk, "viscoelastic").items()}
    units = desk.rows(
        "SELECT lot.number, movement.quantity FROM movement JOIN lot ON lot.code = lot "
        "WHERE lot.item = 'VISC' AND to_place LIKE 'used/%' ORDER BY 1"
    )
    assert units == [("V1", 1), ("V3", 1)]
    assert used == {"lot": 23000, "fifo": 20000, "average": 22000}


def test_transfers_change_no_figure(desk: Desk) -> None:
    plain = by_method(desk)
    desk.ok("move VISC 5 --from STORE --to OT2 --by KE")
    desk.ok("issue C1 --by NU")
    assert by_method(desk) == plain


def test_what_is_reversed_leaves_no_trace_in_any_method(desk: Desk) -> None:
    plain = by_method(desk)
    desk.ok("finish C1 --as-kit --wasted KNIFE 1 dropped --by NU")
    assert by_method(desk) != plain
    desk.ok(f"reverse {desk.last()[0]} --by NU --reason wrong-case")
    desk.ok("receive ACME --by KE -y --note A1 --line VISC 3 V8 2028-01 130 --freight 10")
    desk.ok(f"reverse {desk.last()[0]} --by KE --reason typing-error")
    desk.ok("discard VISC 2 --from STORE --reason damaged --by KE")
    desk.ok(f"reverse {desk.last()[0]} --by KE --reason typing-error")
    assert by_method(desk) == plain


def test_consigned_units_cost_their_charge_in_every_method(desk: Desk) -> None:
    desk.file("dye.csv", "item,units,lot,expiry,terms,agreed\nDYE,4,D9,2028-05,consigned,100\n")
    desk.ok("receive CART --note B1 --lines dye.csv --by KE -y")
    desk.ok("discard DYE 1 --from STORE --lot D9 --reason damaged --by KE")
    for sums in by_class(desk, "dye").values():
        assert (sums["received"], sums["used"], sums["closing"]) == (2500, 2500, 15000)


def test_a_month_s_closing_is_the_next_one_s_opening_in_every_method(busy: Desk) -> None:
    march = by_method(busy)
    april = by_method(busy, BOTH.replace("2027-03", "2027-04"))
    for method, sums in march.items():
        assert april[method]["opening"] == sums["closing"] == april[method]["closing"]


def test_the_page_shows_the_methods_asked_beside_lot_and_says_how(busy: Desk) -> None:
    page = busy.ok(f"{MARCH} --method fifo")
    assert line_with(page, "Class") == "Class By lot FIFO"
    assert "Moving average" not in page.splitlines()[4]
    said = " ".join(page.split())
    assert "in the order of their entry numbers" in said
    assert "transfers between places are ignored" in said
    assert "LIFO is not offered: IAS 2 does not allow it." in said
    number, checksum = busy.last()
    assert f"Last entry {number}, checksum {checksum}" in page


def test_the_page_has_the_figures_of_the_data(busy: Desk) -> None:
    page, found = busy.ok(BOTH), by_method(busy)
    printed = line_with(page, "used and wasted").split()[-3:]
    wanted = [sums["used"] for sums in found.values()]
    assert [-int(text.replace(",", "").replace(".", "")) for text in printed] == wanted


def test_differences_stand_only_where_there_are_some(busy: Desk) -> None:
    page = busy.ok(BOTH)
    assert page.count("+/- differences") == 2  # in all, and viscoelastic


def test_without_any_stock_there_is_a_page_of_nothing(desk: Desk) -> None:
    page = desk.ok("cost --month 2026-01 --method average")
    assert line_with(page, "IN ALL", "opening") == "IN ALL opening 0.00 0.00"
    assert line_with(page, "turnover") == "turnover in the period"


STORY = (
    "finish C1 --as-kit --wasted KNIFE 1 dropped --by NU",
    "issue C2 --by NU --found VISC V77 2028-09 1",
    "import items items.csv --by MA -y", "reverse 11 --by NU --reason wrong-case",
    "receive ACME --note N --by KE --line VISC 3 V8 2028-01 130 --freight 0.10",
    "discard KNIFE 1 --from STORE --reason wet --by KE --on 2027-02-20",
    "finish C2 --as-kit --lot VISC V3 --by NU", "book settings site Renamed --by MA",
)  # fmt: skip


@pytest.mark.parametrize("form", ["", "--json", "--csv"])
def test_as_of_an_entry_it_is_what_was_printed_when_the_book_stopped_there(
    desk: Desk, form: str
) -> None:
    """Later deliveries, late sheets, reversals and changes of class alter nothing of it."""
    items = desk.path.with_name("items.csv").read_text(encoding="utf-8")
    desk.file("items.csv", items.replace("Knife 2.2 mm,blades", "Knife,sharps"))
    pages = {}
    for line in STORY:
        desk.ok(line)
        pages[desk.last()[0]] = desk.ok(f"{BOTH} {form}")
    assert len(set(pages.values())) > 5
    assert {n: desk.ok(f"{BOTH} {form} --as-of-entry {n}") for n in pages} == pages


def test_as_of_an_entry_without_a_period_it_is_the_month_of_that_entry(desk: Desk) -> None:
    """Entry 9 is of February: without a period it is that month, whatever today is."""
    printed = desk.ok("cost --month 2027-02 --method fifo")
    desk.ok("finish C1 --as-kit --by NU")
    assert desk.ok("cost --method fifo --as-of-entry 9") == printed


def test_as_of_a_day_the_period_ends_with_that_day(desk: Desk) -> None:
    """What is booked by it counts, whenever it was recorded, as on the page by category."""
    desk.ok("finish C1 --as-kit --by NU", today="2027-03-02")
    stopped = by_method(desk)
    desk.ok("finish C2 --as-kit --by NU --reason noticed-later", today="2027-03-04")
    later, asked = Desk(desk.folder, "2027-03-05"), f"{BOTH} --as-of 2027-03-02"
    assert by_method(later, asked) == stopped != by_method(later)
    later.ok("discard VISC 1 --from STORE --reason wet --by KE --on 2027-03-02")
    to_the_day = BOTH.replace("--month 2027-03", "--from 2027-03-01 --to 2027-03-02")
    assert later.ok(asked) == later.ok(to_the_day)
    found = by_method(later, asked)["lot"]
    assert found["used"] == stopped["lot"]["used"] + 10000
    assert found["closing"] == proof(later, f"{MARCH} --as-of 2027-03-02")["on_hand"]
    assert later.last()[1] in later.ok(asked)


def test_data_of_a_case_and_of_a_period_come_in_every_form(busy: Desk) -> None:
    assert json.loads(busy.ok("cost C1 --json"))["case_cost"]["case"] == "C1"
    assert json.loads(busy.ok(f"{MARCH} --json"))["cost"]["first_day"] == "2027-03-01"
    assert busy.ok(f"{BOTH} --csv").startswith("method,opening,received,used,")
    busy.ok(f"{BOTH} -o {busy.folder / 'methods.xlsx'}")
    assert (busy.folder / "methods.xlsx").read_bytes().startswith(b"PK")


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (f"{MARCH} --method lifo", "LIFO is not offered, because IAS 2 does not allow it."),
        (f"{MARCH} --method LIFO --method fifo", "IAS 2"),
        (f"{MARCH} --method fefo", "lot, fifo or average"),
        (f"{MARCH} --method ''", "lot, fifo or average"),
        ("cost C1 --method fifo", "a CASE costs what its lots cost"),
        ("cost --from 2027-03-02 --to 2027-03-01 --method fifo", "after"),
        ("cost --month 2027-13 --method fifo", "calendar"),
        (f"{MARCH} --method fifo --as-of 2027-02-28", "2027-03-01 lies after 2027-02-28"),
    ],
)
def test_a_wrong_question_is_wrong_input(desk: Desk, line: str, words: str) -> None:
    assert words in desk.refused(line, 2)
