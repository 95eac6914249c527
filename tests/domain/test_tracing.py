"""Traces: certain is what was seen; possible is what was drawn unseen from where the lot may lie.

The places of these stories: a supplier delivers to STORE; OT1 is a theatre with its trolley.
"""

from collections.abc import Iterable
from dataclasses import dataclass

import pytest
from strategies import DAY, a_lot

from stockbook.domain.tracing import LotTrace, TracedMove, trace_lot

KINDS = {
    "ACME": "supplier", "OPEN": "opening", "DIFF": "difference", "STORE": "store",
    "OT1": "theatre", "QUAR": "quarantine", "TROLLEY": "trolley", "USED": "used", "WASTE": "waste",
    "BACK": "sent back",
}  # fmt: skip
OURS, OTHER, TWIN = a_lot(1), a_lot(2), a_lot(3, number="N1")


@dataclass
class Story:
    """Movements of one item, entry by entry."""

    moves: list[TracedMove]
    entry: int = 0

    def then(self, *moves: str, undone: bool = False) -> "Story":
        """An entry of moves such as `ours 2 STORE>TROLLEY C1 seen`."""
        self.entry += 1
        self.moves += [self._move(move, undone=undone) for move in moves]
        return self

    def _move(self, text: str, *, undone: bool) -> TracedMove:
        whose, quantity, way, *more = text.split()
        source, _, target = way.partition(">")
        lot = {"ours": OURS, "other": OTHER, "twin": TWIN}[whose]
        seen = "seen" in more
        case = next((word for word in more if word.startswith("C")), None)
        return TracedMove(
            self.entry, DAY, "move", lot.code, lot.number, int(quantity), source, target,
            KINDS[source], KINDS[target], case, seen, undone,
        )  # fmt: skip

    def traced(self) -> LotTrace:
        return trace_lot([OURS, TWIN], self.moves)


def arrived(quantity: int = 5, place: str = "STORE") -> Story:
    """Another lot lies in both rooms; then ours is delivered."""
    first = Story([]).then("other 50 OPEN>STORE seen", "other 50 OPEN>OT1 seen")
    return first.then(f"ours {quantity} ACME>{place} seen")


def certain(story: Story) -> set[str]:
    return {reached.case for reached in story.traced().certain}


def possible(story: Story) -> set[str]:
    return {reached.case for reached in story.traced().possible}


def used_by(case: str, *, whose: str = "other", source: str = "STORE", seen: str = "") -> list[str]:
    return [f"{whose} 1 {source}>TROLLEY {case} {seen}", f"{whose} 1 TROLLEY>USED {case} {seen}"]


def after(story: Story, moves: Iterable[str]) -> Story:
    return story.then(*moves)


# Certain


def test_a_seen_unit_reaches_its_case_for_certain() -> None:
    story = after(arrived(), used_by("C1", whose="ours", seen="seen"))
    assert certain(story) == {"C1"}
    assert possible(story) == set()


def test_a_unit_seen_at_the_finish_only_is_certain_too() -> None:
    story = arrived().then("ours 1 STORE>TROLLEY C1").then("ours 1 TROLLEY>WASTE C1 seen")
    assert (certain(story), possible(story)) == ({"C1"}, set())


def test_a_seen_unit_of_another_lot_says_nothing_about_ours() -> None:
    story = after(arrived(), used_by("C1", seen="seen"))
    assert certain(story) == possible(story) == set()


def test_a_seen_move_between_rooms_reaches_no_case() -> None:
    story = arrived().then("ours 2 STORE>OT1 seen", "ours 1 STORE>QUAR seen")
    assert certain(story) == possible(story) == set()


# Possible: drawn unseen from a place at or after the entry by which the lot came there


def test_a_presumed_unit_of_ours_is_possible_and_marked_as_presumed() -> None:
    story = after(arrived(), used_by("C1", whose="ours"))
    (reached,) = story.traced().possible
    assert (reached.case, reached.presumed) == ("C1", True)


def test_an_unseen_unit_of_another_lot_from_the_same_place_is_possible() -> None:
    story = after(arrived(), used_by("C1"))
    (reached,) = story.traced().possible
    assert (reached.case, reached.presumed) == ("C1", False)


def test_before_the_lot_came_nothing_is_possible() -> None:
    story = Story([]).then("other 9 OPEN>STORE seen")
    after(story, used_by("C1")).then("ours 5 ACME>STORE seen")
    assert possible(after(story, used_by("C2"))) == {"C2"}


def test_in_the_entry_by_which_the_lot_came_it_is_possible() -> None:
    story = Story([]).then("other 9 OPEN>STORE seen")
    story.then("ours 5 ACME>STORE seen", *used_by("C1"))
    assert possible(story) == {"C1"}


def test_in_the_entry_by_which_the_lot_came_it_is_possible_whatever_the_order_of_lines() -> None:
    story = Story([]).then("other 9 OPEN>STORE seen")
    story.then(*used_by("C1"), "ours 5 ACME>STORE seen")
    assert possible(story) == {"C1"}


def test_from_a_place_where_the_lot_never_was_nothing_is_possible() -> None:
    assert possible(after(arrived(place="STORE"), used_by("C1", source="OT1"))) == set()


def test_unseen_units_from_there_make_the_next_place_possible_from_then_on() -> None:
    story = after(arrived(), used_by("C1", source="OT1")).then("other 3 STORE>OT1")
    assert possible(after(story, used_by("C2", source="OT1"))) == {"C2"}


def test_seen_units_of_another_lot_carry_nothing_to_the_next_place() -> None:
    story = arrived().then("other 3 STORE>OT1 seen")
    assert possible(after(story, used_by("C1", source="OT1"))) == set()


def test_ours_moved_seen_makes_the_next_place_possible() -> None:
    story = arrived().then("ours 2 STORE>OT1 seen")
    assert possible(after(story, used_by("C1", source="OT1"))) == {"C1"}


def test_units_returned_unseen_from_a_possible_trolley_make_that_place_possible() -> None:
    story = arrived().then("other 1 STORE>TROLLEY C1").then("other 1 TROLLEY>OT1 C1")
    assert "C2" in possible(after(story, used_by("C2", source="OT1")))


def test_a_trolley_is_one_case_s_alone() -> None:
    story = Story([]).then("other 9 OPEN>STORE seen", "other 9 OPEN>OT1 seen")
    story.then("other 1 OT1>TROLLEY C2").then("ours 5 ACME>STORE seen")
    story.then("ours 1 STORE>TROLLEY C1").then("other 1 TROLLEY>USED C2")
    assert possible(story) == {"C1"}


def test_a_case_the_lot_reached_for_certain_is_not_possible_besides() -> None:
    story = after(arrived(), used_by("C1"))
    after(story, used_by("C1", whose="ours", seen="seen"))
    assert (certain(story), possible(story)) == ({"C1"}, set())


# Until the certain movements account for all of the lot


@pytest.mark.parametrize(("seen_used", "wanted"), [(1, {"C9"}), (2, set())])
def test_possible_ends_when_certain_movements_account_for_all(
    seen_used: int, wanted: set[str]
) -> None:
    story = arrived(2)
    for n in range(seen_used):
        after(story, used_by(f"C{n}", whose="ours", seen="seen"))
    assert possible(after(story, used_by("C9"))) == wanted


@pytest.mark.parametrize("end", ["WASTE", "BACK"])
def test_what_was_discarded_or_sent_back_is_accounted_for(end: str) -> None:
    story = arrived(2).then(f"ours 2 STORE>{end} seen")
    assert possible(after(story, used_by("C1"))) == set()


def test_presumed_use_accounts_for_nothing() -> None:
    story = after(arrived(1), used_by("C1", whose="ours"))
    assert possible(after(story, used_by("C2"))) == {"C1", "C2"}


def test_all_units_seen_on_one_trolley_cannot_be_drawn_for_another_case() -> None:
    story = arrived(1).then("ours 1 STORE>TROLLEY C1 seen")
    assert possible(after(story, used_by("C2"))) == set()


def test_a_unit_returned_from_a_trolley_may_be_drawn_again() -> None:
    story = arrived(1).then("ours 1 STORE>TROLLEY C1 seen").then("ours 1 TROLLEY>STORE C1 seen")
    assert possible(after(story, used_by("C2"))) == {"C2"}


@pytest.mark.parametrize("issued", ["", "seen"])
def test_a_unit_seen_at_issue_and_finish_is_accounted_for_once(issued: str) -> None:
    story = arrived(2).then(f"ours 1 STORE>TROLLEY C1 {issued}").then("ours 1 TROLLEY>USED C1 seen")
    assert possible(after(story, used_by("C2"))) == {"C2"}


def test_what_was_possible_before_all_was_accounted_for_stays_possible() -> None:
    story = after(arrived(1), used_by("C1"))
    after(story, used_by("C2", whose="ours", seen="seen"))
    assert (certain(story), possible(story)) == ({"C2"}, {"C1"})


def test_more_of_the_same_printed_lot_makes_it_possible_again() -> None:
    story = after(arrived(1), used_by("C1", whose="ours", seen="seen"))
    after(story, used_by("C2")).then("twin 1 ACME>STORE seen")
    assert possible(after(story, used_by("C3"))) == {"C3"}


# Reversals, value, and what is left


def test_a_reversed_entry_and_its_reversal_say_nothing() -> None:
    story = arrived().then(*used_by("C1", whose="ours", seen="seen"), undone=True)
    story.then("ours 1 USED>TROLLEY C1 seen", "ours 1 TROLLEY>STORE C1 seen", undone=True)
    assert certain(story) == possible(story) == set()


def test_a_reversed_delivery_opens_no_place() -> None:
    story = Story([]).then("other 9 OPEN>STORE seen")
    story.then("ours 5 ACME>STORE seen", undone=True).then("ours 5 STORE>ACME seen", undone=True)
    assert possible(after(story, used_by("C1"))) == set()


def test_value_alone_reaches_no_case() -> None:
    story = arrived().then("ours 0 ACME>USED C1", "ours 0 ACME>STORE")
    assert certain(story) == possible(story) == set()


def test_what_is_left_is_what_came_less_what_ended() -> None:
    story = arrived(5).then("ours 2 STORE>TROLLEY C1 seen").then("ours 1 TROLLEY>USED C1 seen")
    assert story.traced().left == 4
    assert story.then("ours 1 STORE>DIFF").traced().left == 3
    story.then("ours 1 TROLLEY>USED C1", undone=True)
    assert story.then("ours 1 USED>TROLLEY C1", undone=True).traced().left == 3


def test_a_trace_holds_every_move_of_the_lot_and_no_other() -> None:
    story = after(arrived(), used_by("C1")).then("ours 1 STORE>WASTE seen", undone=True)
    assert {move.lot for move in story.traced().moves} == {OURS.code}
    assert [move.entry for move in story.traced().moves] == [2, 4]
