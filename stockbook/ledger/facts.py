"""Facts are projected from changes by one upsert, and read back as the domain's dataclasses."""

import sqlite3
from collections.abc import Collection, Iterator, Mapping
from functools import cache, lru_cache
from typing import Any, TypeVar

from stockbook.domain.codec import (
    KIND_OF,
    KINDS,
    fact_from_body,
    fact_from_row,
    field_names,
    row_of,
)
from stockbook.domain.facts import Fact, Lot

TABLES: Mapping[str, str] = {
    "setting": "setting",
    "item": "item",
    "pack size": "pack_size",
    "supplier": "supplier",
    "place": "place",
    "category": "category",
    "staff code": "staff_code",
    "kit": "kit",
    "machine": "machine",
    "list": "theatre_list",
    "case": "theatre_case",
    "lot": "lot",
    "quarantine": "quarantine",
    "period": "period",
    "level": "level",
    "shelf": "shelf",
    "past use": "past_use",
    "supply terms": "supply_terms",
    "order": "purchase_order",
    "judged use": "judged_use",
    "invoice": "invoice",
    "stated value": "stated_value",
    "sponsor": "sponsor",
    "claimed case": "claimed_case",
    "rejection": "rejection",
}

F = TypeVar("F")

MOST_VALUES = 30_000
"""SQLite takes 32,766 values in one question."""


def table_of(cls: type[Any]) -> str:
    """The projected table of a kind of fact."""
    return TABLES[KIND_OF[cls]]


@cache
def _upsert(table: str, names: tuple[str, ...]) -> str:
    updates = ", ".join(f"{name} = excluded.{name}" for name in names[1:])
    marks = ", ".join("?" * len(names))
    return (
        f"INSERT INTO {table} ({', '.join(names)}) VALUES ({marks}) "
        f"ON CONFLICT (code) DO UPDATE SET {updates}"
    )


def project(db: sqlite3.Connection, fact: Fact) -> None:
    """The fact's table holds this version of it."""
    cls = type(fact)
    db.execute(_upsert(table_of(cls), field_names(cls)), row_of(fact))


def _select(cls: type[Any]) -> str:
    return _selected(KIND_OF[cls])


@cache
def _selected(kind: str) -> str:
    return f"SELECT {', '.join(field_names(KINDS[kind]))} FROM {TABLES[kind]}"


@lru_cache(maxsize=4096)
def _known(kind: str, row: tuple[Any, ...]) -> Any:
    return fact_from_row(KINDS[kind], row)


def _fact(cls: type[F], row: tuple[Any, ...]) -> F:
    """The fact of a row; the same row read again is the same object, which nobody can alter.

    Lots are too many to be kept.
    """
    made: F = fact_from_row(cls, row) if cls is Lot else _known(KIND_OF[cls], row)
    return made


def find(db: sqlite3.Connection, cls: type[F], code: str | int) -> F | None:
    """One fact by its code, or none."""
    row = db.execute(f"{_select(cls)} WHERE code = ?", (code,)).fetchone()
    return None if row is None else _fact(cls, row)


def version_at(db: sqlite3.Connection, cls: type[F], code: str, entry: int) -> F | None:
    """A fact as it stood after an entry, or none where it was not known yet."""
    row = db.execute(
        "SELECT body FROM change WHERE kind = ? AND code = ? AND entry <= ? "
        "ORDER BY entry DESC, line DESC LIMIT 1",
        (KIND_OF[cls], code, entry),
    ).fetchone()
    found: F | None = fact_from_body(KIND_OF[cls], code, row[0]) if row else None
    return found


def entries_that_changed(db: sqlite3.Connection, cls: type[Any], code: str) -> list[int]:
    """The entries that hold a version of a fact, the first one first."""
    rows = db.execute(
        "SELECT DISTINCT entry FROM change WHERE kind = ? AND code = ? ORDER BY entry",
        (KIND_OF[cls], code),
    )
    return [int(row[0]) for row in rows.fetchall()]


def all_of(db: sqlite3.Connection, cls: type[F], **wanted: object) -> list[F]:
    """All facts of a kind in order of code; `wanted` keeps those with these field values.

    A set, list or tuple keeps those with any of its values; very many are asked for in parts.
    """
    for name, value in wanted.items():
        if (
            isinstance(value, Collection)
            and not isinstance(value, str)
            and len(value) > MOST_VALUES
        ):
            parts = _in_parts(sorted(value))
            found = [fact for part in parts for fact in all_of(db, cls, **{**wanted, name: part})]
            return sorted(found, key=_by_code)
    conditions, values = ["1"], []  # type: tuple[list[str], list[object]]
    for name, value in wanted.items():
        many = list(value) if isinstance(value, Collection) and not isinstance(value, str) else None
        conditions.append(f"{name} IN ({marks(many)})" if many is not None else f"{name} = ?")
        values.extend(many if many is not None else [value])
    sql = f"{_select(cls)} WHERE {' AND '.join(conditions)} ORDER BY code"
    return [_fact(cls, row) for row in db.execute(sql, values).fetchall()]


def _in_parts(values: list[Any]) -> Iterator[list[Any]]:
    return (values[n : n + MOST_VALUES] for n in range(0, len(values), MOST_VALUES))


def _by_code(fact: Any) -> Any:
    return fact.code


def codes(db: sqlite3.Connection, cls: type[Any]) -> list[str]:
    """The codes of all facts of a kind."""
    rows = db.execute(f"SELECT code FROM {table_of(cls)} ORDER BY code")
    return [str(row[0]) for row in rows.fetchall()]


def marks(values: Collection[object]) -> str:
    """As many question marks as values, for an IN list."""
    return ", ".join("?" * len(values))


def kinds() -> Iterator[tuple[str, type[Any], str]]:
    """Every kind of fact with its dataclass and its table."""
    return ((kind, cls, TABLES[kind]) for kind, cls in KINDS.items())
