"""Claims sent, reimbursed, declined, sent again, reversed; nothing twice."""

import pytest
from desk import Desk

from jobs.claiming import MARCH, SEND, SPONSORS, claimable, facts, shown, states
from jobs.pages import line_with


@pytest.fixture
def camp(desk: Desk) -> Desk:
    """C1 (a bought lens) and C3 (a lens in kind) are finished for CAMP; C2 is planned for it."""
    return claimable(desk)


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
