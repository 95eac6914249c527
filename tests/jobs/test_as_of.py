"""Questions about the past: what is known now about a day, what was known at an entry."""

import pytest
from desk import Desk
from ledger.books import opened, record

from jobs.pages import line_with
from stockbook.domain.asking import AsOf
from stockbook.domain.facts import Setting
from stockbook.domain.finance_facts import Period
from stockbook.jobs.as_of import as_of_typed, site_as_of
from stockbook.jobs.cost import cost_of_case, cost_of_period
from stockbook.jobs.expiring import expiring_stock
from stockbook.jobs.stock import lens_grid, stock_on_hand
from stockbook.reports.cost import case_page, period_page

MARCH = ("2027-03-01", "2027-03-31")
LATER = "2027-03-05"


def units(desk: Desk, question: str) -> dict[tuple[str, str], str]:
    """Place and lot to units, as a page of stock prints them."""
    rows = [line.split() for line in desk.ok(f"stock {question}", today=LATER).splitlines()]
    return {(row[1], row[2]): row[4] for row in rows if len(row) > 5 and row[0] == "KNIFE"}


@pytest.fixture
def late(desk: Desk) -> Desk:
    """Knives of K2 reach the theatre on the 4th; a sheet says one was thrown away on the 2nd."""
    desk.ok("move KNIFE 2 --from STORE --to OT1 --lot K2 --by KE", today="2027-03-04")
    desk.ok("discard KNIFE 1 --from OT1 --lot K2 --reason wet --by KE --on 2027-03-02", today=LATER)
    return desk


def test_as_of_a_day_counts_a_sheet_that_came_late(late: Desk) -> None:
    assert units(late, "KNIFE --as-of 2027-03-01") == {("OT1", "K1"): "3", ("STORE", "K2"): "5"}
    found = units(late, "KNIFE --as-of 2027-03-04")
    assert found == {("OT1", "K1"): "3", ("OT1", "K2"): "1", ("STORE", "K2"): "3"}
    assert found == units(late, "KNIFE")


def test_as_of_an_entry_does_not_know_it_yet(late: Desk) -> None:
    found = units(late, "KNIFE --as-of-entry 10")
    assert found == {("OT1", "K1"): "3", ("OT1", "K2"): "2", ("STORE", "K2"): "3"}


def test_rule_07_a_place_below_nothing_at_a_past_day_is_shown_and_said(late: Desk) -> None:
    assert units(late, "KNIFE --as-of 2027-03-02")["OT1", "K2"] == "-1"
    with opened(late.path) as book:
        stock = stock_on_hand(book, "2027-03-02", as_of=AsOf("2027-03-02"))
        assert [(s.row.place, s.row.quantity) for s in stock.below_nothing] == [("OT1", -1)]
        expiring = expiring_stock(book, "2027-03-02", within="400", as_of=AsOf("2027-03-02"))
        assert [(e.row.place, e.row.quantity) for e in expiring.below_nothing] == [("OT1", -1)]
        assert stock_on_hand(book, LATER, as_of=AsOf(LATER)).below_nothing == ()


def test_lenses_below_nothing_are_counted_and_net_out(desk: Desk) -> None:
    desk.ok("move FLATL+21.50 2 --from STORE --to OT1 --by KE", today="2027-03-04")
    desk.ok("discard FLATL+21.50 1 --from OT1 --reason wet --by KE --on 2027-03-02", today=LATER)
    with opened(desk.path) as book:
        grid = lens_grid(book, "2027-03-02", as_of=AsOf("2027-03-02"))
    assert (grid.usable["FLATL", 2150], grid.below_nothing) == (3, 1)


def test_the_heading_says_what_was_asked(late: Desk) -> None:
    assert "2027-03-04 (as known now)" in late.ok("stock --as-of 2027-03-04", today=LATER)
    page = late.ok("stock KNIFE --as-of-entry 10", today=LATER)
    assert "2027-03-04 (KNIFE, as it stood after entry 10)" in page


@pytest.mark.parametrize(("day", "expired"), [("2027-02-10", False), ("2027-02-11", True)])
def test_usable_is_judged_as_at_the_day(desk: Desk, day: str, *, expired: bool) -> None:
    page = desk.ok(f"stock DYE --as-of {day}")
    assert ("expired 2027-02-10" in line_with(page, "D0")) is expired
    assert ("EXPIRED and" in desk.ok(f"expiring --as-of {day}")) is expired


def test_facts_stand_as_known_now_at_a_day_and_as_known_then_at_an_entry(desk: Desk) -> None:
    line = "quarantine start --item VISC --lot V3 --reason cluster --by MA"
    desk.ok(line, today=LATER)
    day, entry = (desk.ok(f"stock VISC {w}") for w in ("--as-of 2027-03-01", "--as-of-entry 9"))
    assert "quarantine Q1" in line_with(day, "V3")
    assert "quarantine" not in line_with(entry, "V3")


def test_a_late_entry_does_not_turn_the_clock_back(late: Desk) -> None:
    """Entry 11 tells of the 2nd; when it was recorded the book was at the 4th already."""
    with opened(late.path) as book:
        assert as_of_typed(book, LATER, None, "11") == AsOf("2027-03-04", 11)
        assert as_of_typed(book, LATER, None, "9") == AsOf("2027-02-01", 9)


def reached(page: str) -> set[str]:
    return {word for word in page.split() if word in {"C1", "C2", "C3"}}


def test_a_trace_ignores_what_came_later(desk: Desk) -> None:
    desk.ok("finish C1 --as-kit --by NU", today="2027-03-01")
    desk.ok("finish C2 --as-kit --by NU --reason noticed-later", today="2027-03-03")
    assert reached(desk.ok("trace K1", today=LATER)) == {"C1", "C2"}
    for question in ("--as-of 2027-03-02", "--as-of-entry 11"):
        assert reached(desk.ok(f"trace K1 {question}", today=LATER)) == {"C1"}
        assert "Nothing was moved" in desk.ok(f"trace C2 {question}", today=LATER)
    assert "issue" in desk.ok("trace C2 --as-of 2027-03-03", today=LATER)


def test_a_reversal_that_came_later_undoes_nothing_yet(desk: Desk) -> None:
    desk.ok("finish C1 --as-kit --by NU")
    desk.ok("reverse 11 --by NU --reason wrong-case", today=LATER)
    now, then = (desk.ok(f"trace K1 {w}", today=LATER) for w in ("", "--as-of-entry 11"))
    assert "undone" in now
    assert "undone" not in then
    assert then == desk.ok("trace K1 --as-of 2027-03-01", today=LATER)


def test_a_lot_that_came_later_is_not_known_at_an_entry(desk: Desk) -> None:
    desk.ok("receive ACME --note N --by KE --line KNIFE 3 K9 2029-01 1")
    assert "K9" in desk.refused("trace K9 --as-of-entry 9", 2)
    assert "K9" in desk.refused("stock --lot K9 --as-of-entry 9", 2)


def printed(desk: Desk, entry: int) -> str:
    """March by category as of an entry."""
    with opened(desk.path) as book:
        as_of = as_of_typed(book, LATER, None, str(entry))
        return period_page(cost_of_period(book, *MARCH, as_of), site_as_of(book, as_of)) + "\n"


def test_a_cost_page_of_a_past_entry_is_the_page_printed_then(desk: Desk) -> None:
    """Rule 7: later changes of class, late sheets and reversals never alter it, nor its proof."""
    pages = {}
    items = desk.path.with_name("items.csv").read_text(encoding="utf-8")
    desk.file("items.csv", items.replace("Knife 2.2 mm,blades", "Knife,sharps"))
    for line in (
        "finish C1 --as-kit --wasted KNIFE 1 dropped --by NU", "issue C2 --by NU",
        "import items items.csv --by MA -y", "reverse 11 --by NU --reason wrong-case",
        "discard KNIFE 1 --from STORE --reason wet --by KE --on 2027-02-20",
        "receive ACME --note N --by KE --line KNIFE 3 K9 2029-01 1 --freight 0.10",
    ):  # fmt: skip
        desk.ok(line)
        pages[desk.last()[0]] = desk.ok("cost --month 2027-03")
    assert len(set(pages.values())) == len(pages)
    assert {entry: printed(desk, entry) for entry in pages} == pages
    assert all("The proof holds." in page for page in pages.values())


def test_the_cost_of_a_case_as_of_an_entry_is_the_page_printed_then(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    staged = desk.ok("cost C1")
    desk.ok("finish C1 --as-kit --by NU")
    with opened(desk.path) as book:
        as_of = as_of_typed(book, LATER, None, "10")
        assert case_page(cost_of_case(book, "C1", as_of), site_as_of(book, as_of)) + "\n" == staged
        assert cost_of_case(book, "C1", AsOf("2027-02-28")).lines == ()


def test_cost_as_of_a_day_counts_what_was_booked_by_it(desk: Desk) -> None:
    """The month so far; the proof closes on that day and names the book's last entry."""
    desk.ok("finish C1 --as-kit --by NU", today="2027-03-01")
    desk.ok("issue C2 --by NU", today="2027-03-02")
    desk.ok("finish C2 --as-kit --by NU --reason noticed-later", today="2027-03-03")
    with opened(desk.path) as book:
        then = cost_of_period(book, *MARCH, AsOf("2027-03-02"))
        assert then.last_day == "2027-03-02"
        assert [c.cases for c in then.categories] == [0, 1, 0]
        assert then.unfinished == ("C2",)
        assert then.proof.holds
        assert (then.proof.last_entry, then.proof.checksum) == desk.last()
        whole = cost_of_period(book, *MARCH, AsOf(LATER))
        assert [c.cases for c in whole.categories] == [0, 2, 0]
        assert whole.unfinished == ()


def test_rule_07_money_as_of_a_day_goes_by_the_day_booked(desk: Desk) -> None:
    """What happened in a closed period is booked, and counted, on the first open day."""
    record(desk, facts=(Period("FEB", "2027-02-01", "2027-03-02", closed=True),), day="2027-03-03")
    desk.ok("finish C1 --as-kit --by NU --reason noticed-later --on 2027-03-01", today=LATER)
    with opened(desk.path) as book:
        lines = [len(cost_of_case(book, "C1", AsOf(d)).lines) for d in ("2027-03-02", "2027-03-03")]
    assert lines == [0, 5]
    assert "OT1 trolley/OT1" in line_with(desk.ok("trace C1 --as-of 2027-03-01"), "K1", "issue")


def test_a_heading_as_of_an_entry_bears_the_name_the_site_had(desk: Desk) -> None:
    record(desk, facts=(Setting("site", "Great Site"),))
    assert "Great Site" in desk.ok("stock --as-of 2027-02-01")
    assert "Small Site" in desk.ok("stock --as-of-entry 9")


BAD = [
    ("--as-of 2027-03-02", "--as-of: 2027-03-02 has not come yet; today is 2027-03-01"),
    ("--as-of 2027-01-31", "this book begins on 2027-02-01"),
    ("--as-of 2027-02-30", "--as-of"),
    ("--as-of ''", "--as-of"),
    ("--as-of-entry 10", "entry 10 is not in this book; the last is 9"),
    ("--as-of-entry 0", "entry 0 is not in this book"),
    ("--as-of-entry -1", "entry -1 is not in this book"),
    ("--as-of-entry 1.5", "--as-of-entry"),
    ("--as-of-entry 99999999999999999999", "--as-of-entry"),
    ("--as-of-entry last", "--as-of-entry"),
    ("--as-of 2027-02-01 --as-of-entry 9", "not both"),
]


@pytest.mark.parametrize(
    "command",
    ["stock", "stock --lenses", "expiring", "trace V1", "cost", "cost --method fifo"],
)
@pytest.mark.parametrize(("words", "said"), BAD)
def test_a_day_or_entry_that_is_not_there_is_wrong_input(
    desk: Desk, command: str, words: str, said: str
) -> None:
    assert said in desk.refused(f"{command} {words}", 2)


@pytest.mark.parametrize("words", ["--as-of 2027-02-01", "--as-of today", "--as-of yesterday",
                                   "--as-of-entry 1", "--as-of-entry 9"])  # fmt: skip
def test_the_first_and_the_last_day_and_entry_can_be_asked_about(desk: Desk, words: str) -> None:
    before = desk.path.read_bytes()
    for command in ("stock", "stock --lenses", "stock --per item", "expiring", "stock --json"):
        assert desk.ok(f"{command} {words}")
    assert desk.path.read_bytes() == before
