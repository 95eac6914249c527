"""Claims shown: each case with its lens, money and state; every sponsor; data; what waits."""

import csv
import hashlib
import io
import json

import pytest
from desk import Desk, new_desk

from jobs.claiming import MARCH, SEND, claimable, shown
from jobs.pages import line_with


@pytest.fixture
def camp(desk: Desk) -> Desk:
    """C1 (a bought lens) and C3 (a lens in kind) are finished for CAMP; C2 is planned for it."""
    return claimable(desk)


# Shown


def test_each_case_stands_with_what_it_really_used_and_what_is_asked(camp: Desk) -> None:
    rows = shown(camp)
    assert list(rows) == ["C1", "C2", "C3"]
    c1, c3 = rows["C1"], rows["C3"]
    assert (c1["list_day"], c1["patient"], c1["eye"]) == ("2027-03-01", "P-1", "right")
    assert (c1["lenses"], c1["serials"]) == ("RINGL+21.50", "S1")
    assert (c1["amount_minor"], c1["deduction_minor"], c1["due_minor"]) == (1200000, 0, 1200000)
    assert (c3["lenses"], c3["serials"]) == ("FLATL+21.50", "F9")
    assert (c3["amount_minor"], c3["deduction_minor"], c3["due_minor"]) == (1200000, 450000, 750000)
    assert c1["deadline"] == c3["deadline"] == "2027-03-31"
    assert [row["state"] for row in rows.values()] == ["to claim", "not yet claimable", "to claim"]


def test_the_page_tells_the_case_its_money_and_what_cannot_be_claimed_yet(camp: Desk) -> None:
    page = camp.ok(f"claims show CAMP {MARCH}")
    assert "12,000.00 a case, less 4,500.00 for each lens given in kind; 30 days to claim" in page
    assert line_with(page, "C3", "P-3") == "2027-03-01 C3 P-3 left FLATL +21.50 F9 seen"
    assert line_with(page, "C3", "7,500.00") == (
        "C3 12,000.00 4,500.00 7,500.00 2027-03-31 to claim"
    )
    assert line_with(page, "to claim", "2 ") == "to claim 2 24,000.00 4,500.00 19,500.00 0.00"
    assert line_with(page, "C2") == "2027-03-01 C2 P-2 planned, not finished"
    number, checksum = camp.last()
    assert f"Last entry {number}, checksum {checksum}\n" in page
    assert page.rstrip().endswith("until when and on which proof.")


def test_tables_of_claims_fit_a_hundred_columns(camp: Desk) -> None:
    camp.ok(SEND)
    camp.ok("claims declined D1 --case C3 --reason papers-missing --by FI")
    page = camp.ok(f"claims show CAMP {MARCH}", today="2027-05-01")
    assert max(map(len, page.splitlines())) <= 100


def test_a_sponsor_that_nobody_described_has_no_amount_and_it_is_never_nothing(desk: Desk) -> None:
    """The small site's case C3 names CAMP, of which the book says nothing."""
    desk.ok("finish C3 --as-kit --by NU")
    row = shown(desk)["C3"]
    assert (row["amount_minor"], row["due_minor"], row["deadline"]) == (None, None, None)
    assert row["state"] == "to claim"
    page = desk.ok(f"claims show CAMP {MARCH}")
    assert "The book does not describe CAMP: no amount stated" in page
    assert line_with(page, "C3", "no amount stated") == "C3 no amount stated to claim"
    assert "0.00" not in line_with(page, "C3", "no amount stated")
    assert "sound" in desk.ok("book verify")


def test_a_sponsor_that_states_no_amount_has_none(camp: Desk) -> None:
    camp.ok("case change C3 --sponsor SOON --by NU")
    assert shown(camp, "SOON")["C3"]["due_minor"] is None
    said = camp.refused(f"claims sent SOON D1 {MARCH} --by FI", 3)
    assert "no amount stated" in said


@pytest.mark.parametrize(("today", "words", "late"), [
    ("2027-03-31", "to claim", 0), ("2027-04-01", "to claim, LATE by 1 day", 1),
    ("2027-04-02", "to claim, LATE by 2 days", 2),
])  # fmt: skip
def test_a_late_case_is_marked_by_words(camp: Desk, today: str, words: str, late: int) -> None:
    assert shown(camp, today=today)["C1"]["days_late"] == late
    page = camp.ok(f"claims show CAMP {MARCH}", today=today)
    assert line_with(page, "C1", "12,000.00").endswith(words)
    assert ("LATE: the deadline of 2 cases has passed." in page) == bool(late)


def test_a_serial_that_nobody_scanned_is_presumed(camp: Desk) -> None:
    """C3's lot was named at the finish; that of C1 was only picked."""
    assert {case: row["how_known"] for case, row in shown(camp).items()} == {
        "C1": "presumed", "C2": None, "C3": "seen"
    }  # fmt: skip
    page = camp.ok(f"claims show CAMP {MARCH}")
    assert line_with(page, "C1", "P-1").endswith("S1 presumed")


def test_a_period_without_cases_is_said(camp: Desk) -> None:
    assert "No case of CAMP is on a list of these days." in camp.ok(
        "claims show CAMP --month 2027-02"
    )


@pytest.mark.parametrize(("line", "code", "words"), [
    ("claims show NOBODY", 2, "NOBODY is not in this book, and no case names it"),
    ("claims show CAMPS", 2, "Near: CAMP."),
    ("claims show CAMP --from 2027-03-31 --to 2027-03-01", 2, "lies after 2027-03-01"),
    ("claims show --from 2027-03-31 --to 2027-03-01", 2, "lies after 2027-03-01"),
    ("claims show CAMP --from 2027-03-31", 2, "wanted --month YYYY-MM, or both"),
    ("claims show --sample 3", 2, "name it"),
    ("claims show CAMP --sample 0", 2, "0 is not in the range"),
    ("claims show CAMP --from 2027-02-30 --to 2027-03-01", 2, "--from"),
])  # fmt: skip
def test_a_question_that_cannot_be_meant_is_refused(
    camp: Desk, line: str, code: int, words: str
) -> None:
    assert words in camp.refused(line, code)


def test_a_case_without_a_lens_and_one_with_the_sponsor_s_own_number(camp: Desk) -> None:
    """C5 has no lens in its plan; the number is shown once any case has one."""
    camp.ok("case change C2 --sponsor-number S/77 --by NU")
    camp.ok("finish C2 --as-kit --by NU")
    assert shown(camp)["C2"]["sponsor_number"] == "S/77"
    page = camp.ok(f"claims show CAMP {MARCH}")
    assert "Their number" in page
    assert "S/77" in line_with(page, "C2", "P-2")


# The sample


def test_the_sample_can_be_drawn_again_by_the_printed_rule(camp: Desk) -> None:
    page = camp.ok(f"claims show CAMP {MARCH} --sample 1")
    (text,) = [line.strip() for line in page.splitlines() if line.startswith('  ["')]
    digests = {
        case: hashlib.sha256(text.replace('"CASE"', f'"{case}"').encode()).hexdigest()
        for case in ("C1", "C3")
    }
    drawn = min(digests, key=digests.__getitem__)
    assert line_with(page, drawn, "P-").startswith(digests[drawn][:12])
    assert "To verify: 1 of 2 finished cases" in page
    rows = json.loads(camp.ok(f"claims show CAMP {MARCH} --sample 1 --json"))["sample"]["rows"]
    assert [(row["case"], row["sha_256"]) for row in rows] == [(drawn, digests[drawn])]


def test_a_sample_larger_than_the_cases_is_all_of_them(camp: Desk) -> None:
    rows = json.loads(camp.ok(f"claims show CAMP {MARCH} --sample 9 --json"))["sample"]["rows"]
    assert {row["case"] for row in rows} == {"C1", "C3"}
    again = json.loads(camp.ok(f"claims show CAMP {MARCH} --sample 9 --json"))["sample"]["rows"]
    assert again == rows


# All sponsors


def test_every_sponsor_stands_with_what_is_open_sent_and_reimbursed(camp: Desk) -> None:
    camp.ok(SEND)
    camp.ok("claims reimbursed D1 --case C1 --by FI")
    page = camp.ok("claims show")
    assert line_with(page, "CAMP", "sent") == "CAMP Camp fund sent 1 7,500.00"
    assert line_with(page, "CAMP", "reimb") == "CAMP Camp fund reimbursed 1 12,000.00 12,000.00"
    assert line_with(page, "CAMP", "not yet") == "CAMP Camp fund not yet claimable 1"
    rows = json.loads(camp.ok("claims show --json"))["sponsors"]["rows"]
    found = {(row["sponsor"], row["state"]): (row["cases"], row["paid_minor"]) for row in rows}
    assert found["CAMP", "reimbursed"] == (1, 1200000)
    assert found["FUND", "to claim"] == (0, 0)
    within = json.loads(camp.ok("claims show --month 2027-02 --json"))["sponsors"]["rows"]
    assert sum(row["cases"] for row in within) == 0


def test_sponsors_that_only_a_case_names_are_listed_and_named(desk: Desk) -> None:
    desk.ok("finish C3 --as-kit --by NU")
    page = desk.ok("claims show")
    assert line_with(page, "CAMP", "to claim") == "CAMP to claim 1 no amount stated"
    assert "Not described, so no amount stated: CAMP." in page


def test_a_book_without_sponsors_says_so(tmp_path: object) -> None:
    desk = new_desk(tmp_path)  # type: ignore[arg-type]
    assert "No sponsor is described and no case names one." in desk.ok("claims show")
    assert "No sponsor is described." in desk.ok("sponsor show")


# Data


def test_data_forms_say_the_same(camp: Desk) -> None:
    camp.ok(SEND)
    found = list(csv.DictReader(io.StringIO(camp.ok(f"claims show CAMP {MARCH} --csv"))))
    assert [(row["case"], row["due"], row["state"]) for row in found] == [
        ("C1", "12000.00", "sent"), ("C2", "12000.00", "not yet claimable"),
        ("C3", "7500.00", "sent"),
    ]  # fmt: skip
    target = camp.folder / "claims.xlsx"
    camp.ok(["claims", "show", "CAMP", *MARCH.split(), "-o", str(target)])
    from openpyxl import load_workbook

    sheet = load_workbook(target)["claims"]
    rows = list(sheet.iter_rows(values_only=True))
    assert rows[0][2] == "case"
    assert [row[2] for row in rows[1:]] == ["C1", "C2", "C3"]
    assert rows[3][12] == 7500


@pytest.mark.parametrize(("currency", "typed", "minor", "text"), [
    ("JPY", "12000", 12000, "12,000"), ("KWD", "120.125", 120125, "120.125"),
    ("INR", "120.12", 12012, "120.12"),
])  # fmt: skip
def test_amounts_have_the_currency_s_own_decimals(
    tmp_path: object, currency: str, typed: str, minor: int, text: str
) -> None:
    desk = new_desk(tmp_path, currency=currency)  # type: ignore[arg-type]
    rows = f"sponsor,name,amount,deduction,days\nCAMP,Camp,{typed},,\n"
    desk.ok(f"import sponsors {desk.file('s.csv', rows)} --by MA")
    assert desk.rows("SELECT amount, deduction, days FROM sponsor") == [(minor, 0, None)]
    assert text in line_with(desk.ok("sponsor show"), "CAMP")
    finer = rows.replace(typed, f"{typed}{'.5' if currency == 'JPY' else '5'}")
    assert "amount" in desk.refused(f"import sponsors {desk.file('f.csv', finer)} --by MA", 2)


# Imported


@pytest.mark.parametrize(("row", "column"), [
    ("CAMP,,1,,", "name"), ("camp fund,X,1,,", "sponsor"), ("CAMP,X,-1,,", "amount"),
    ("CAMP,X,1,x,", "deduction"), ("CAMP,X,1,,-1", "days"), ("CAMP,X,1,,3661", "days"),
    ("CAMP,X,1,,1.5", "days"), ("CAMP,X,,5,", "deduction"), ("CAMP,X,1e3,,", "amount"),
])  # fmt: skip
def test_a_sponsor_s_row_that_cannot_be_meant_is_named(desk: Desk, row: str, column: str) -> None:
    file = desk.file("s.csv", f"sponsor,name,amount,deduction,days\n{row}\n")
    said = desk.refused(f"import sponsors {file} --by MA", 2)
    assert column in said


def test_a_column_that_is_not_there_keeps_what_is_known(camp: Desk) -> None:
    file = camp.file("s.csv", "sponsor,name\nCAMP,Other name\n")
    camp.ok(f"import sponsors {file} -y --by MA")
    assert camp.rows("SELECT name, amount, deduction, days FROM sponsor WHERE code = 'CAMP'") == [
        ("Other name", 1200000, 450000, 30)
    ]


# What waits today


@pytest.mark.parametrize(("day", "words"), [
    ("2027-03-23", None), ("2027-03-24", "CAMP 2027-03-31 2 cases to claim by then"),
    ("2027-03-31", "CAMP 2027-03-31 2 cases to claim by then"),
    ("2027-04-01", "CAMP 2027-03-31 2 cases LATE since the first deadline"),
])  # fmt: skip
def test_a_deadline_is_named_a_week_before_and_until_it_is_claimed(
    camp: Desk, day: str, words: str | None
) -> None:
    page = camp.ok("today --role finance", today=day)
    assert f"Claims whose deadline is near or past: {'1' if words else 'none'}" in page
    assert words is None or line_with(page, "CAMP") == words
    camp.ok(SEND, today=day)
    page = camp.ok("today --role finance", today=day)
    assert "Claims whose deadline is near or past: none" in page


def test_a_sponsor_without_days_never_waits(camp: Desk) -> None:
    camp.ok("case change C3 --sponsor FUND --by NU")
    assert "FUND" not in camp.ok("today", today="2028-03-01")


def test_a_book_that_describes_no_sponsor_has_no_line_for_claims(desk: Desk) -> None:
    assert "Claims" not in desk.ok("today")
