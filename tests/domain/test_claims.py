"""What is asked of a sponsor: amounts that add up, states in order, a sample nobody chooses."""

import hashlib
import json
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import a_lot, days, sponsors, values

from stockbook.domain.claims import (
    DECLINED,
    ELSEWHERE,
    NOT_YET,
    REIMBURSED,
    SENT,
    STATES,
    TO_CLAIM,
    SponsoredCase,
    UsedLens,
    deduction_of,
    sample,
    state_sums,
)
from stockbook.domain.days import days_after
from stockbook.domain.facts import Case, Item
from stockbook.domain.finance_facts import Sponsor

LENS = Item("FLATL+21.50", "Lens", "lens", "each", 0, "FLATL", 2150)
PERIOD = ("2027-03-01", "2027-03-31")
SENT_ON = "2027-03-05"


@st.composite
def used(draw: st.DrawFn) -> UsedLens:
    terms = draw(st.sampled_from(("bought", "donated", "in-kind", "consigned")))
    lot = a_lot(draw(st.integers(1, 9)), LENS.code, terms=terms)
    return UsedLens(LENS, lot, draw(st.integers(1, 3)))


@st.composite
def rows(draw: st.DrawFn) -> SponsoredCase:
    stands = draw(st.sampled_from(("planned", "issued", "finished")))
    case = Case(f"C{draw(st.integers(1, 999))}", "L1", 1, category="free", sponsor="FUND")
    lenses = tuple(draw(st.lists(used(), max_size=3)))
    row = SponsoredCase(
        "FUND", draw(st.none() | sponsors(st.just("FUND"))), case, "2027-03-01", stands, lenses
    )
    if row.amount is None or stands != "finished" or draw(st.booleans()):
        return row
    claim = row.claimed("D1", SENT_ON)
    return replace(row, claims=(replace(claim, state=draw(st.sampled_from(STATES[1:]))),))


def of(row: SponsoredCase, state: str, document: str = "D1", **more: object) -> SponsoredCase:
    """The row with one more claim in a state."""
    claim = replace(row.claimed(document, SENT_ON), state=state, **more)
    return replace(row, claims=(*row.claims, claim))


FINISHED = SponsoredCase(
    "FUND", Sponsor("FUND", "Fund", 1000, 300, 30), Case("C1", "L1", 1, category="free",
    sponsor="FUND"), "2027-03-01", "finished", (UsedLens(LENS, a_lot(1, terms="in-kind"), 1),),
)  # fmt: skip


@given(rows())
def test_deduction_and_due_are_the_amount_and_neither_is_below_nothing(row: SponsoredCase) -> None:
    if row.amount is None:
        assert (row.deduction, row.due) == (None, None)
    else:
        assert row.deduction is not None
        assert row.due is not None
        assert row.deduction + row.due == row.amount
        assert min(row.deduction, row.due) >= 0


@given(rows())
def test_a_case_as_it_is_claimed_is_worth_what_it_was_shown_as(row: SponsoredCase) -> None:
    if row.state == TO_CLAIM and row.amount is not None:
        claim = row.claimed("D9", SENT_ON)
        assert (claim.amount, claim.deduction) == (row.amount, row.deduction)
        sent = replace(row, claims=(claim,))
        assert (sent.state, sent.due, sent.changes) == (SENT, row.due, ())


@given(st.lists(used(), max_size=4), values, values)
def test_only_lenses_given_in_kind_are_deducted(
    lenses: list[UsedLens], amount: int, deduction: int
) -> None:
    given_in_kind = sum(one.count for one in lenses if one.lot.terms == "in-kind")
    found = deduction_of(Sponsor("FUND", "Fund", amount, deduction), lenses)
    assert found == min(amount, deduction * given_in_kind)


@given(st.lists(rows(), max_size=8))
def test_the_sums_by_state_are_those_of_the_rows(found: list[SponsoredCase]) -> None:
    sums = state_sums(found)
    assert [one.state for one in sums] == list(STATES)
    assert sum(one.cases for one in sums) == sum(row.state in STATES for row in found)
    for one in sums:
        due = [row.due for row in found if row.state == one.state]
        if None in due:
            assert one.due is None
        else:
            assert one.due == sum(d for d in due if d is not None)
            assert one.amount == one.deduction + one.due  # type: ignore[operator]


# The sample

codes = st.lists(st.integers(1, 999).map("C{}".format), unique=True, max_size=12)


def drawn(cases: list[str], number: int) -> list[str]:
    found = [replace(FINISHED, case=replace(FINISHED.case, code=code)) for code in cases]
    return [one.row.case.code for one in sample("ab12", PERIOD, found, number)]


@given(codes, st.integers(1, 15), st.randoms())
def test_a_sample_hangs_on_no_order_and_is_part_of_the_cases(
    cases: list[str], number: int, random: object
) -> None:
    other = list(cases)
    random.shuffle(other)  # type: ignore[attr-defined]
    found = drawn(cases, number)
    assert drawn(other, number) == found
    assert set(found) <= set(cases)
    assert len(found) == len(set(found)) == min(number, len(cases))


@given(codes, st.integers(1, 12))
def test_a_smaller_sample_is_the_beginning_of_a_larger_one(cases: list[str], number: int) -> None:
    assert drawn(cases, number) == drawn(cases, number + 1)[:number]


@given(codes, st.integers(1, 12))
def test_a_case_that_is_gone_leaves_the_others_of_the_sample(cases: list[str], number: int) -> None:
    found = drawn(cases, number)
    for gone in found[:1]:
        left = drawn([case for case in cases if case != gone], number)
        assert set(found) - {gone} <= set(left)


@given(codes)
def test_anyone_draws_the_same_cases_by_the_printed_rule(cases: list[str]) -> None:
    """Written apart from the program: the standard library's JSON and SHA-256 alone."""

    def digest(case: str) -> str:
        text = json.dumps(["ab12", "FUND", *PERIOD, case], separators=(",", ":"))
        return hashlib.sha256(text.encode()).hexdigest()

    assert drawn(cases, 5) == sorted(cases, key=digest)[:5]


# States


@pytest.mark.parametrize(("stands", "state"), [
    ("planned", NOT_YET), ("issued", NOT_YET), ("finished", TO_CLAIM),
])  # fmt: skip
def test_only_a_finished_case_is_to_claim(stands: str, state: str) -> None:
    assert replace(FINISHED, stands=stands).state == state


@pytest.mark.parametrize("state", [SENT, REIMBURSED, DECLINED])
def test_a_claimed_case_has_the_state_of_its_claim(state: str) -> None:
    assert of(FINISHED, state).state == state


def test_a_case_declined_once_and_sent_again_is_sent() -> None:
    again = of(of(FINISHED, DECLINED), SENT, "D2")
    assert again.state == SENT
    assert again.claim is not None
    assert again.claim.document == "D2"
    assert again.can_be_sent_again is False


def test_a_declined_case_can_be_sent_again_as_long_as_it_is_finished_and_the_sponsor_s() -> None:
    row = of(FINISHED, DECLINED)
    assert row.can_be_sent_again
    assert not replace(row, stands="planned").can_be_sent_again
    assert not replace(row, case=replace(row.case, sponsor="OTHER")).can_be_sent_again


def test_what_another_sponsor_was_asked_for_is_not_to_claim() -> None:
    theirs = of(FINISHED, SENT, sponsor="OTHER")
    assert theirs.state == ELSEWHERE
    assert of(FINISHED, DECLINED, sponsor="OTHER").state == TO_CLAIM


# Deadlines


@given(days, st.integers(0, 90))
def test_the_deadline_is_the_list_s_day_and_the_days_after(day: str, more: int) -> None:
    row = replace(FINISHED, day=day, terms=Sponsor("FUND", "Fund", 1, 0, more))
    assert row.deadline == days_after(day, more)
    assert row.days_late(str(row.deadline)) == 0
    assert row.days_late(days_after(day, more + 1)) == 1


def test_no_days_stated_is_no_deadline() -> None:
    row = replace(FINISHED, terms=Sponsor("FUND", "Fund", 1))
    assert (row.deadline, row.days_late("2029-01-01")) == (None, 0)
    assert replace(row, terms=None).deadline is None


def test_a_sent_case_is_as_late_as_it_was_sent() -> None:
    row = of(FINISHED, SENT, sent_on="2027-04-02")
    assert row.days_late("2028-01-01") == 2


# Changed since


@pytest.mark.parametrize(("change", "words"), [
    ({"case": replace(FINISHED.case, category="paid")}, "category was free, is paid"),
    ({"case": replace(FINISHED.case, sponsor=None)}, "sponsor was FUND, is none"),
    ({"lenses": ()}, "lens was FLATL+21.50 N1, is none"),
    ({"stands": "planned"}, "it is planned now, not finished"),
])  # fmt: skip
def test_what_changed_since_a_case_was_sent_is_told(change: dict[str, object], words: str) -> None:
    assert of(FINISHED, SENT).changes == ()
    assert replace(of(FINISHED, SENT), **change).changes == (words,)
    assert replace(of(FINISHED, DECLINED), **change).changes == ()
