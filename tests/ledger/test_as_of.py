"""As of a past entry the book is the book rebuilt to that entry; as of a day, what happened by it.

The rebuilt book is made by the schema alone: the recorded lines of every entry are put into an
empty file in their order, triggers keep the balances.
"""

import sqlite3
from collections import defaultdict
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import hypothesis.strategies as st
import pytest
from desk import Desk
from hypothesis import HealthCheck, given, settings

from ledger.books import draft, lot, opened, post_all
from ledger.test_random_days import RandomDays
from stockbook.domain.amounts import value_of_part
from stockbook.domain.asking import AsOf, is_below_nothing
from stockbook.domain.codec import fact_from_body
from stockbook.domain.days import days_after
from stockbook.domain.entries import Movement
from stockbook.domain.places import STOCK_KINDS
from stockbook.domain.valuation import METHODS
from stockbook.jobs.as_of import as_of_typed
from stockbook.jobs.cost import cost_of_case, cost_of_period
from stockbook.jobs.cost_methods import cost_by_methods
from stockbook.jobs.expiring import expiring_stock
from stockbook.jobs.stock import lens_grid, stock_on_hand
from stockbook.jobs.trace import trace_case, trace_printed_lot
from stockbook.ledger import schema
from stockbook.ledger.as_of import BOOKED, reading_as_of
from stockbook.ledger.facts import TABLES, project
from stockbook.ledger.migrations import MIGRATIONS
from stockbook.ledger.opening import Book

SEEN = (*TABLES.values(), "entry", "movement", "change", "on_hand", "case_balance")
PERIODS = (("2027-02-01", "2027-02-28"), ("2027-03-01", "2027-03-31"))


class Rebuilt:
    """A second book in memory that takes the first one's entries one by one."""

    def __init__(self, path: Path) -> None:
        self.source = sqlite3.connect(path)
        self.db = sqlite3.connect(":memory:", isolation_level=None)
        schema.create(self.db, self.source.execute("SELECT id FROM book").fetchone()[0])
        self.book = Book(path, self.db, writable=False, migrations=MIGRATIONS, say=lambda _: None)

    def close(self) -> None:
        self.source.close()
        self.db.close()

    def take(self, number: int) -> None:
        """The lines first, the head last, as the schema wants it."""
        self.db.execute("BEGIN")
        for row in self._rows("change", "entry", number):
            self.db.execute("INSERT INTO change VALUES (?, ?, ?, ?, ?)", row)
            project(self.db, fact_from_body(*row[2:]))
        for table, column in (("movement", "entry"), ("entry", "number")):
            for row in self._rows(table, column, number):
                self.db.execute(f"INSERT INTO {table} VALUES ({', '.join('?' * len(row))})", row)
        self.db.execute("COMMIT")

    def _rows(self, table: str, column: str, number: int) -> list[tuple]:
        sql = f"SELECT * FROM {table} WHERE {column} = ? ORDER BY 1, 2"
        return self.source.execute(sql, (number,)).fetchall()


def everything(db: sqlite3.Connection) -> dict[str, list[tuple]]:
    """Every table a question can read."""
    return {t: sorted(db.execute(f"SELECT * FROM {t}").fetchall(), key=repr) for t in SEEN}


def codes(db: sqlite3.Connection, sql: str) -> list[str]:
    return [row[0] for row in db.execute(sql).fetchall()]


def answers(book: Book, as_of: AsOf, told: AsOf | None, known: sqlite3.Connection) -> list[object]:
    """What the questions answer; `told` is left out where the book itself is the past."""
    day = as_of.day
    cases = codes(known, "SELECT code FROM theatre_case")
    lots = codes(known, "SELECT DISTINCT number FROM lot")
    return [
        stock_on_hand(book, day, as_of=told).rows,
        replace(lens_grid(book, day, as_of=told), as_of=None),
        replace(expiring_stock(book, day, as_of=told), as_of=None),
        *(cost_of_period(book, *period, told) for period in PERIODS),
        *(cost_by_methods(book, *period, METHODS, told) for period in PERIODS),
        *(cost_of_case(book, case, told) for case in cases),
        *(trace_case(book, case, told) for case in cases),
        *(trace_printed_lot(book, number, as_of=told) for number in lots),
    ]


def assert_every_past_entry_is_as_rebuilt(path: Path) -> int:
    """The property, for every entry of a book; how many there were."""
    with opened(path) as book, closing(Rebuilt(path)) as rebuilt:
        last = book.db.execute("SELECT MAX(number) FROM entry").fetchone()[0]
        for number in range(1, last + 1):
            rebuilt.take(number)
            as_of = as_of_typed(book, "2099-01-01", None, str(number))
            with reading_as_of(book, as_of) as db:
                assert everything(db) == everything(rebuilt.db), number
            then = answers(rebuilt.book, as_of, None, rebuilt.db)
            assert answers(book, as_of, as_of, rebuilt.db) == then, number
    return int(last)


class PastEntries(RandomDays):
    """Random days; at the end of each story every one of its entries is looked back to."""

    def teardown(self) -> None:
        assert_every_past_entry_is_as_rebuilt(self.desk.path)
        super().teardown()


def _settings(examples: int, steps: int) -> settings:
    return settings(
        max_examples=examples, stateful_step_count=steps, deadline=None, database=None,
        derandomize=examples < 50, suppress_health_check=list(HealthCheck),
    )  # fmt: skip


class TestRandomDaysLookedBackTo(PastEntries.TestCase):
    settings = _settings(3, 10)


@pytest.mark.slow
class TestManyRandomDaysLookedBackTo(PastEntries.TestCase):
    settings = _settings(60, 40)


def test_every_entry_of_a_story_with_changed_facts_is_as_rebuilt(desk: Desk) -> None:
    """Renamed and reclassed items, quarantine, late sheets, found units, reversals."""
    story = (
        "issue C1 --by NU", "quarantine start --item VISC --lot V3 --reason cluster --by MA",
        "issue C2 --by NU --found VISC V77 2028-09 1", "finish C1 --as-kit --by NU",
        "import items items.csv --by MA -y", "reverse 13 --by NU --reason wrong-case",
        "receive ACME --note N --by KE --line KNIFE 3 K9 2029-01 1 --freight 0.10",
        "discard KNIFE 1 --from STORE --lot K2 --reason wet --by KE --on 2027-02-20",
        "quarantine release Q1 --by MA --checked-by MB --comment fine",
        "finish C1 --as-kit --wasted KNIFE 1 dropped --by NU",
        "import items again.csv --by MA -y",
    )  # fmt: skip
    items = desk.path.with_name("items.csv").read_text(encoding="utf-8")
    desk.file("items.csv", items.replace("Knife 2.2 mm,blades", "Knife,sharps"))
    desk.file("again.csv", items.replace("Knife 2.2 mm,blades", "Blade,steel"))
    for line in story:
        desk.ok(line)
    assert assert_every_past_entry_is_as_rebuilt(desk.path) == 9 + len(story)


def in_memory(path: Path) -> Book:
    """A copy of a book that takes entries and leaves no file."""
    db = sqlite3.connect(":memory:", isolation_level=None)
    with closing(sqlite3.connect(path)) as source:
        source.backup(db)
    return Book(path, db, writable=True, migrations=MIGRATIONS, say=lambda _: None)


SHELVES = ("STORE", "OT1", "QUAR")
moves = st.lists(
    st.tuples(st.permutations(SHELVES), st.integers(1, 9), st.integers(0, 9)), max_size=12
)


def post_moves(book: Book, code: int, wanted: list[tuple]) -> None:
    """Moves of one lot, each possible when it is recorded, on days in any order."""
    there = {"STORE": (9, 90_000)}
    for number, ((start, end, _), many, days) in enumerate(wanted):
        quantity, value = there.get(start, (0, 0))
        if quantity < many:
            continue
        part = value_of_part(value, quantity, many)
        day = days_after("2027-03-01", days)
        move = Movement(code, many, part, start, end, None, None, True)
        post_all(book, draft(f"test/{number}", (move,), day=day))
        there[start] = (quantity - many, value - part)
        there[end] = tuple(a + b for a, b in zip(there.get(end, (0, 0)), (many, part), strict=True))


def summed(book: Book, day: str) -> dict[tuple[str, int], tuple[int, int]]:
    """On hand as at a day: every movement that happened by it, added up in plain sight."""
    rows = book.db.execute(
        "SELECT lot, quantity, value, from_place, to_place FROM movement "
        "JOIN entry ON number = entry WHERE happened_on <= ?", (day,),
    )  # fmt: skip
    kind = dict(book.db.execute("SELECT code, kind FROM place").fetchall())
    found: dict[tuple[str, int], list[int]] = defaultdict(lambda: [0, 0])
    for code, quantity, value, start, end in rows.fetchall():
        for place, sign in ((start, -1), (end, 1)):
            if kind[place] in STOCK_KINDS:
                found[place, code][0] += sign * quantity
                found[place, code][1] += sign * value
    return {key: (n, value) for key, (n, value) in found.items() if n or value}


@given(wanted=moves)
@settings(max_examples=40, deadline=None, database=None, derandomize=True,
          suppress_health_check=[HealthCheck.function_scoped_fixture])  # fmt: skip
def test_rule_07_as_of_a_day_counts_what_happened_by_it_whatever_its_number(
    moved_in: Path, wanted: list[tuple]
) -> None:
    path = Desk(moved_in).path
    code = lot(Desk(moved_in), "V2")
    with closing(in_memory(path)) as book:
        post_moves(book, code, wanted)
        for days in range(-1, 10):
            as_of = AsOf(days_after("2027-03-01", days))
            stock = stock_on_hand(book, as_of.day, as_of=as_of)
            assert expiring_stock(book, as_of.day, within="3660", as_of=as_of).as_of == as_of
            found = {(s.row.place, s.row.lot.code): (s.row.quantity, s.row.value)
                     for s in stock.rows}  # fmt: skip
            assert found == summed(book, as_of.day)
            below = {(s.row.place, s.row.quantity) for s in stock.below_nothing}
            assert below == {(s.row.place, s.row.quantity) for s in stock.rows
                             if is_below_nothing(s.row)}  # fmt: skip


def test_nothing_stays_behind_when_the_reading_ends(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    before = desk.path.read_bytes()
    with opened(desk.path) as book:
        whole = everything(book.db)
        for _ in range(2):
            with reading_as_of(book, AsOf("2027-02-01", 5)) as db:
                assert everything(db) != whole
            assert everything(book.db) == whole
            assert book.db.execute("SELECT COUNT(*) FROM temp.sqlite_schema").fetchone() == (0,)
    assert desk.path.read_bytes() == before


def test_the_last_entry_and_the_last_day_are_the_book_as_it_is(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    with opened(desk.path) as book:
        whole = everything(book.db)
        last = desk.last()[0]
        for as_of in (AsOf("2027-03-01", last), AsOf("2027-03-01"), AsOf("1", is_now=True)):
            with reading_as_of(book, as_of, BOOKED) as db:
                assert everything(db) == whole


def test_a_book_that_may_only_be_read_is_asked_about_its_past_too(desk: Desk) -> None:
    desk.path.chmod(0o444)
    assert "V2" in desk.ok("stock VISC --as-of-entry 9")


def test_a_posting_made_meanwhile_waits_for_the_reading_and_is_not_seen(desk: Desk) -> None:
    """One reading is one state: the file's own lock keeps it."""
    with (
        closing(sqlite3.connect(desk.path, timeout=0, isolation_level=None)) as other,
        opened(desk.path) as book,
        reading_as_of(book, AsOf("2027-02-01", 9)),
    ):
        other.execute("BEGIN IMMEDIATE")
        other.execute("UPDATE person SET name = 'x'")
        with pytest.raises(sqlite3.OperationalError, match="locked"):
            other.execute("COMMIT")
        other.execute("ROLLBACK")
