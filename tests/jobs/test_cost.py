"""What a case cost, and a period's cost by category with its proof."""

import re

import pytest
from desk import Desk

from jobs.pages import cells, line_with


def money(text: str) -> int:
    """A printed amount in minor units."""
    return int(text.replace(",", "").replace(".", ""))


def row(page: str, label: str) -> list[int]:
    """The amounts of a row by category: free, paid, common."""
    line = next(t for t in page.splitlines() if t.lower().removeprefix("of it ").startswith(label))
    return [money(found) for found in re.findall(r"-?[\d,]+\.\d\d(?! %)", line)]


def cases(page: str) -> list[str]:
    return cells(page, "Cases")[1:]


def proof(page: str) -> dict[str, int]:
    """The Proof's lines: words to amount."""
    body = page.partition("Proof ")[2]
    found = re.findall(r"^ *(\S.*?) {2,}(-?[\d,]+\.\d\d)$", body, re.MULTILINE)
    return {words: money(amount) for words, amount in found}


@pytest.fixture
def worked(desk: Desk) -> Desk:
    """Three cases finished on the first of March, a little wasted."""
    desk.ok("finish C1 --as-kit --lot VISC V1 --wasted KNIFE 1 dropped --by NU")
    desk.ok("finish C2 --as-kit --by NU")
    desk.ok("finish C3 --as-kit --by NU")
    return desk


def test_a_case_shows_every_line_seen_or_presumed_with_units_and_value(worked: Desk) -> None:
    page = worked.ok("cost C1")
    assert line_with(page, "V1") == "viscoelastic VISC V1 seen 1 100.00"
    assert line_with(page, "V2") == "viscoelastic VISC V2 presumed 1 100.00"
    assert line_with(page, "I1") == "fluids IODINE I1 presumed 2.5 ml 5.00"
    assert line_with(page, "S1") == "lens RINGL+21.50 R1 / S1 presumed 1 2,400.00"
    assert line_with(page, "K1") == "blades KNIFE K1 presumed 1 33.33 dropped"
    assert line_with(page, "USED") == "USED 2,605.00"
    assert line_with(page, "WASTED") == "WASTED 33.33"


def test_donated_stock_costs_nothing_and_its_shadow_value_stands_beside(worked: Desk) -> None:
    page = worked.ok("cost C3")
    assert line_with(page, "F1") == "lens FLATL+21.50 F1 presumed 1 0.00 300.00 donated"
    assert line_with(page, "USED") == "USED 33.33"


def test_a_case_not_begun_or_not_finished_says_so(desk: Desk) -> None:
    assert "Nothing was used yet." in desk.ok("cost C1")
    desk.ok("issue C1 --by NU")
    assert "still lie on the trolley" in desk.ok("cost C1")


def test_a_period_stands_free_beside_paid_beside_common(worked: Desk) -> None:
    worked.ok("discard DYE 2 --from STORE --reason expired --by KE")
    page = worked.ok("cost --month 2027-03")
    assert cases(page) == ["1", "2"]
    assert row(page, "used") == [3333, 260500 + 267167, 0]
    assert row(page, "wasted, apart") == [0, 3333, 5000]
    assert row(page, "all that ended here") == [3333, 530999 + 1, 5000]


def test_mean_median_lowest_and_highest_are_of_the_cases(worked: Desk) -> None:
    page = worked.ok("cost --month 2027-03")
    paid = [260500, 267167]
    assert row(page, "mean")[-1] == row(page, "median")[-1]
    assert row(page, "mean")[-1] in (sum(paid) // 2, sum(paid) // 2 + 1)
    assert row(page, "lowest")[-1] == min(paid)
    assert row(page, "highest")[-1] == max(paid)


def test_the_classes_sum_to_what_was_used(worked: Desk) -> None:
    page = worked.ok("cost --month 2027-03")
    classes = ("blades", "dye", "fluids", "lens", "viscoelastic")
    assert sum(row(page, name)[-1] for name in classes) == row(page, "used")[1]
    assert "(91.0 %)" in line_with(page, "lens")


def test_donated_stock_is_shown_at_shadow_value_and_never_added(worked: Desk) -> None:
    page = worked.ok("cost --month 2027-03")
    assert row(page, "donated or in kind, at shadow value") == [30000, 0, 0]
    assert row(page, "all that ended here")[0] == 3333


def test_the_proof_adds_up_to_the_minor_unit(worked: Desk) -> None:
    worked.ok("receive ACME --note N --by KE --line KNIFE 3 K9 2029-01 1 --freight 0.10")
    worked.ok("discard DYE 2 --from STORE --reason expired --by KE")
    page = worked.ok("cost --month 2027-03")
    lines = proof(page)
    on_hand = worked.rows("SELECT SUM(value) FROM on_hand")[0][0]
    assert lines["opening"] == 1062100
    assert lines["+ received"] == 310
    assert lines["- used"] == -sum(row(page, "used"))
    assert lines["- wasted"] == -sum(row(page, "wasted, apart"))
    body = [v for words, v in lines.items() if not words.endswith("on hand")]
    assert sum(body) == lines["= should be on hand"] == lines["on hand"] == on_hand
    number, checksum = worked.last()
    assert f"The proof holds. Last entry {number}, checksum {checksum}" in page


def test_the_proof_of_a_past_month_walks_back_over_later_entries(worked: Desk) -> None:
    assert proof(worked.ok("cost --month 2027-02"))["+ opening stock"] == 1062100
    assert proof(worked.ok("cost --month 2027-02"))["on hand"] == 1062100


def test_found_units_stand_as_difference_and_as_provisional(desk: Desk) -> None:
    desk.ok("issue C1 --by NU --found VISC V77 2028-09 1")
    desk.ok("finish C1 --as-kit --by NU")
    page = desk.ok("cost --month 2027-03")
    assert proof(page)["+/- differences"] == 10000
    assert "Provisional prices in these figures: 100.00." in page
    assert "provisional price" in line_with(desk.ok("cost C1"), "V77")


def test_a_staged_case_is_no_cost_and_is_named_as_not_finished(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    page = desk.ok("cost --month 2027-03")
    assert row(page, "used") == [0, 0, 0]
    assert "Not finished: 1 case on a trolley." in page
    assert "The proof holds." in page


def test_a_case_counts_in_the_month_its_use_was_booked_not_its_issue(desk: Desk) -> None:
    desk.ok("issue C1 --by NU -y", today="2027-03-31")
    desk.ok("finish C1 --as-kit --by NU", today="2027-04-01")
    day = {"today": "2027-04-02"}
    assert cases(desk.ok("cost --month 2027-03", **day)) == ["0", "0"]
    assert cases(desk.ok("cost --month 2027-04", **day)) == ["0", "1"]


def test_a_reversed_finish_takes_the_case_and_its_cost_away(worked: Desk) -> None:
    worked.ok("reverse 11 --by NU --reason wrong-case")
    page = worked.ok("cost --month 2027-03")
    assert cases(page) == ["1", "1"]
    assert row(page, "used")[1] == 267167
    assert "The proof holds." in page


def test_a_case_reversed_and_finished_again_in_another_month_is_counted_once(desk: Desk) -> None:
    """Rule 7: a case is counted once, in the period its first use was booked."""
    desk.ok("finish C1 --as-kit --by NU")
    april = {"today": "2027-04-01"}
    desk.ok("reverse 11 --by NU --reason typing-error", **april)
    desk.ok("finish C1 --as-kit --by NU", **april)
    pages = [desk.ok(f"cost --month {month}", **april) for month in ("2027-03", "2027-04")]
    assert sum(int(cases(page)[1]) for page in pages) == 1
    assert sum(row(page, "all that ended here")[1] for page in pages) == 263833


def test_a_period_over_both_months_counts_it_once_too(desk: Desk) -> None:
    desk.ok("finish C1 --as-kit --by NU")
    april = {"today": "2027-04-01"}
    desk.ok("reverse 11 --by NU --reason typing-error", **april)
    desk.ok("finish C1 --as-kit --by NU", **april)
    page = desk.ok("cost --from 2027-03-01 --to 2027-04-30", **april)
    assert cases(page) == ["0", "1"]
    assert row(page, "used")[1] == 263833


def test_without_a_period_it_is_this_month(worked: Desk) -> None:
    assert worked.ok("cost") == worked.ok("cost --month 2027-03")


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("cost C9", "C9"),
        ("cost C1 --month 2027-03", "not both"),
        ("cost --month 2027-13", "calendar"),
        ("cost --month 2027-03-01", "2027-03-01"),
        ("cost --month march", "march"),
        ("cost --from 2027-03-01", "--to"),
        ("cost --from 2027-03-02 --to 2027-03-01", "after"),
        ("cost --from 2027-02-30 --to 2027-03-01", "calendar"),
    ],
)
def test_a_wrong_question_is_wrong_input(desk: Desk, line: str, words: str) -> None:
    assert words in desk.refused(line, 2)
