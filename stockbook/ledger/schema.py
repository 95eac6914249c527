"""The tables of a book: three of truth, the rest projected from them; triggers guard both."""

import hashlib
import sqlite3

from stockbook.ledger.fact_tables import FACTS

APPLICATION_ID = 0x53746B62  # "Stkb"
VERSION = 4

_APPEND_ONLY = "".join(
    f"""
CREATE TRIGGER {table}_is_never_{verb}d BEFORE {verb.upper()} ON {table} BEGIN
  SELECT RAISE(ABORT, 'stockbook: {table} is append-only');
END;
"""
    for table in ("entry", "movement", "change")
    for verb in ("update", "delete")
)

TRUTH = f"""
CREATE TABLE book (id TEXT NOT NULL PRIMARY KEY) STRICT;
CREATE TABLE entry (
  number INTEGER PRIMARY KEY CHECK (number > 0),
  kind TEXT NOT NULL,
  happened_on TEXT NOT NULL CHECK (happened_on IS date(happened_on, '+0 days')),
  happened_at TEXT,
  booked_on TEXT NOT NULL CHECK (booked_on IS date(booked_on, '+0 days')),
  recorded_at TEXT NOT NULL,
  by TEXT NOT NULL CHECK (by <> ''),
  checked_by TEXT CHECK (checked_by <> by),
  reason TEXT,
  comment TEXT,
  document TEXT,
  request_key TEXT NOT NULL UNIQUE,
  request_digest TEXT NOT NULL,
  reverses INTEGER UNIQUE REFERENCES entry (number),
  movement_count INTEGER NOT NULL,
  change_count INTEGER NOT NULL,
  previous TEXT NOT NULL,
  checksum TEXT NOT NULL
) STRICT;
CREATE INDEX entry_booked ON entry (booked_on);
CREATE INDEX entry_happened ON entry (happened_on);
CREATE INDEX entry_document ON entry (document) WHERE document IS NOT NULL;
CREATE INDEX entry_reason ON entry (reason) WHERE reason IS NOT NULL;
CREATE INDEX entry_rescue ON entry (number) WHERE kind = 'rescue';
CREATE TABLE movement (
  entry INTEGER NOT NULL REFERENCES entry (number) DEFERRABLE INITIALLY DEFERRED,
  line INTEGER NOT NULL,
  lot INTEGER NOT NULL,
  quantity INTEGER NOT NULL CHECK (quantity >= 0 AND quantity < 9007199254740992),
  value INTEGER NOT NULL CHECK (value >= 0 AND value < 9007199254740992),
  from_place TEXT NOT NULL,
  to_place TEXT NOT NULL CHECK (to_place <> from_place),
  case_code TEXT,
  reason TEXT,
  seen INTEGER NOT NULL CHECK (seen IN (0, 1)),
  PRIMARY KEY (entry, line),
  CHECK (quantity > 0 OR value > 0)
) STRICT, WITHOUT ROWID;
CREATE INDEX movement_lot ON movement (lot);
CREATE INDEX movement_case ON movement (case_code) WHERE case_code IS NOT NULL;
CREATE TABLE change (
  entry INTEGER NOT NULL REFERENCES entry (number) DEFERRABLE INITIALLY DEFERRED,
  line INTEGER NOT NULL,
  kind TEXT NOT NULL,
  code TEXT NOT NULL,
  body TEXT NOT NULL,
  PRIMARY KEY (entry, line)
) STRICT, WITHOUT ROWID;
CREATE INDEX change_of ON change (kind, code);
{_APPEND_ONLY}
"""

BALANCES = """
CREATE TABLE on_hand (
  place TEXT NOT NULL, lot INTEGER NOT NULL, quantity INTEGER NOT NULL, value INTEGER NOT NULL,
  PRIMARY KEY (place, lot),
  CHECK (quantity >= 0 AND value >= 0 AND (quantity > 0 OR value = 0)),
  CHECK (quantity < 9007199254740992 AND value < 9007199254740992)
) STRICT, WITHOUT ROWID;
CREATE INDEX on_hand_lot ON on_hand (lot);
CREATE TABLE case_balance (
  case_code TEXT NOT NULL, place TEXT NOT NULL, lot INTEGER NOT NULL, quantity INTEGER NOT NULL,
  value INTEGER NOT NULL,
  PRIMARY KEY (case_code, place, lot),
  CHECK (quantity >= 0 AND value >= 0 AND (quantity > 0 OR value = 0)),
  CHECK (quantity < 9007199254740992 AND value < 9007199254740992)
) STRICT, WITHOUT ROWID;
CREATE INDEX case_balance_staged ON case_balance (place, lot)
  WHERE place >= 'trolley/' AND place < 'trolley0';
CREATE TABLE day_flow (
  booked_on TEXT NOT NULL, from_place TEXT NOT NULL, to_place TEXT NOT NULL,
  value INTEGER NOT NULL,
  PRIMARY KEY (booked_on, from_place, to_place)
) STRICT, WITHOUT ROWID;
"""

OUTSIDE = """
CREATE TABLE person (code TEXT PRIMARY KEY, name TEXT NOT NULL) STRICT;
CREATE TABLE upkeep (
  what TEXT PRIMARY KEY, made_at TEXT NOT NULL, entry INTEGER NOT NULL
) STRICT;
CREATE TABLE sitting (
  code TEXT PRIMARY KEY, kind TEXT NOT NULL, by TEXT NOT NULL, changed_at TEXT NOT NULL,
  body TEXT NOT NULL
) STRICT;
"""

_STOCK = ("store", "theatre", "trolley", "in use", "quarantine")
_WITH_CASE = ("trolley", "used", "waste")


def _moves(table: str, side: str, kinds: tuple[str, ...], also: str = "") -> str:
    """Two triggers keep one balance: `side` is from or to; a value alone needs units there."""
    columns = "case_code, place, lot" if table == "case_balance" else "place, lot"
    new = f"NEW.{side}_place, NEW.lot"
    values = f"NEW.case_code, {new}" if table == "case_balance" else new
    where = f"({columns}) = ({values})"
    arms = " ".join(f"WHEN '{kind}' THEN 1" for kind in kinds)
    kind = f"(SELECT kind FROM place WHERE code = NEW.{side}_place)"
    when = f"WHEN {also}CASE {kind} {arms} ELSE 0 END"
    name = f"{table}_{side}"
    if side == "from":
        return f"""
CREATE TRIGGER {name} AFTER INSERT ON movement {when} BEGIN
  UPDATE {table} SET quantity = quantity - NEW.quantity, value = value - NEW.value
    WHERE {where};
  SELECT RAISE(ABORT, 'stockbook: not on hand') WHERE changes() = 0;
  DELETE FROM {table} WHERE {where} AND quantity = 0;
END;
"""
    return f"""
CREATE TRIGGER {name} AFTER INSERT ON movement {when} BEGIN
  UPDATE {table} SET quantity = quantity + NEW.quantity, value = value + NEW.value
    WHERE {where};
  INSERT INTO {table} ({columns}, quantity, value)
    SELECT {values}, NEW.quantity, NEW.value WHERE changes() = 0;
END;
"""


GUARDS = f"""
CREATE TRIGGER movement_place BEFORE INSERT ON movement
WHEN NOT EXISTS (SELECT 1 FROM place WHERE code = NEW.from_place)
  OR COALESCE((SELECT closed FROM place WHERE code = NEW.to_place), 1) = 1 BEGIN
  SELECT RAISE(ABORT, 'stockbook: place unknown or closed');
END;
CREATE TRIGGER movement_lot_known BEFORE INSERT ON movement
WHEN NOT EXISTS (SELECT 1 FROM lot WHERE code = NEW.lot) BEGIN
  SELECT RAISE(ABORT, 'stockbook: lot unknown');
END;
CREATE TRIGGER movement_is_new BEFORE INSERT ON movement
WHEN EXISTS (SELECT 1 FROM entry WHERE number >= NEW.entry) BEGIN
  SELECT RAISE(ABORT, 'stockbook: a recorded entry takes no more lines');
END;
CREATE TRIGGER change_is_new BEFORE INSERT ON change
WHEN EXISTS (SELECT 1 FROM entry WHERE number >= NEW.entry) BEGIN
  SELECT RAISE(ABORT, 'stockbook: a recorded entry takes no more lines');
END;
{_moves("on_hand", "from", _STOCK)}
{_moves("on_hand", "to", _STOCK)}
{_moves("case_balance", "from", _WITH_CASE, "NEW.case_code IS NOT NULL AND ")}
{_moves("case_balance", "to", _WITH_CASE, "NEW.case_code IS NOT NULL AND ")}
CREATE TRIGGER movement_trolley BEFORE INSERT ON movement
WHEN NEW.case_code IS NULL AND 'trolley' IN (
  SELECT kind FROM place WHERE code IN (NEW.from_place, NEW.to_place)) BEGIN
  SELECT RAISE(ABORT, 'stockbook: what touches a trolley names its case');
END;
CREATE TRIGGER entry_in_order BEFORE INSERT ON entry BEGIN
  SELECT RAISE(ABORT, 'stockbook: entry out of order')
    WHERE NEW.number <> (SELECT COALESCE(MAX(number), 0) + 1 FROM entry);
  SELECT RAISE(ABORT, 'stockbook: chain broken')
    WHERE NEW.previous <> COALESCE(
      (SELECT checksum FROM entry WHERE number = NEW.number - 1), (SELECT id FROM book));
  SELECT RAISE(ABORT, 'stockbook: lines missing')
    WHERE NEW.movement_count <> (SELECT COUNT(*) FROM movement WHERE entry = NEW.number)
      OR NEW.change_count <> (SELECT COUNT(*) FROM change WHERE entry = NEW.number);
  SELECT RAISE(ABORT, 'stockbook: period closed')
    FROM period WHERE closed = 1 AND NEW.booked_on <= last_day;
  SELECT RAISE(ABORT, 'stockbook: a reversal is not reversed')
    FROM entry WHERE number = NEW.reverses AND reverses IS NOT NULL;
END;
CREATE TRIGGER entry_flows AFTER INSERT ON entry WHEN NEW.movement_count > 0 BEGIN
  INSERT INTO day_flow SELECT NEW.booked_on, from_place, to_place, SUM(value) FROM movement
    WHERE entry = NEW.number GROUP BY from_place, to_place HAVING SUM(value) > 0
    ON CONFLICT DO UPDATE SET value = value + excluded.value;
END;
"""

# For people who open the book with another program; the program reads it only to rebuild.
VIEWS = """
CREATE VIEW movement_side AS
  SELECT entry, line, lot, from_place AS place, -quantity AS quantity, -value AS value, case_code
    FROM movement
  UNION ALL
  SELECT entry, line, lot, to_place, quantity, value, case_code FROM movement;
"""

_KINDS = ", ".join(f"'{kind}'" for kind in _STOCK)
_KINDS_WITH_CASE = ", ".join(f"'{kind}'" for kind in _WITH_CASE)

# What the triggers keep, reckoned from all movements: for a book whose derived tables are new.
REBUILD = f"""
INSERT INTO on_hand
  SELECT place, lot, SUM(quantity), SUM(value) FROM movement_side
    WHERE place IN (SELECT code FROM place WHERE kind IN ({_KINDS}))
    GROUP BY place, lot HAVING SUM(quantity) > 0;
INSERT INTO case_balance
  SELECT case_code, place, lot, SUM(quantity), SUM(value) FROM movement_side
    WHERE case_code IS NOT NULL
      AND place IN (SELECT code FROM place WHERE kind IN ({_KINDS_WITH_CASE}))
    GROUP BY case_code, place, lot HAVING SUM(quantity) > 0;
INSERT INTO day_flow
  SELECT booked_on, from_place, to_place, SUM(value)
    FROM entry CROSS JOIN movement ON movement.entry = number
    WHERE value > 0 GROUP BY booked_on, from_place, to_place;
"""

SCHEMA = TRUTH + FACTS + BALANCES + OUTSIDE + GUARDS + VIEWS

DIGEST = "67c650bb8efcc806f0e45593f2c71897f8a3adad61ea06c41354cbf392921dec"
"""What `digest_of_schema` gives for this version; a lost trigger or table changes it."""


def digest_of_schema(db: sqlite3.Connection) -> str:
    """SHA-256 over every table, index, trigger and view as SQLite stores it."""
    rows = db.execute(
        "SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL AND name NOT LIKE 'sqlite_%' "
        "ORDER BY type, name"
    ).fetchall()
    return hashlib.sha256("\n".join(sql for (sql,) in rows).encode()).hexdigest()


def named(statement: str) -> str:
    """The table, index, trigger or view that a statement of the schema makes.

    >>> named("CREATE TABLE book (id TEXT)")
    'book'
    """
    return statement.split(maxsplit=3)[2]


def create(db: sqlite3.Connection, book_id: str) -> None:
    """All tables made in an empty file, inside the caller's transaction."""
    for statement in statements(SCHEMA):
        db.execute(statement)
    db.execute("INSERT INTO book (id) VALUES (?)", (book_id,))
    db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    db.execute(f"PRAGMA user_version = {VERSION}")


def statements(script: str) -> list[str]:
    """A script cut into its statements (executescript would commit first)."""
    found, text = [], ""
    for line in script.splitlines(keepends=True):
        text += line
        if sqlite3.complete_statement(text):
            found.append(text.strip())
            text = ""
    return found
