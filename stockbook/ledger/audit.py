"""Verifying a book: the chain rehashed, everything derived rebuilt and compared."""

import sqlite3
from collections import defaultdict
from collections.abc import Callable, Iterator
from typing import Any

from stockbook.domain.amounts import value_of_part
from stockbook.domain.auditing import Fault, Verdict
from stockbook.domain.codec import body_of, fact_from_body, field_names, row_of
from stockbook.domain.days import day_from_text
from stockbook.domain.entries import HEAD, ChangeRow, Movement, MovementRow, checksum, entry_text
from stockbook.domain.facts import Place
from stockbook.domain.places import NEEDS_CASE, STOCK_KINDS, is_allowed
from stockbook.errors import StockbookError
from stockbook.ledger import schema
from stockbook.ledger.facts import kinds, table_of
from stockbook.ledger.opening import Book

MOST_FAULTS = 100
_WITH_CASE = frozenset({"trolley", "used", "waste"})


class _Grouped:
    """Lines of a table handed out entry by entry; what belongs to no entry is left over."""

    def __init__(self, rows: Iterator[tuple[Any, ...]]) -> None:
        self.rows = rows
        self.next = next(rows, None)

    def of(self, number: int) -> list[tuple[Any, ...]]:
        found = []
        while self.next is not None and self.next[0] <= number:
            found.append(self.next)
            self.next = next(self.rows, None)
        return found


class _Audit:
    """Walks the book once in the order of recording and collects faults."""

    def __init__(self, db: sqlite3.Connection, tell: Callable[[int, int], None]) -> None:
        self.db = db
        self.tell = tell
        self.faults: list[Fault] = []
        self.kinds: dict[str, str] = {}
        self.facts: dict[tuple[str, str], str] = {}
        self.stock: dict[tuple[str, int], tuple[int, int]] = {}
        self.cases: dict[tuple[str, str, int], tuple[int, int]] = {}
        self.flows: dict[tuple[str, str, str], int] = defaultdict(int)
        self.counts = [0, 0, 0]
        self.previous = ""

    def fault(self, where: str, what: str) -> None:
        if len(self.faults) < MOST_FAULTS:
            self.faults.append(Fault(where, what))

    def run(self) -> None:
        self.file()
        self.chain()
        self.projections()
        self.balance("on_hand", ("place", "lot"), self.stock)
        self.balance("case_balance", ("case_code", "place", "lot"), self.cases)
        self.flows_of_days()

    def file(self) -> None:
        """The file as SQLite sees it, and the tables as this version made them."""
        for (found,) in self.db.execute("PRAGMA integrity_check(20)").fetchall():
            if found != "ok":
                self.fault("file", str(found))
        if schema.digest_of_schema(self.db) != schema.DIGEST:
            self.fault("tables", "a table, index, trigger or view is not as this version made it")

    def chain(self) -> None:
        """Numbers without gaps, every checksum right, every movement possible when it was made."""
        total = int(self.db.execute("SELECT COUNT(*) FROM entry").fetchone()[0])
        row = self.db.execute("SELECT id FROM book").fetchone()
        if row is None:
            self.fault("book", "its id is gone")
        self.previous = str(row[0]) if row else ""
        lines = "entry, line, lot, quantity, value, from_place, to_place, case_code, reason, seen"
        moves = _Grouped(self.db.execute(f"SELECT {lines} FROM movement ORDER BY entry, line"))
        changes = _Grouped(
            self.db.execute("SELECT entry, line, kind, code, body FROM change ORDER BY entry, line")
        )
        heads = self.db.execute(
            f"SELECT {', '.join(HEAD)}, previous, checksum, movement_count, change_count "
            "FROM entry ORDER BY number"
        )
        for expected, head in enumerate(heads, start=1):
            number = int(head[0])
            self.entry(expected, head, moves.of(number), changes.of(number))
            self.counts[0] += 1
            if expected % 1000 == 0:
                self.tell(expected, total)
        if moves.next is not None or changes.next is not None:
            self.fault("lines", "there are lines after the last entry")

    def entry(
        self, expected: int, head: tuple[Any, ...], moves: list[Any], changes: list[Any]
    ) -> None:
        where = f"entry {head[0]}"
        previous, found, move_count, change_count = head[-4:]
        if head[0] != expected:
            self.fault(where, f"its number should be {expected}")
        self.lines(where, moves, int(move_count), "movement")
        self.lines(where, changes, int(change_count), "change")
        self.days(where, head)
        move_rows: list[MovementRow] = [row[2:] for row in moves]
        change_rows: list[ChangeRow] = [row[2:] for row in changes]
        if previous != self.previous:
            self.fault(where, "it does not follow the entry before it")
        if checksum(str(previous), entry_text(head[:-4], move_rows, change_rows)) != found:
            self.fault(where, "its contents do not match its checksum")
        self.previous = str(found)
        for row in change_rows:
            self.change(where, row)
        reversal = head[HEAD.index("reverses")] is not None
        booked_on = str(head[HEAD.index("booked_on")])
        for line in move_rows:
            self.movement(where, line, reversal=reversal)
            if line[2]:
                self.flows[(booked_on, line[3], line[4])] += line[2]
        self.counts[1] += len(moves)
        self.counts[2] += len(changes)

    def lines(self, where: str, rows: list[Any], count: int, what: str) -> None:
        if [row[1] for row in rows] != list(range(1, count + 1)) or any(
            where != f"entry {row[0]}" for row in rows
        ):
            self.fault(where, f"its {what} lines are not 1 to {count}")

    def days(self, where: str, head: tuple[Any, ...]) -> None:
        for name in ("happened_on", "booked_on"):
            try:
                day_from_text(str(head[HEAD.index(name)]))
            except StockbookError:
                self.fault(where, f"{name} is not a day")

    def change(self, where: str, row: ChangeRow) -> None:
        kind, code, body = row
        try:
            fact = fact_from_body(kind, code, body)
        except (KeyError, TypeError, ValueError):
            self.fault(where, f"the change of {kind} {code} cannot be read")
            return
        if isinstance(fact, Place):
            self.kinds[fact.code] = fact.kind
        self.facts[(kind, code)] = body_of(fact)

    def movement(self, where: str, row: tuple[Any, ...], *, reversal: bool) -> None:
        move = Movement(*row)
        kinds_of = [self.kinds.get(place) for place in (move.from_place, move.to_place)]
        if None in kinds_of or ("lot", str(move.lot)) not in self.facts:
            self.fault(where, f"lot {move.lot} or a place of its movement is unknown")
            return
        from_kind, to_kind = str(kinds_of[0]), str(kinds_of[1])
        if not reversal and not is_allowed(from_kind, to_kind, move.quantity):
            self.fault(where, f"nothing moves from {from_kind} to {to_kind}")
        if move.case is None and {from_kind, to_kind} & NEEDS_CASE:
            self.fault(where, "it touches a trolley without a case")
        self.out(where, move, from_kind, reversal=reversal)
        self.into(move, to_kind)

    def out(self, where: str, move: Movement, kind: str, *, reversal: bool) -> None:
        """Units leave: never more than there are, with their part of the value (rule 4)."""
        if move.case is not None and kind in _WITH_CASE:
            key = (move.case, move.from_place, move.lot)
            there = self.cases.get(key, (0, 0))
            self.part(where, move, there, reversal=reversal)
            _put(self.cases, key, there, -move.quantity, -move.value)
        if kind in STOCK_KINDS:
            place = (move.from_place, move.lot)
            there = self.stock.get(place, (0, 0))
            self.part(where, move, there, reversal=reversal or kind == "trolley")
            _put(self.stock, place, there, -move.quantity, -move.value)

    def part(self, where: str, move: Movement, there: tuple[int, int], *, reversal: bool) -> None:
        quantity, value = there
        name = f"lot {move.lot} in {move.from_place}"
        if move.quantity > quantity or move.value > value:
            self.fault(where, f"takes {move.quantity} worth {move.value} of {name}; there were "
                              f"{quantity} worth {value}")  # fmt: skip
        elif move.quantity == quantity and move.value != value:
            self.fault(where, f"drains {name} but not its value")
        elif not reversal and move.quantity:
            right = value_of_part(value, quantity, move.quantity)
            if move.value != right:
                self.fault(where, f"{name} leaves with {move.value}; its part is {right}")

    def into(self, move: Movement, kind: str) -> None:
        if move.case is not None and kind in _WITH_CASE:
            key = (move.case, move.to_place, move.lot)
            _put(self.cases, key, self.cases.get(key, (0, 0)), move.quantity, move.value)
        if kind in STOCK_KINDS:
            place = (move.to_place, move.lot)
            _put(self.stock, place, self.stock.get(place, (0, 0)), move.quantity, move.value)

    def projections(self) -> None:
        """Every fact's table holds exactly the last version of every fact."""
        for kind, cls, table in kinds():
            wanted = {
                code: row_of(fact_from_body(kind, code, body))
                for (k, code), body in self.facts.items()
                if k == kind
            }
            names = ", ".join(field_names(cls))
            rows = self.db.execute(f"SELECT {names} FROM {table_of(cls)}")
            found = {str(row[0]): tuple(row) for row in rows.fetchall()}
            for code in sorted(wanted.keys() | found.keys()):
                if wanted.get(code) != found.get(code):
                    self.fault(f"{table} {code}", "is not what its last change says")

    def flows_of_days(self) -> None:
        """The sums of every day, from place to place, are those of its movements."""
        rows = self.db.execute("SELECT booked_on, from_place, to_place, value FROM day_flow")
        found = {tuple(row[:3]): row[3] for row in rows.fetchall()}
        for key in sorted(self.flows.keys() | found.keys()):
            if self.flows.get(key) != found.get(key):
                self.fault(f"day_flow {' '.join(key)}", f"is {found.get(key)}, the movements say "
                                                        f"{self.flows.get(key)}")  # fmt: skip

    def balance(
        self, table: str, names: tuple[str, ...], wanted: dict[Any, tuple[int, int]]
    ) -> None:
        columns = ", ".join(names)
        rows = self.db.execute(f"SELECT {columns}, quantity, value FROM {table}")
        found = {tuple(row[:-2]): tuple(row[-2:]) for row in rows.fetchall()}
        for key in sorted(wanted.keys() | found.keys()):
            if wanted.get(key) != found.get(key):
                name = " ".join(str(part) for part in key)
                self.fault(f"{table} {name}", f"is {found.get(key)}, the movements say "
                                              f"{wanted.get(key)} (quantity, value)")  # fmt: skip


def _put(
    rows: dict[Any, tuple[int, int]], key: Any, there: tuple[int, int], quantity: int, value: int
) -> None:
    left = (there[0] + quantity, there[1] + value)
    if left == (0, 0):
        rows.pop(key, None)
    else:
        rows[key] = left


def verify(book: Book, tell: Callable[[int, int], None]) -> Verdict:
    """Check a whole book; `tell` hears how many of how many entries are done."""
    with book.reading() as db:
        audit = _Audit(db, tell)
        try:
            audit.run()
        except sqlite3.DatabaseError as error:
            audit.fault("file", f"cannot be read to its end: {error}")
    entries, movements, changes = audit.counts
    return Verdict(entries, movements, changes, audit.previous, tuple(audit.faults))
