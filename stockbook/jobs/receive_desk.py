"""The desk where a delivery is unpacked, and what may be wanted there."""

import sqlite3
from dataclasses import dataclass

from stockbook.domain.entries import Signature
from stockbook.domain.receiving import Unpacking
from stockbook.ledger.settings import setting


class Wanted(Exception):
    """Something of a pack is not known yet: what, and the question in words."""

    def __init__(self, name: str, words: str) -> None:
        """Keep the name of what is asked and the question."""
        super().__init__(words)
        self.name = name
        self.words = words


@dataclass(frozen=True, slots=True)
class Desk:
    """Where a pack is looked at: the book, who sits there, the delivery so far."""

    db: sqlite3.Connection
    signature: Signature
    unpacking: Unpacking
    separator: str | None = None

    @property
    def day(self) -> str:
        """The day of the delivery."""
        return self.signature.happened_on

    def days(self, name: str) -> int:
        """A rule of the site that is a number of days."""
        return int(setting(self.db, name))
