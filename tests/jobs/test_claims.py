"""Claims of sponsors: shown, sent, reimbursed, declined, sent again; nothing twice."""

import csv
import hashlib
import io
import json

import pytest
from desk import Desk, new_desk

from jobs.pages import line_with

SPONSORS = """sponsor,name,amount,deduction,days
CAMP,Camp fund,12000.00,4500.00,30
FUND,Eye fund,9000.00,,
SOON,Not agreed yet,,,
"""
GIFT = """item,units,lot,expiry,terms,shadow,sponsors
FLATL+21.50,2,F9,2029-06,in-kind,900.00,CAMP
"""
MARCH = "--from 2027-03-01 --to 2027-03-31"
SEND = f"claims sent CAMP D1 {MARCH} -y --by FI"


@pytest.fixture
def camp(desk: Desk) -> Desk:
    """C1 (a bought lens) and C3 (a lens in kind) are finished for CAMP; C2 is planned for it."""
    desk.ok(f"import sponsors {desk.file('sponsors.csv', SPONSORS)} --by MA")
    desk.ok(f"receive CART --note G1 --lines {desk.file('gift.csv', GIFT)} --by KE")
    for case in ("C1", "C2"):
        desk.ok(f"case change {case} --sponsor CAMP --by NU")
    for line in ("issue C1", "finish C1 --as-kit", "issue C3",
                 "finish C3 --as-kit --lot FLATL+21.50 F9"):  # fmt: skip
        desk.ok(f"{line} --by NU")
    return desk


def shown(desk: Desk, sponsor: str = "CAMP", more: str = MARCH, **at: str) -> dict[str, dict]:
    """The rows of a sponsor's cases by case."""
    rows = json.loads(desk.ok(f"claims show {sponsor} {more} --json", **at))["claims"]["rows"]
    return {row["case"]: row for row in rows}


def states(desk: Desk, sponsor: str = "CAMP") -> dict[str, str]:
    return {case: row["state"] for case, row in shown(desk, sponsor).items()}


def facts(desk: Desk) -> list[tuple]:
    return desk.rows(
        "SELECT code, state, amount, deduction, paid, sent_on, settled_on, reason "
        "FROM claimed_case ORDER BY code"
    )


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
    ("claims show CAMP --sponsors", 2, "give nothing else"),
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


# Sent


def test_a_claim_takes_every_finished_case_as_it_stands(camp: Desk) -> None:
    said = camp.ok(SEND)
    assert "2 cases, due 19,500.00." in said
    assert facts(camp) == [
        ("D1/C1", "sent", 1200000, 0, 0, "2027-03-01", None, None),
        ("D1/C3", "sent", 1200000, 450000, 0, "2027-03-01", None, None),
    ]
    assert states(camp) == {"C1": "sent", "C2": "not yet claimable", "C3": "sent"}
    assert "sound" in camp.ok("book verify")


def test_amounts_stay_as_they_were_sent(camp: Desk) -> None:
    camp.ok(SEND)
    other = SPONSORS.replace("12000.00,4500.00", "10000.00,1000.00")
    camp.ok(f"import sponsors {camp.file('sponsors.csv', other)} -y --by MA")
    assert shown(camp)["C3"]["due_minor"] == 750000
    camp.ok("finish C2 --as-kit --by NU")
    assert shown(camp)["C2"]["due_minor"] == 1000000


def test_what_is_late_or_left_behind_is_asked_about(camp: Desk) -> None:
    line = f"claims sent CAMP D1 {MARCH} --by FI"
    assert "1 case not finished and left out. Claim the rest all the same?" in camp.refused(line, 2)
    said = camp.refused(line, 2, today="2027-04-02")
    assert "past the deadline: C1, C3; 1 case not finished" in said
    assert "Recorded as entry" in camp.ok(f"{line} -y", today="2027-04-02")
    assert shown(camp)["C1"]["days_late"] == 2
    assert "sent 2027-04-02, sent late" in camp.ok(f"claims show CAMP {MARCH}")


def test_the_same_claim_again_is_the_entry_already_there(camp: Desk) -> None:
    camp.ok(SEND)
    last = camp.last()
    assert f"Already recorded as entry {last[0]}" in camp.ok(SEND)
    assert camp.last() == last
    other = SEND.replace("2027-03-31", "2027-03-30")
    assert "with other contents" in camp.refused(other, 3)


def test_a_dry_run_of_a_claim_records_nothing(camp: Desk) -> None:
    before = camp.last()
    assert "it would be entry" in camp.ok(f"{SEND} -n")
    assert camp.last() == before
    assert facts(camp) == []


@pytest.mark.parametrize(("line", "code", "words"), [
    (f"claims sent NOBODY D9 {MARCH} --by FI", 2, "sponsor: NOBODY is not in this book"),
    ("claims sent CAMP D9 --from 2027-03-31 --to 2027-03-01 --by FI", 2, "lies after"),
    ("claims sent CAMP D9 --month 2027-02 --by FI", 3, "has no case on a list"),
    (f"claims sent CAMP D9 {MARCH} --by FI", 3, "nothing is left to claim"),
    (f"claims sent CAMP D9 {MARCH} --again C1 --by FI", 3, "it is sent in document D1 of CAMP"),
    (f"claims sent CAMP D9 {MARCH} --again C2 --by FI", 3, "it is planned"),
    (f"claims sent CAMP D9 {MARCH} --again C4 --by FI", 2, "wanted a case of CAMP"),
    (f"claims sent FUND D1 {MARCH} --by FI", 3, "this is a claim of CAMP, not of FUND"),
    ("claims sent CAMP D9 --by FI", 2, "Give --month"),
    (f"claims sent CAMP D9 {MARCH} --by KE", 3, "KE is keeper"),
    (f"claims sent CAMP D9 {MARCH} --reason typing-error --by FI", 2, "takes no reason"),
    (f"claims sent CAMP '' {MARCH} --by FI", 2, "document: found nothing"),
    ("claims reimbursed D9 --by FI", 2, "document: D9 is no claim of this book. Near: D1."),
    ("claims reimbursed D1 --case C2 --by FI", 2, "C2 is not in document D1"),
    ("claims reimbursed D1 --case C3 --amount 7500.01 --by FI", 3,
     "7,500.01 is more than the 7,500.00 that document D1 claims"),
    ("claims reimbursed D1 --case C3 --amount 0 --by FI", 2, "is declined"),
    ("claims reimbursed D1 --case C3 --amount 1.005 --by FI", 2, "--amount"),
    ("claims reimbursed D1 --case C3 --amount -5 --by FI", 2, "--amount"),
    ("claims reimbursed D1 --amount 5 --by FI", 2, "wanted with --case"),
    ("claims reimbursed D1 --by KE", 3, "KE is keeper"),
    ("claims reimbursed D1 --on 2027-02-28 --by FI", 2, "lies before 2027-03-01"),
    ("claims declined D1 --case C3 --by FI", 2, "found no reason, wanted one of"),
    ("claims declined D1 --case C3 --reason dropped --by FI", 2, "wanted one of"),
    ("claims declined D1 --case C9 --reason not-covered --by FI", 2, "C9 is not in document D1"),
    ("claims declined D1 --reason not-covered --by FI", 2, "--case"),
    ("claims declined D1 --case C3 --reason not-covered --by NU", 3, "NU is nurse"),
])  # fmt: skip
def test_what_cannot_be_recorded_of_a_claim_is_refused(
    camp: Desk, line: str, code: int, words: str
) -> None:
    camp.ok(SEND)
    before = facts(camp)
    assert words in camp.refused(line, code)
    assert facts(camp) == before


# Reimbursed and declined


def test_a_claim_is_reimbursed_in_full(camp: Desk) -> None:
    camp.ok(SEND)
    line = "claims reimbursed D1 --by FI"
    assert "2 cases, due 19,500.00, paid 19,500.00." in camp.ok(line, today="2027-03-20")
    assert [(code, state, paid, on) for code, state, _, _, paid, _, on, _ in facts(camp)] == [
        ("D1/C1", "reimbursed", 1200000, "2027-03-20"),
        ("D1/C3", "reimbursed", 750000, "2027-03-20"),
    ]
    assert "Already recorded" in camp.ok(line, today="2027-03-21")
    said = camp.refused("claims declined D1 --case C1 --reason not-covered --by FI", 3,
                        today="2027-03-21")  # fmt: skip
    assert "document D1 has it as reimbursed since 2027-03-20" in said


def test_one_case_is_reimbursed_by_what_came(camp: Desk) -> None:
    camp.ok(SEND)
    line = "claims reimbursed D1 --case C3 --amount 7000 --by FI"
    camp.ok(line)
    assert "Already recorded" in camp.ok(line)
    assert "with other contents" in camp.refused(line.replace("7000", "7100"), 3)
    camp.ok("claims reimbursed D1 --by FI")
    assert [(code, paid) for code, _, _, _, paid, *_ in facts(camp)] == [
        ("D1/C1", 1200000), ("D1/C3", 700000)
    ]  # fmt: skip
    page = camp.ok(f"claims show CAMP {MARCH}")
    assert line_with(page, "reimbursed", "2 ").endswith("19,500.00 19,000.00")


def test_a_declined_case_is_sent_again_in_another_document_and_only_when_named(
    camp: Desk,
) -> None:
    camp.ok(SEND)
    camp.ok("claims declined D1 --case C3 --reason papers-missing --by FI", today="2027-03-10")
    page = camp.ok(f"claims show CAMP {MARCH}")
    assert "Declined: C3, papers or proof missing" in page
    camp.today = "2027-03-12"
    assert "nothing is left to claim" in camp.refused(f"claims sent CAMP D2 {MARCH} --by FI", 3)
    again = f"claims sent CAMP D2 {MARCH} --again C3 -y --by FI"
    camp.ok(again)
    assert "Already recorded" in camp.ok(again, today="2027-03-13")
    assert [(code, state) for code, state, *_ in facts(camp)] == [
        ("D1/C1", "sent"), ("D1/C3", "declined"), ("D2/C3", "sent")
    ]  # fmt: skip
    row = shown(camp)["C3"]
    assert (row["state"], row["document"]) == ("sent", "D2")
    camp.ok("claims reimbursed D2 --by FI", today="2027-03-20")
    assert states(camp)["C3"] == "reimbursed"
    assert "sound" in camp.ok("book verify")


# Changed since it was sent


def test_a_case_corrected_after_it_was_sent_is_told(camp: Desk) -> None:
    camp.ok(SEND)
    assert "Changed since" not in camp.ok(f"claims show CAMP {MARCH}")
    camp.ok("case change C1 --lot RINGL+21.50 S2 --reason wrong-lot --by NU")
    camp.ok("case change C3 --category paid --reason payer-changed --by NU")
    page = camp.ok(f"claims show CAMP {MARCH}")
    assert "Changed since it was sent: C1, lens was RINGL+21.50 S1, is RINGL+21.50 S2." in page
    assert "Changed since it was sent: C3, category was free, is paid." in page


def test_a_finish_reversed_after_it_was_sent_is_told(camp: Desk) -> None:
    camp.ok(SEND)
    ((finish,),) = camp.rows("SELECT number FROM entry WHERE request_key = 'finish/C1/0'")
    camp.ok(f"reverse {finish} --reason wrong-case --by NU")
    page = camp.ok(f"claims show CAMP {MARCH}")
    assert "Changed since it was sent: C1, it is issued now, not finished." in page


def test_a_case_whose_payer_changed_stays_with_the_sponsor_it_was_claimed_of(camp: Desk) -> None:
    camp.ok(SEND)
    camp.ok("case change C1 --sponsor FUND --by NU")
    page = camp.ok(f"claims show CAMP {MARCH}")
    assert "Changed since it was sent: C1, sponsor was CAMP, is FUND." in page
    assert states(camp, "FUND") == {"C1": "with another sponsor"}
    assert "C1" in line_with(camp.ok(f"claims show FUND {MARCH}"), "sent in document D1 of CAMP")
    assert "1 with another sponsor" in camp.refused(f"claims sent FUND D9 {MARCH} --by FI", 3)


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
    assert "No sponsor is described." in desk.ok("claims show --sponsors")


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
    assert text in line_with(desk.ok("claims show --sponsors"), "CAMP")
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


# Reversed


def test_a_claim_recorded_by_mistake_is_reversed_and_can_be_sent_anew(camp: Desk) -> None:
    camp.ok(SEND)
    camp.ok(f"reverse {camp.last()[0]} --reason typing-error --by FI")
    assert {state for _, state, *_ in facts(camp)} == {"withdrawn"}
    assert states(camp)["C1"] == "to claim"
    assert "no claim of this book" in camp.refused("claims reimbursed D1 --by FI", 2)
    camp.ok(SEND)
    assert {state for _, state, *_ in facts(camp)} == {"sent"}
    assert "sound" in camp.ok("book verify")


def test_what_was_reimbursed_or_declined_by_mistake_is_sent_again_by_a_reversal(
    camp: Desk,
) -> None:
    camp.ok(SEND)
    before = facts(camp)
    for line in ("reimbursed D1", "reimbursed D1 --case C3 --amount 1",
                 "declined D1 --case C3 --reason not-covered"):  # fmt: skip
        camp.ok(f"claims {line} --by FI")
        assert facts(camp) != before
        camp.ok(f"reverse {camp.last()[0]} --reason typing-error --by FI")
        assert facts(camp) == before
        camp.ok(f"claims {line} --by FI")
        camp.ok(f"reverse {camp.last()[0]} --reason typing-error --by FI")


def test_a_claim_under_later_entries_is_not_reversed(camp: Desk) -> None:
    camp.ok(SEND)
    number = camp.last()[0]
    camp.ok("claims reimbursed D1 --case C1 --by FI")
    said = camp.refused(f"reverse {number} --reason typing-error --by FI", 3)
    assert "D1/C1" in said
    assert "Reverse that first" in said
    assert "KE is keeper" in camp.refused(f"reverse {number} --reason typing-error --by KE", 3)


def test_a_refusal_is_not_taken_back_under_a_claim_in_which_the_case_went_again(
    camp: Desk,
) -> None:
    camp.ok(SEND)
    camp.ok("claims declined D1 --case C3 --reason papers-missing --by FI")
    number = camp.last()[0]
    camp.ok(f"claims sent CAMP D2 {MARCH} --again C3 -y --by FI")
    said = camp.refused(f"reverse {number} --reason typing-error --by FI", 3)
    assert "case C3 is sent in document D2 since. Reverse that first." in said
    camp.ok(f"reverse {camp.last()[0]} --reason typing-error --by FI")
    camp.ok(f"reverse {number} --reason typing-error --by FI")
    assert states(camp)["C3"] == "sent"


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
