"""Whatever is asked of cases, in any order: done or refused, and the book adds up (rules 3-5)."""

import shutil
import tempfile
from pathlib import Path

import hypothesis.strategies as st
from desk import Desk
from hypothesis import HealthCheck, given, settings

from jobs.proven import proven

KITS = """procedure,category,surgeon,line,kind,item,quantity,requirement
SICS,paid,,1,lens,,1,
SICS,paid,,2,always,KNIFE,2,
SICS,paid,,3,when,DYE,1,dye
SICS,free,,1,always,VISC-B,1,
"""
CASES = ("C1", "C2", "C3")
ITEMS = ("KNIFE 1", "VISC 1", "IODINE 0.5", "RINGL+21.50 1", "DYE 1", "VISC-B 2")
LOTS = ("VISC V3", "VISC V1", "RINGL+21.50 S2", "KNIFE K2", "DYE D1")

_item = st.sampled_from(ITEMS)
_reason = st.sampled_from(("dropped", "cancelled", "opened-not-used"))
_wasted = st.builds("--wasted {} {}".format, _item, _reason)
_ended = st.one_of(st.builds("--returned {}".format, _item), _wasted, st.just(""))
_different = st.one_of(
    st.builds("--used {}".format, _item),
    st.builds("--not-used {}".format, _item),
    _wasted,
    st.builds("--lot {}".format, st.sampled_from(LOTS)),
)
_corrections = st.lists(_different, min_size=1, max_size=3).map(" ".join)
_case = st.sampled_from(CASES)
_acts = st.one_of(
    st.builds("issue {} {}".format, _case, st.sampled_from(("", "--partial", "--with dye"))),
    st.builds("finish {} --as-kit {}".format, _case, _ended),
    st.builds("case cancel {} {}".format, _case,
              st.one_of(_ended, st.just("--all-opened"))),
    st.builds("case change {} --again".format, _case),
    st.builds("case convert {} {} {}".format, _case, st.sampled_from(("SICS", "PHACO")), _ended),
    st.builds("case change {} --category {} --reason payer-changed".format, _case,
              st.sampled_from(("free", "paid"))),
    st.builds("case change {} --power {} --reason plan-changed".format, _case,
              st.sampled_from(("+21.00", "+21.50"))),
    st.builds("case change {} {} --reason noticed-later".format, _case, _corrections),
    st.builds("case change {} {} --reason noticed-later".format, _case, _corrections),
    st.builds("reverse {} --reason wrong-case".format, st.integers(11, 22)),
)  # fmt: skip


@settings(
    max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(acts=st.lists(_acts, min_size=6, max_size=14))
def test_cases_in_any_order_leave_a_sound_book(moved_in: Path, acts: list[str]) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "desk"
        shutil.copytree(moved_in, folder)
        desk = Desk(folder)
        desk.ok(f"import kits {desk.file('k2.csv', KITS)} --by MA")
        for act in acts:
            _done_or_refused(desk, act)
        _no_unit_without_its_case(desk)
        proven(desk)


def _done_or_refused(desk: Desk, act: str) -> None:
    """The act is recorded, or nothing is: never a fault, never half of it."""
    before = desk.path.read_bytes()
    answer = desk.run(f"{act} --by NU -y")
    assert answer.code in (0, 2, 3), f"{act}: exit {answer.code}\n{answer.err}"
    assert "The book refused the entry" not in answer.err, f"{act}: {answer.err}"
    assert "Nothing was recorded: " not in answer.err, f"{act}: {answer.err}"
    if answer.code:
        assert desk.path.read_bytes() == before, f"{act}: refused, but the book changed"


def _no_unit_without_its_case(desk: Desk) -> None:
    """A case that is planned, finished or cancelled has nothing on a trolley."""
    staged = {case for (case,) in desk.rows(
        "SELECT case_code FROM case_balance WHERE place LIKE 'trolley/%'")}  # fmt: skip
    for case in CASES:
        state = desk.ok(f"case show {case}").splitlines()[0].partition(": ")[2]
        assert case not in staged or state == "issued", f"{case} is {state}"
