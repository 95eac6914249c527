"""Facts are projected from changes by one upsert, and read back as the domain's dataclasses."""

import sqlite3
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any, TypeVar

from stockbook.domain.facts import KIND_OF, KINDS, Fact, fact_from_row, field_names, row_of

TABLES: Mapping[str, str] = {
    "setting": "setting",
    "item": "item",
    "pack size": "pack_size",
    "supplier": "supplier",
    "place": "place",
    "category": "category",
    "staff code": "staff_code",
    "kit": "kit",
    "list": "theatre_list",
    "case": "theatre_case",
    "lot": "lot",
    "quarantine": "quarantine",
    "period": "period",
}

F = TypeVar("F")


def table_of(cls: type[Any]) -> str:
    """The projected table of a kind of fact."""
    return TABLES[KIND_OF[cls]]


@cache
def _upsert(cls: type[Any]) -> str:
    names = field_names(cls)
    updates = ", ".join(f"{name} = excluded.{name}" for name in names[1:])
    marks = ", ".join("?" * len(names))
    return (
        f"INSERT INTO {table_of(cls)} ({', '.join(names)}) VALUES ({marks}) "  # noqa: S608 own names
        f"ON CONFLICT (code) DO UPDATE SET {updates}"
    )


def project(db: sqlite3.Connection, fact: Fact) -> None:
    """The fact's table holds this version of it."""
    db.execute(_upsert(type(fact)), row_of(fact))


@cache
def _select(cls: type[Any]) -> str:
    return f"SELECT {', '.join(field_names(cls))} FROM {table_of(cls)}"  # noqa: S608 own names


def _fact(cls: type[F], row: tuple[Any, ...]) -> F:
    made: F = fact_from_row(cls, dict(zip(field_names(cls), row, strict=True)))
    return made


def find(db: sqlite3.Connection, cls: type[F], code: str | int) -> F | None:
    """One fact by its code, or none."""
    row = db.execute(f"{_select(cls)} WHERE code = ?", (code,)).fetchone()
    return None if row is None else _fact(cls, row)


def all_of(
    db: sqlite3.Connection, cls: type[F], where: str = "1", values: tuple[Any, ...] = ()
) -> list[F]:
    """All facts of a kind in order of code, or those a condition of this layer picks."""
    rows = db.execute(f"{_select(cls)} WHERE {where} ORDER BY code", values).fetchall()
    return [_fact(cls, row) for row in rows]


def latest_changes(db: sqlite3.Connection) -> Iterator[tuple[str, str, str]]:
    """The last recorded version of every fact: kind, code, canonical JSON."""
    rows = db.execute("SELECT kind, code, body FROM change ORDER BY entry, line")
    latest = {(kind, code): body for kind, code, body in rows}
    return ((kind, code, body) for (kind, code), body in latest.items())


def kinds() -> Iterator[tuple[str, type[Any], str]]:
    """Every kind of fact with its dataclass and its table."""
    return ((kind, cls, TABLES[kind]) for kind, cls in KINDS.items())
