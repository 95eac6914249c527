"""Rules 3, 4 and 5 over random days: the book against a theatre kept in plain dicts."""

import atexit
import shutil
import tempfile
from functools import cache
from pathlib import Path

import hypothesis.strategies as st
import pytest
from desk import Desk, new_desk
from hypothesis import HealthCheck, settings
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from ledger.books import moves_of
from ledger.day_model import Impossible, Line, Lot, Model
from stockbook.domain.days import days_after

ITEMS = """item,name,class,unit,unit_places,lens_model,power,serial,least_days_left,controlled
VISC,Viscoelastic,viscoelastic,each,0,,,no,0,no
IODINE,Povidone-iodine,fluids,ml,1,,,no,0,no
"""
KITS = """procedure,category,surgeon,line,kind,item,quantity,requirement
PHACO,paid,,1,always,VISC,3,
PHACO,paid,,2,always,IODINE,2.5,
PHACO,free,,1,always,VISC,1,
PHACO,free,,2,always,IODINE,1,
"""
NEEDS = {"paid": [("VISC", 3), ("IODINE", 25)], "free": [("VISC", 1), ("IODINE", 10)]}
CASES = {f"C{n}": ("free" if n % 3 == 0 else "paid") for n in range(1, 10)}
LISTS = (
    "list,day,theatre,part,case,position,patient,eye,procedure,category,sponsor,surgeon,"
    "lens_model,power,needs\n"
) + "".join(
    f"L1,2027-03-01,OT1,day,{case},{case[1:]},P-{case[1:]},left,PHACO,{category},,SA,,,\n"
    for case, category in CASES.items()
)
FILES = {
    "suppliers": "supplier,name\nACME,Acme Supplies\n",
    "places": "place,name,kind\nSTORE,Store,store\nOT1,Theatre,theatre\nQUAR,Shelf,quarantine\n",
    "staff": "staff,name,role\nKE,Ken Keeper,keeper\nNU,Nora Nurse,nurse\nMB,Milo,manager\n",
    "items": ITEMS,
    "kits": KITS,
    "lists": LISTS,
}
PLACES = ("STORE", "OT1", "QUAR")
NUMBERS = ("A", "B", "C")
EXPIRIES = ("2027-09-05", "2027-09-20", "2028-06-30")
STEPS = {"VISC": 1, "IODINE": 10}
items = st.sampled_from(sorted(STEPS))
units = st.integers(1, 5)
totals = st.integers(0, 1000)


@cache
def template() -> Path:
    """The folder of a small theatre that has no stock yet, gone when the tests are over."""
    folder = Path(tempfile.mkdtemp())
    atexit.register(shutil.rmtree, folder)
    desk = new_desk(folder)
    for kind, text in FILES.items():
        desk.ok(f"import {kind} {desk.file(f'{kind}.csv', text)} --by MA", today="2027-02-01")
    return folder


class RandomDays(RuleBasedStateMachine):
    """Whatever people do, in any order: the book and the model stay the same."""

    def __init__(self) -> None:
        """A fresh copy of the theatre and an empty model."""
        super().__init__()
        self.folder = Path(tempfile.mkdtemp())
        shutil.copytree(template(), self.folder, dirs_exist_ok=True)
        self.desk = Desk(self.folder)
        self.model = Model()
        self.day = "2027-03-01"
        self.stage: dict[str, str] = dict.fromkeys(CASES, "waiting")
        self.kept: dict[int, tuple[str, str]] = {}
        self.count = 0

    def teardown(self) -> None:
        """The book is sound at the end of every story."""
        self.desk.ok("book verify")
        shutil.rmtree(self.folder)

    def said(self, line: str, by: str, tried: Model, lines: list[Line] | None) -> int | None:
        """The command does what the model did, or is refused when the model could not."""
        words = f"{line} --by {by} -q"
        if lines is None:
            self.desk.refused(words, 3, today=self.day)
            return None
        number = int(self.desk.ok(words, today=self.day).split()[-1].rstrip("."))
        assert moves_of(self.desk, number) == lines
        tried.entries[number] = lines
        self.model = tried
        self.kept[number] = (line, by)
        return number

    def tried(self, what: str, *given: object) -> tuple[Model, list[Line] | None]:
        """A copy of the model after an act, with its lines; none when it cannot be."""
        model = self.model.copy()
        try:
            return model, getattr(model, what)(*given)
        except Impossible:
            return self.model.copy(), None

    @initialize(first=totals, second=totals)
    def begin(self, first: int, second: int) -> None:
        """One lot of each item lies in both places, a later one in the store."""
        for item in STEPS:
            self.receive(item, 7, first, "A", EXPIRIES[1])
            self.receive(item, 9, second, "B", EXPIRIES[2])
            self.move(item, 2, ["STORE", "OT1"], "A")

    @rule(item=items, many=units, total=totals, number=st.sampled_from(NUMBERS),
          expiry=st.sampled_from(EXPIRIES))  # fmt: skip
    def receive(self, item: str, many: int, total: int, number: str, expiry: str) -> None:
        self.count += 1
        header = "item,units,lot,expiry,total,reason\n"
        row = f"{item},{many},{number},{expiry},{total // 100}.{total % 100:02d},needed-now\n"
        file = self.desk.file("delivery.csv", header + row)
        line = f"receive ACME --note N{self.count} --lines {file}"
        if expiry < self.day:
            self.said(line, "KE", self.model, None)
            return
        tried = self.model.copy()
        code = len(tried.lots) + 1
        tried.lots[code] = Lot(code, item, number, expiry)
        lines: list[Line] = [(code, many * STEPS[item], total, "supplier/ACME", "STORE", None)]
        tried.apply(lines)
        self.said(line, "KE", tried, lines)

    @rule(item=items, many=units, ends=st.permutations(PLACES), number=st.sampled_from(NUMBERS))
    def move(self, item: str, many: int, ends: list[str], number: str) -> None:
        start, end = ends[:2]
        if end == "OT1" and self._stopped_row(item, number, start):
            return
        rows = self.model.named(item, number, start)
        tried, lines = self.tried("take", rows, many * STEPS[item], end)
        line = f"move {item} {many} --from {start} --to {end} --lot {number}"
        self.said(line, "KE", tried, lines)

    def _stopped_row(self, item: str, number: str, place: str) -> bool:
        rows = self.model.named(item, number, place)
        return set(rows) != set(self.model.usable(item, (place,), self.day)) & set(rows)

    @rule(item=items, many=units, place=st.sampled_from(PLACES))
    def discard(self, item: str, many: int, place: str) -> None:
        rows = self.model.usable(item, (place,), self.day)
        tried, lines = self.tried("take", rows, many * STEPS[item], "waste/common")
        self.said(f"discard {item} {many} --from {place} --reason wet", "KE", tried, lines)

    @precondition(lambda self: "waiting" in self.stage.values())
    @rule(data=st.data())
    def issue(self, data: st.DataObject) -> None:
        case = data.draw(st.sampled_from([c for c, s in self.stage.items() if s == "waiting"]))
        tried, lines = self.tried("issue", case, NEEDS[CASES[case]], self.day)
        if self.said(f"issue {case}", "NU", tried, lines):
            self.stage[case] = "issued"

    @precondition(lambda self: "issued" in self.stage.values())
    @rule(data=st.data(), back=st.integers(0, 3), lost=st.integers(0, 2))
    def finish(self, data: st.DataObject, back: int, lost: int) -> None:
        case = data.draw(st.sampled_from([c for c, s in self.stage.items() if s == "issued"]))
        returned = [("VISC", back)] if back else []
        wasted = [("IODINE", lost)] if lost else []
        tried, lines = self.tried("finish", case, CASES[case], returned, wasted)
        line = f"finish {case} --as-kit --reason noticed-later" + f" --returned VISC {back}" * bool(
            back
        )
        line += f" --wasted IODINE 0.{lost} leaked" * bool(lost)
        if self.said(line, "NU", tried, lines):
            self.stage[case] = "finished"

    @precondition(lambda self: self.kept)
    @rule(data=st.data())
    def reverse(self, data: st.DataObject) -> None:
        number = data.draw(st.sampled_from(sorted(self.kept)))
        line, by = self.kept[number]
        tried, lines = self.tried("reverse", number)
        made = self.said(f"reverse {number} --reason did-not-happen", by, tried, lines)
        if made is None:
            return
        del self.kept[number], self.kept[made]
        verb, case = line.split()[:2]
        if verb in ("issue", "finish"):
            self._back(verb, case, number)

    def _back(self, verb: str, case: str, number: int) -> None:
        """After a reversal the case stands where it stood before that entry."""
        self.stage[case] = {"issue": "waiting", "finish": "issued"}[verb]
        issued = [m for n, m in sorted(self.model.entries.items()) if n < number and self.kept.get(
            n, ("",))[0] == f"issue {case}"]  # fmt: skip
        of_kit = issued[-1] if issued and verb == "finish" else []
        self.model.staged[case] = [[lot, q, start] for lot, q, _, start, _, _ in of_kit]

    @rule(number=st.sampled_from(NUMBERS), item=items)
    def stop(self, number: str, item: str) -> None:
        line = f"quarantine start --item {item} --lot {number} --reason cluster --by MA"
        if number in self.model.stopped.values():
            return
        for one in STEPS:
            self.desk.ok(line.replace(item, one), today=self.day)
            code = f"Q{self.desk.rows('SELECT COUNT(*) FROM quarantine')[0][0]}"
            self.model.stopped[code] = number

    @precondition(lambda self: self.model.stopped)
    @rule(data=st.data())
    def release(self, data: st.DataObject) -> None:
        number = data.draw(st.sampled_from(sorted(set(self.model.stopped.values()))))
        for code in [c for c, n in self.model.stopped.items() if n == number]:
            self.desk.ok(f"quarantine release {code} --by MA --checked-by MB --comment x",
                         today=self.day)  # fmt: skip
            del self.model.stopped[code]

    @rule(days=st.integers(1, 40))
    def sleep(self, days: int) -> None:
        """Time passes until lots run out, never so long that the clock is doubted."""
        ((last,),) = self.desk.rows("SELECT MAX(happened_on) FROM entry")
        self.day = min(days_after(self.day, days), days_after(last, 45))

    @invariant()
    def stock_is_as_the_model_says(self) -> None:
        rows = self.desk.rows("SELECT place, lot, quantity, value FROM on_hand")
        assert {row[:2]: row[2:] for row in rows} == self.model.stock
        rows = self.desk.rows("SELECT case_code, place, lot, quantity, value FROM case_balance")
        assert {row[:3]: row[3:] for row in rows} == self.model.cases
        assert all(quantity > 0 and value >= 0 for quantity, value in self.model.stock.values())

    @invariant()
    def all_places_of_every_lot_sum_to_zero(self) -> None:
        """Rule 5: what lies there is what came in less what went out, lot by lot."""
        rows = self.desk.rows(
            "SELECT lot, SUM(quantity), SUM(value) FROM ("
            "SELECT lot, quantity, value FROM on_hand UNION ALL "
            "SELECT lot, CASE WHEN f.kind = 'supplier' THEN -1 ELSE 1 END * quantity, "
            "CASE WHEN f.kind = 'supplier' THEN -1 ELSE 1 END * value FROM movement "
            "JOIN place AS f ON f.code = from_place JOIN place AS t ON t.code = to_place "
            "WHERE (f.kind IN ('supplier') OR t.kind IN ('supplier', 'used', 'waste')) UNION ALL "
            "SELECT lot, -quantity, -value FROM movement JOIN place ON place.code = from_place "
            "WHERE kind IN ('used', 'waste')) GROUP BY lot"
        )
        assert all(row[1:] == (0, 0) for row in rows), rows


def _settings(examples: int, steps: int) -> settings:
    return settings(
        max_examples=examples, stateful_step_count=steps, deadline=None, database=None,
        derandomize=examples < 50, suppress_health_check=list(HealthCheck),
    )  # fmt: skip


class TestRule05RandomDays(RandomDays.TestCase):
    settings = _settings(20, 15)


@pytest.mark.slow
class TestRule05ManyRandomDays(RandomDays.TestCase):
    settings = _settings(300, 40)
