"""A rescue kit: the standby lines in one action, without a question, explained later."""

from pathlib import Path

import pytest
from desk import Desk, small_site

KITS = """procedure,category,kind,item,quantity,requirement,first_day
PHACO,paid,lens,,1,,2027-02-15
PHACO,paid,always,KNIFE,1,,2027-02-15
PHACO,paid,standby,VIT,1,rupture,2027-02-15
PHACO,paid,standby,VISC-B,2,rupture,2027-02-15
PHACO,paid,standby,OPIATE,1,pain,2027-02-15
PHACO,free,lens,,1,,2027-02-15
PHACO,free,standby,VIT,1,rupture,2027-02-15
PHACO,free,standby,OPIATE,1,,2027-02-15
"""
WAITS = "Rescue kits issued, not yet explained"


@pytest.fixture
def site(tmp_path: Path) -> Desk:
    desk = small_site(tmp_path)
    desk.ok(f"import kits {desk.file('k.csv', KITS)} --by MA -y")
    return desk


def trolley(site: Desk, case: str) -> dict[str, int]:
    rows = site.rows(
        "SELECT item, SUM(case_balance.quantity) FROM case_balance JOIN lot ON lot.code = lot "
        "WHERE case_code = ? AND place LIKE 'trolley/%' GROUP BY item",
        case,
    )
    return dict(rows)


def waiting(site: Desk, role: str = "nurse") -> str:
    page = site.ok(f"today --role {role}")
    return next(line for line in page.splitlines() if line.startswith(WAITS))


def holds(site: Desk) -> None:
    assert "The book is sound" in site.ok("book verify")
    assert "The proof holds." in site.ok("cost --month 2027-03")


def test_a_rescue_draws_all_standby_lines_of_its_word_without_a_question(site: Desk) -> None:
    site.ok("issue C1 --by NU")
    assert trolley(site, "C1") == {"RINGL+21.50": 1, "KNIFE": 1}
    site.ok("issue C1 --rescue rupture --by NU")
    assert trolley(site, "C1") == {"RINGL+21.50": 1, "KNIFE": 1, "VIT": 1, "VISC-B": 2}
    last = site.rows("SELECT kind, request_key, reason FROM entry ORDER BY number DESC LIMIT 1")
    number = site.last()[0]
    assert last == [("rescue", f"issue/C1/after/{number - 1}", None)]


def test_a_case_without_its_kit_gets_that_first(site: Desk) -> None:
    said = site.ok("issue C1 --rescue rupture --by NU")
    assert said.count("Recorded as entry") == 2
    assert trolley(site, "C1") == {"RINGL+21.50": 1, "KNIFE": 1, "VIT": 1, "VISC-B": 2}


def test_without_a_word_all_standby_lines_come_when_there_is_one_word_at_most(site: Desk) -> None:
    site.ok("issue C3 --rescue --by NU")
    assert trolley(site, "C3") == {"FLATL+21.50": 1, "VIT": 1, "OPIATE": 1}


def test_without_a_word_two_rescues_are_asked_apart(site: Desk) -> None:
    assert "--rescue pain or rupture" in site.refused("issue C1 --rescue --by NU", 2)


def test_an_unknown_rescue_names_the_known_ones(site: Desk) -> None:
    assert "it knows: pain, rupture" in site.refused("issue C1 --rescue fire --by NU", 2)


def test_what_is_short_is_said_and_stops_nothing(site: Desk) -> None:
    site.ok("move VIT 1 --from OT1 --to QUAR --by KE --reason set-aside")
    said = site.ok("issue C1 --rescue rupture --by NU")
    assert "MISSING" in said
    assert trolley(site, "C1") == {"RINGL+21.50": 1, "KNIFE": 1, "VISC-B": 2}


def test_a_rescue_of_which_nothing_is_there_is_refused(site: Desk) -> None:
    site.ok("move OPIATE 4 --from STORE --to QUAR --by KE --reason set-aside")
    site.ok("issue C1 --by NU")
    assert "nothing of its rescue kit" in site.refused("issue C1 --rescue pain --by NU", 3)


@pytest.mark.parametrize("role", ["nurse", "manager", "auditor"])
def test_until_it_is_explained_it_waits(site: Desk, role: str) -> None:
    assert waiting(site, role).endswith(": none")
    site.ok("issue C1 --rescue rupture --by NU")
    assert waiting(site, role).endswith(": 1")
    site.ok("issue C1 --explain capsule-rupture --by NU")
    assert waiting(site, role).endswith(": none")


def test_a_reason_given_at_once_explains_it(site: Desk) -> None:
    site.ok("issue C1 --rescue rupture --reason zonule-weakness --by NU")
    assert waiting(site).endswith(": none")


def test_a_reason_at_the_finish_explains_it_in_an_entry_of_its_own(site: Desk) -> None:
    site.ok("issue C1 --rescue rupture --by NU")
    said = site.ok("finish C1 --as-kit --returned VISC-B 1 --reason capsule-rupture --by NU")
    assert "Its rescue kit is explained" in said
    assert waiting(site).endswith(": none")
    kinds = site.rows("SELECT kind, reason FROM entry ORDER BY number DESC LIMIT 2")
    assert kinds == [("finish", None), ("explanation", "capsule-rupture")]
    assert site.on_hand("VISC-B") == {("STORE", "W1"): 5}
    holds(site)


def test_it_can_be_explained_after_the_finish_and_once_only(site: Desk) -> None:
    site.ok("issue C1 --rescue rupture --by NU")
    site.ok("finish C1 --as-kit --by NU")
    assert waiting(site).endswith(": 1")
    site.ok("issue C1 --explain capsule-rupture --by NU")
    assert "Already recorded" in site.ok("issue C1 --explain capsule-rupture --by NU")
    assert "other contents" in site.refused("issue C1 --explain bleeding --by NU", 3)
    holds(site)


def test_a_second_rescue_waits_for_a_word_of_its_own(site: Desk) -> None:
    site.ok("issue C1 --rescue rupture --reason capsule-rupture --by NU")
    site.ok("issue C1 --rescue pain --by NU")
    assert waiting(site).endswith(": 1")
    site.ok("issue C1 --explain other-event --by NU --comment 'fell asleep late'")
    assert waiting(site).endswith(": none")


def test_a_rescue_undone_waits_for_nothing(site: Desk) -> None:
    site.ok("issue C1 --rescue rupture --by NU")
    number = site.last()[0]
    site.ok(f"reverse {number} --reason did-not-happen --by NU")
    assert waiting(site).endswith(": none")
    assert trolley(site, "C1") == {"RINGL+21.50": 1, "KNIFE": 1}
    holds(site)


@pytest.mark.parametrize(
    ("line", "code", "said"),
    [
        ("issue C1 --explain capsule-rupture --by NU", 3, "no rescue kit was issued"),
        ("issue C1 --explain boredom --by NU", 2, "capsule-rupture"),
        ("issue C1 --rescue rupture --reason refill --by NU", 2, "capsule-rupture"),
        ("issue C1 --rescue rupture --extra DYE 1 --by NU", 2, "goes with a CASE alone"),
        ("issue --list L1 --rescue rupture --by NU", 2, "goes with a CASE alone"),
        ("issue C1 --rescue rupture --by KE", 3, "nurse"),
        ("finish C1 --as-kit --reason capsule-rupture --by NU", 3, "no rescue kit"),
        ("finish --list L1 --as-kit --reason bleeding --by NU", 2, "case by case"),
    ],
)
def test_a_wrong_rescue_or_word_is_refused(site: Desk, line: str, code: int, said: str) -> None:
    assert said in site.refused(line, code)


def test_nothing_is_rescued_after_the_finish(site: Desk) -> None:
    site.ok("finish C1 --as-kit --by NU")
    assert "is finished" in site.refused("issue C1 --rescue rupture --by NU", 3)


def test_a_rescue_typed_twice_is_one_and_another_one_has_a_comment(site: Desk) -> None:
    line = "issue C1 --rescue rupture --by NU"
    site.ok(line)
    number = site.last()[0]
    said = site.ok(line)
    assert f"Already recorded as entry {number}" in said
    assert "say so with --comment" in said
    assert site.last()[0] == number
    site.ok(f"{line} --comment 'the first one fell'")
    assert trolley(site, "C1")["VISC-B"] == 4
    holds(site)


def test_a_rescue_after_an_explanation_or_a_reversal_is_another_one(site: Desk) -> None:
    line = "issue C1 --rescue pain --by NU"
    site.ok(line)
    site.ok("issue C1 --explain bleeding --by NU")
    site.ok(line)
    assert trolley(site, "C1")["OPIATE"] == 2
    site.ok(f"reverse {site.last()[0]} --reason wrong-case --by NU")
    site.ok(line)
    assert trolley(site, "C1")["OPIATE"] == 2
    holds(site)
