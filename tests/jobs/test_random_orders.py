"""Random orders, deliveries and reversals: what is ordered is always accounted for."""

import tempfile
from pathlib import Path

from desk import Desk, small_site
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.test_order import lines_of

ITEMS = ("VISC", "KNIFE", "DYE")
Plan = list[tuple[str, str, int]]

acts = st.lists(
    st.tuples(st.sampled_from(["order", "receive", "reverse", "close"]),
              st.sampled_from(ITEMS), st.integers(1, 12)),
    min_size=3, max_size=10,
)  # fmt: skip


class Model:
    """What each order should say, kept in plain numbers beside the book."""

    def __init__(self, desk: Desk) -> None:
        """Start with nothing ordered."""
        self.desk = desk
        self.ordered: dict[str, dict[str, int]] = {}
        self.came: dict[int, tuple[str, str, int]] = {}
        self.notes = 0
        self.closed: set[str] = set()

    def act(self, what: str, item: str, number: int) -> None:
        """One act, when it is possible."""
        getattr(self, what)(item, number)

    def order(self, item: str, number: int) -> None:
        other = ITEMS[(ITEMS.index(item) + 1) % len(ITEMS)]
        code = f"R-{len(self.ordered)}"
        self.desk.ok(f"order new ACME --code {code} --due 2027-03-20 --by KE "
                     f"--line {item} {number} --line {other} {number + 1}")  # fmt: skip
        self.ordered[code] = {item: number, other: number + 1}

    def receive(self, item: str, number: int) -> None:
        open_ones = [code for code in self.ordered if code not in self.closed]
        if open_ones:
            code = open_ones[number % len(open_ones)]
            self.notes += 1
            note = f"N{self.notes}"
            self.desk.ok(f"receive ACME --order {code} --note {note} --by KE "
                         f"--line {item} {number} {note} 2029-01 5")  # fmt: skip
            self.came[self.desk.last()[0]] = (code, item, number)

    def reverse(self, _: str, number: int) -> None:
        if self.came:
            entry = sorted(self.came)[number % len(self.came)]
            self.desk.ok(f"reverse {entry} --reason typing-error --by KE")
            del self.came[entry]

    def close(self, _: str, number: int) -> None:
        waiting = [code for code in self.ordered if code not in self.closed and self.waits(code)]
        if waiting:
            code = waiting[number % len(waiting)]
            self.desk.ok(f"order close {code} --reason not-needed --by KE")
            self.closed.add(code)

    def of(self, code: str, item: str) -> int:
        """What came of an item on an order."""
        return sum(n for c, i, n in self.came.values() if (c, i) == (code, item))

    def waits(self, code: str) -> bool:
        return any(self.of(code, item) < n for item, n in self.ordered[code].items())

    def check(self) -> None:
        """Every line of every order says what the model says."""
        for code, lines in self.ordered.items():
            found = lines_of(self.desk, code)
            for item, number in lines.items():
                line, came = found[item], self.of(code, item)
                assert line["received"] + line["to_come"] + line["given_up"] == number
                assert line["received"] == min(number, came)
                assert line["over"] == max(0, came - number)
                assert (line["to_come"] == 0) or code not in self.closed
                assert min(line["to_come"], line["given_up"], line["over"]) >= 0


@settings(max_examples=12, deadline=None)
@given(acts)
def test_ordered_is_received_to_come_and_given_up(plan: Plan) -> None:
    with tempfile.TemporaryDirectory() as folder:
        model = Model(small_site(Path(folder)))
        model.order("VISC", 4)
        for what, item, number in plan:
            model.act(what, item, number)
            model.check()
        assert "The book is sound" in model.desk.ok("book verify")
