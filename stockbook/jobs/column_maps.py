"""The site's own column names: remembered for each kind of file, so that it is read as it is."""

import json
import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stockbook.domain import texts
from stockbook.domain.codec import canonical
from stockbook.domain.facts import Setting
from stockbook.domain.rows import Chosen
from stockbook.errors import InputError
from stockbook.ledger.settings import setting

NOT_READ = "none"
MOST_NAME = 100


@dataclass(frozen=True, slots=True)
class ColumnMap:
    """The site's name of a column and ours; none for a column that is never read.

    `typed` are those named just now: a file has to have them.
    """

    kind: str
    ours: tuple[str, ...]
    named: Mapping[str, str | None]
    typed: tuple[str, ...] = ()

    def choose(self, header: Sequence[str]) -> Chosen:
        """Ours for each column of a header; what has neither a name of ours is not read."""
        theirs = [_plain(cell) for cell in header]
        missing = [name for name in self.typed if name not in theirs]
        if missing:
            raise InputError(f"--map: the file has no column {', '.join(missing)}.")
        taken = {ours for name, ours in self.named.items() if ours and name in theirs}
        return tuple(self._ours(name, taken) for name in theirs)

    def _ours(self, name: str, taken: set[str]) -> str | None:
        if name in self.named:
            return self.named[name]
        return name if name in self.ours and name not in taken else None

    def setting(self) -> Setting:
        """The map as a setting of the book."""
        return Setting(f"map/{self.kind}", canonical(dict(self.named)))

    def pairs(self) -> tuple[tuple[str, str], ...]:
        """Their names and ours."""
        return tuple((theirs, ours or NOT_READ) for theirs, ours in sorted(self.named.items()))


def column_map(
    db: sqlite3.Connection, kind: str, ours: tuple[str, ...], typed: Sequence[tuple[str, str]] = ()
) -> ColumnMap | None:
    """What the book remembers of a kind's columns, with what is typed now; none without both."""
    named = _remembered(db, kind)
    fresh = dict(_pair(theirs, name, ours) for theirs, name in typed)
    if len(fresh) != len(typed):
        raise InputError("--map: wanted each column of the file once.")
    columns = [name for name in fresh.values() if name]
    if len(set(columns)) != len(columns):
        raise InputError("--map: wanted each of our columns once.")
    kept = {theirs: name for theirs, name in named.items() if name not in columns}
    named = kept | fresh
    return ColumnMap(kind, ours, named, tuple(fresh)) if named else None


def _remembered(db: sqlite3.Connection, kind: str) -> dict[str, str | None]:
    text = setting(db, f"map/{kind}")
    found: dict[str, str | None] = json.loads(text) if text else {}
    return found


def _pair(theirs: str, name: str, ours: tuple[str, ...]) -> tuple[str, str | None]:
    column = name.strip().lower()
    if column != NOT_READ and column not in ours:
        raise InputError(
            f"--map {theirs!r} {name!r}: wanted one of our columns ({', '.join(ours)}), "
            f"or {NOT_READ} for a column that is not read."
        )
    text = _plain(texts.required_text(theirs, "--map", MOST_NAME))
    return text, None if column == NOT_READ else column


def _plain(name: str) -> str:
    """A column's name without what a person does not see: capitals, and blanks around and twice."""
    return " ".join(name.split()).casefold()
