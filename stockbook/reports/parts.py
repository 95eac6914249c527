"""A page of a terminal taken apart: its title, tables and words, to be set anew on paper.

A report is written once. `taken_apart` calls it while `tables` keeps each table as a table instead
of drawing it, and puts a mark in its place; the words between are found in what the report returns.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from stockbook.reports import tables

_MARK = "\x00"


@dataclass(frozen=True, slots=True)
class Title:
    """What the page is."""

    words: str


@dataclass(frozen=True, slots=True)
class HeadedTable:
    """Rows of texts under headers; `right` says which columns hold numbers.

    The last `sums` rows sum up the others.
    """

    headers: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: tuple[bool, ...]
    caption: str = ""
    sums: int = 0


@dataclass(frozen=True, slots=True)
class Words:
    """A paragraph."""

    text: str


Part = Title | HeadedTable | Words


@dataclass(slots=True)
class Kept:
    """What a report drew while it was taken apart, each part at its mark."""

    parts: list[Part] = field(default_factory=list)

    def title(self, words: str) -> str:
        """The page's title is kept."""
        return self._keep(Title(words))

    def table(
        self, headers: Sequence[str], rows: Sequence[Sequence[str]], right: Sequence[str],
        caption: str = "", sums: int = 0,
    ) -> str:  # fmt: skip
        """A table is kept; columns are set to the right by their headers."""
        on_right = tuple(header in right for header in headers)
        whole = tuple(tuple(row) for row in rows)
        return self._keep(HeadedTable(tuple(headers), whole, on_right, caption, sums))

    def _keep(self, part: Part) -> str:
        """The mark that stands for the part in the report's text."""
        self.parts.append(part)
        return f"{_MARK}{len(self.parts) - 1}"


def taken_apart(page: Callable[[], str]) -> list[Part]:
    """The page's parts in their order; every table has a caption."""
    kept = Kept()
    with tables.keeping(kept):
        text = page()
    parts = list(_parts(text.split("\n"), kept.parts))
    found: list[Part] = []
    for place, part in enumerate(parts):
        named = _named(part, parts, place) if isinstance(part, HeadedTable) else part
        if isinstance(named, HeadedTable) and found[-1:] == [Words(named.caption)]:
            found.pop()
        found.append(named)
    return found


def _parts(lines: Sequence[str], kept: Sequence[Part]) -> Iterator[Part]:
    words = ""
    for line in [*lines, ""]:
        if words and not _goes_on(words, line):
            yield Words(words)
            words = ""
        if line.startswith(_MARK):
            yield kept[int(line[1:])]
        elif line.startswith("  "):
            yield Words(line.strip())
        elif line:
            words = f"{words} {line}".strip()


def _goes_on(words: str, line: str) -> bool:
    """Whether a line continues a sentence that was only broken to be shorter."""
    begins = line[:1].islower() or line[:1].isdigit() or words[-1] == ","
    return bool(line) and begins and words[-1] not in ".:!?"


def _named(table: HeadedTable, parts: Sequence[Part], place: int) -> HeadedTable:
    """With its own caption, else the words right above it where they are no sentence, else the
    page's title.
    """
    before = parts[place - 1] if place else None
    if table.caption:
        return table
    if isinstance(before, Words) and before.text[-1] not in ".:!?":
        return replace(table, caption=before.text)
    title = next((one.words for one in parts if isinstance(one, Title)), "Table")
    return replace(table, caption=title)
