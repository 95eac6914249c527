"""The bare side of the growth benches: plain SQL, plain hashing, a plain executemany."""

import contextlib
import csv
import hashlib
import json
import sqlite3
from collections.abc import Iterator
from itertools import groupby
from pathlib import Path

STOCK = (
    "SELECT lot.*, on_hand.*, item.* FROM lot JOIN on_hand ON on_hand.lot = lot.code "
    "JOIN item ON item.code = lot.item ORDER BY lot.item, place, expires_on, received_on, lot.code"
)
TRACE = (
    "SELECT movement.*, happened_on, kind, lot.number FROM lot "
    "JOIN movement ON movement.lot = lot.code AND movement.entry >= ?2 "
    "JOIN entry ON entry.number = movement.entry WHERE lot.item = ?1 "
    "ORDER BY movement.entry, movement.line"
)
COST = (
    "SELECT case_code, to_place, item_class, movement.quantity, movement.value FROM entry "
    "JOIN movement ON movement.entry = entry.number JOIN lot ON lot.code = lot "
    "JOIN item ON item.code = item WHERE booked_on BETWEEN ?1 AND ?2"
)
_ENDED = (
    "SELECT case_code, to_place, {what}, SUM(movement.quantity), SUM(movement.value) FROM entry "
    "JOIN movement ON movement.entry = entry.number JOIN lot ON lot.code = lot "
    "JOIN item ON item.code = item WHERE booked_on BETWEEN ?1 AND ?2 "
    "AND to_place IN (SELECT code FROM place WHERE kind IN ('used', 'waste')) GROUP BY 1, 2, 3"
)
BY_CLASS, BY_ITEM = _ENDED.format(what="item_class"), _ENDED.format(what="item.code")
PERIOD = (
    "SELECT item_class, from_place, to_place, COUNT(*), SUM(movement.value) FROM entry "
    "JOIN movement ON movement.entry = entry.number JOIN lot ON lot.code = lot "
    "JOIN item ON item.code = item WHERE booked_on >= ?1 GROUP BY 1, 2, 3"
)
_DUMP = json.JSONEncoder(ensure_ascii=False, separators=(",", ":")).encode
_PREFIX = "stockbook entry 1"


def asked(path: Path, sql: str, values: tuple[object, ...] = ()) -> list[tuple]:
    """All rows of a question, over a connection of its own."""
    with contextlib.closing(sqlite3.connect(path)) as db:
        return db.execute(sql, values).fetchall()


def hashed(path: Path) -> tuple[int, str]:
    """Every entry read, written as it was chained, and hashed: how many, and the last checksum."""
    count = 0
    with contextlib.closing(sqlite3.connect(path)) as db:
        (previous,) = db.execute("SELECT id FROM book").fetchone()
        moves = _by_entry(db.execute("SELECT * FROM movement ORDER BY entry, line"))
        changes = _by_entry(db.execute("SELECT * FROM change ORDER BY entry, line"))
        for head in db.execute("SELECT * FROM entry ORDER BY number"):
            lines = next(moves) if head[14] else []
            facts = next(changes) if head[15] else []
            bodies = ",".join(f"[{_DUMP(k)},{_DUMP(c)},{body}]" for _, _, k, c, body in facts)
            text = f"[{_DUMP(head[:14])},{_DUMP([row[2:] for row in lines])},[{bodies}]]"
            previous = hashlib.sha256(f"{_PREFIX}\n{previous}\n{text}".encode()).hexdigest()
            assert previous == head[17]
            count += 1
    return count, previous


def _by_entry(rows: Iterator[tuple]) -> Iterator[list[tuple]]:
    return (list(found) for _, found in groupby(rows, lambda row: row[0]))


def take_in(path: Path, file: Path) -> None:
    """Rows of items in two tables, each cell checked for its type, by two executemany."""
    with contextlib.closing(sqlite3.connect(path, isolation_level=None)) as db, file.open() as text:
        rows = [_item(row) for row in csv.DictReader(text)]
        db.execute("BEGIN IMMEDIATE")
        db.executemany("INSERT INTO item VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", rows)
        db.executemany(
            "INSERT INTO change VALUES (2, ?, 'item', ?, ?)",
            [(n, row[0], _body(row)) for n, row in enumerate(rows, start=1)],
        )
        db.execute("COMMIT")


def _item(row: dict[str, str]) -> tuple[object, ...]:
    texts = [row["item"].strip(), row["name"].strip(), row["class"].strip(), row["unit"].strip()]
    if not all(texts) or {row["serial"], row["controlled"]} - {"yes", "no"}:
        raise ValueError(row)
    yes = [int(row[name] == "yes") for name in ("serial", "controlled")]
    return (*texts, int(row["unit_places"]), None, None, yes[0],
            int(row["least_days_left"]), yes[1], None, 0, None, None)  # fmt: skip


def _body(row: tuple[object, ...]) -> str:
    names = ("name", "item_class", "unit", "unit_places", "lens_model", "power", "by_serial",
             "least_days_left", "controlled", "storage_class", "standby", "service",
             "replaces")  # fmt: skip
    return json.dumps(
        dict(zip(names, row[1:], strict=True)), ensure_ascii=False, sort_keys=True,
        separators=(",", ":"),
    )  # fmt: skip
