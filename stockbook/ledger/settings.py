"""The site's settings, and who this book says may post."""

import sqlite3

from stockbook.domain.facts import Category, StaffCode
from stockbook.domain.site_rules import RULES
from stockbook.ledger.facts import all_of, find

DEFAULTS = {name: rule.default for name, rule in RULES.items()}
"""What holds until the site says otherwise."""


def setting(db: sqlite3.Connection, code: str) -> str:
    """A setting's text, or what holds by default."""
    row = db.execute("SELECT value FROM setting WHERE code = ?", (code,)).fetchone()
    return str(row[0]) if row else DEFAULTS.get(code, "")


def has_value(db: sqlite3.Connection) -> bool:
    """Whether any amount of money is in the book."""
    asked = (
        "SELECT EXISTS (SELECT 1 FROM movement WHERE value > 0) OR EXISTS (SELECT 1 FROM lot "
        "WHERE price IS NOT NULL OR shadow_value > 0 OR agreed_value > 0)"
    )
    return bool(db.execute(asked).fetchone()[0])


def staff(db: sqlite3.Connection, code: str) -> StaffCode | None:
    """A person's code and role, or none."""
    return find(db, StaffCode, code)


def staff_codes(db: sqlite3.Connection) -> list[StaffCode]:
    """Everyone who may post."""
    return all_of(db, StaffCode, active=1)


def categories(db: sqlite3.Connection) -> list[Category]:
    """The categories of this book, by code."""
    return all_of(db, Category)


def name_person(db: sqlite3.Connection, code: str, name: str) -> None:
    """The name beside a code; outside the chain, so that it can be forgotten."""
    db.execute(
        "INSERT INTO person (code, name) VALUES (?, ?) "
        "ON CONFLICT (code) DO UPDATE SET name = excluded.name",
        (code, name),
    )


def last_entry(db: sqlite3.Connection) -> tuple[int, str, str, str]:
    """The last entry: number, checksum, day it happened, when it was recorded."""
    row = db.execute(
        "SELECT number, checksum, happened_on, recorded_at FROM entry ORDER BY number DESC LIMIT 1"
    ).fetchone()
    return (int(row[0]), str(row[1]), str(row[2]), str(row[3])) if row else (0, "", "", "")


def book_id(db: sqlite3.Connection) -> str:
    """The book's random id, which the first checksum covers."""
    return str(db.execute("SELECT id FROM book").fetchone()[0])


def people(db: sqlite3.Connection) -> dict[str, str]:
    """The names beside the staff codes."""
    return dict(db.execute("SELECT code, name FROM person ORDER BY code").fetchall())
