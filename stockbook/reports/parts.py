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
    found = list(_parts(text.split("\n"), kept.parts))
    return [
        replace(part, caption=_caption(found, place)) if isinstance(part, HeadedTable) else part
        for place, part in enumerate(found)
    ]


def _parts(lines: Sequence[str], kept: Sequence[Part]) -> Iterator[Part]:
    words = ""
    for line in [*lines, ""]:
        if words and not _goes_on(words, line):
            yield Words(words)
            words = ""
        if line.startswith(_MARK):
            yield kept[int(line[1:])]
        elif line:
            words = f"{words} {line}".strip()


def _goes_on(words: str, line: str) -> bool:
    """Whether a line continues a sentence that was only broken to be shorter."""
    return line[:1].islower() and words[-1] not in ".:!?"


def _caption(parts: Sequence[Part], place: int) -> str:
    """Its own, else the words right above it where they are no sentence, else the page's title."""
    part, before = parts[place], parts[place - 1] if place else None
    if isinstance(part, HeadedTable) and part.caption:
        return part.caption
    if isinstance(before, Words) and before.text[-1] not in ".:!?":
        return before.text
    return next((one.words for one in parts if isinstance(one, Title)), "Table")
