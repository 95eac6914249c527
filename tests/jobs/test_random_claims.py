"""Random claims, payments, refusals, corrections: states go forward, nothing is claimed twice."""

import json
import shutil
import tempfile
from collections import Counter
from itertools import pairwise
from pathlib import Path

import pytest
from desk import Desk
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.test_claims import MARCH, SPONSORS

CASES = ("C1", "C2", "C3")
FORWARD = {("sent", "reimbursed"), ("sent", "declined")}
DUE = 1200000

acts = st.lists(
    st.tuples(
        st.sampled_from(("send", "again", "pay", "pay all", "decline", "payer", "undo")),
        st.sampled_from(CASES), st.integers(1, 4),
    ),
    min_size=2, max_size=9,
)  # fmt: skip


@pytest.fixture(scope="module")
def finished(moved_in: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three finished cases of one sponsor."""
    folder = tmp_path_factory.mktemp("claims") / "desk"
    shutil.copytree(moved_in, folder)
    desk = Desk(folder)
    desk.ok(f"import sponsors {desk.file('sponsors.csv', SPONSORS)} --by MA")
    for case in CASES:
        desk.ok(f"case change {case} --sponsor CAMP --by NU")
        desk.ok(f"finish {case} --as-kit --by NU")
    return folder


def line_of(what: str, case: str, number: int, last: int) -> str:
    document = f"D{number}"
    return {
        "send": f"claims sent CAMP {document} {MARCH} -y --by FI",
        "again": f"claims sent CAMP {document} {MARCH} --again {case} -y --by FI",
        "pay": f"claims reimbursed {document} --case {case} --amount {number}000 --by FI",
        "pay all": f"claims reimbursed {document} --by FI",
        "decline": f"claims declined {document} --case {case} --reason not-covered --by FI",
        "payer": f"case change {case} --sponsor {'CAMP' if number > 1 else 'FUND'} --by NU",
        "undo": f"reverse {last + 1 - number} --reason typing-error --by FI",
    }[what]


def standing(desk: Desk) -> Counter[str]:
    """In how many claims that were neither declined nor withdrawn each case is."""
    rows = desk.rows("SELECT case_code FROM claimed_case WHERE state IN ('sent', 'reimbursed')")
    return Counter(case for (case,) in rows)


def history(desk: Desk) -> dict[str, list[tuple[str, str]]]:
    """The states of each claimed case one after the other, each with the kind of its entry."""
    found: dict[str, list[tuple[str, str]]] = {}
    for kind, code, body in desk.rows(
        "SELECT entry.kind, change.code, body FROM change JOIN entry ON number = entry "
        "WHERE change.kind = 'claimed case' ORDER BY entry, line"
    ):
        found.setdefault(code, []).append((kind, json.loads(body)["state"]))
    return found


def check(desk: Desk) -> None:
    assert set(standing(desk).values()) <= {1}
    for states in history(desk).values():
        for (_, was), (kind, now) in pairwise(states):
            sent_anew = kind == "claim" and (was, now) == ("withdrawn", "sent")
            assert (was, now) in FORWARD or kind == "reversal" or sent_anew
    for amount, deduction, paid, state in desk.rows(
        "SELECT amount, deduction, paid, state FROM claimed_case"
    ):
        assert 0 <= paid <= amount - deduction == DUE
        assert (paid > 0) == (state == "reimbursed")
    assert_sums(desk)


def assert_sums(desk: Desk) -> None:
    """Every case stands once at CAMP, and the overview counts what the rows say."""
    rows = json.loads(desk.ok(f"claims show CAMP {MARCH} --json"))["claims"]["rows"]
    assert len({row["case"] for row in rows}) == len(rows)
    states = Counter(row["state"] for row in rows)
    sums = json.loads(desk.ok("claims show --json"))["sponsors"]["rows"]
    for row in sums:
        if row["sponsor"] == "CAMP" and row["state"] != "not yet claimable":
            assert row["cases"] == states[row["state"]]


@settings(max_examples=12, deadline=None)
@given(plan=acts)
def test_states_go_forward_and_no_case_is_claimed_twice(
    finished: Path, plan: list[tuple[str, str, int]]
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        shutil.copytree(finished, Path(folder) / "desk")
        desk = Desk(Path(folder) / "desk")
        for what, case, number in plan:
            before = desk.last()
            line = line_of(what, case, number, before[0])
            answer = desk.run(line)
            assert answer.code in (0, 2, 3), f"{line}\n{answer.err}"
            assert answer.code == 0 or desk.last() == before
            check(desk)
        assert "sound" in desk.ok("book verify")
