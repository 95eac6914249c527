"""Tables on paper: how wide they get, whether the sheet is turned, where one is split.

A browser sets the columns itself; what is reckoned here is only whether they can fit, with the
widest letters that its fonts are likely to have. So nothing is ever cut off at the edge.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from stockbook.reports.html import Safe, el, joined
from stockbook.reports.page_style import room
from stockbook.reports.parts import HeadedTable

MARGIN = 14
LETTER = {False: 1.95, True: 1.72}
"""Millimetres that a letter takes at most on average, in plain and in dense print."""
CELL = 2.8
"""Millimetres of a column beside its letters: padding and rule."""
NARROW = 110
"""Millimetres up to which a table is as wide as it needs, not as wide as the sheet."""
SHORT = 25
"""Rows up to which a table is not divided over two sheets."""
WORD, TEXT = 14, 18
"""Letters of a word that are kept together; letters a text should have on a line."""


@dataclass(frozen=True, slots=True)
class Widths:
    """Of a column: letters that cannot be broken, and letters it should have."""

    least: int
    good: int


def columns_of(table: HeadedTable) -> list[Widths]:
    """Every column's widths: figures are never broken, long words and texts are."""
    found = []
    for number, header in enumerate(table.headers):
        cells = [row[number] for row in table.rows]
        word = _longest_word([header])
        if table.right[number]:
            whole = max([word, *map(len, cells)])
            found.append(Widths(whole, whole))
        else:
            least = min(max(word, _longest_word(cells)), WORD)
            found.append(Widths(least, max(least, min(max(map(len, cells), default=0), TEXT))))
    return found


def _longest_word(texts: Sequence[str]) -> int:
    return max((len(word) for text in texts for word in text.split()), default=1)


def millimetres(letters: Sequence[int], *, dense: bool) -> float:
    """How wide a table of such columns is."""
    return sum(letters) * LETTER[dense] + len(letters) * CELL


def is_wide(table: HeadedTable, paper: str) -> bool:
    """Whether the sheet should be turned for this table."""
    good = [column.good for column in columns_of(table)]
    return millimetres(good, dense=False) > room(paper, margin=MARGIN)


def table_html(table: HeadedTable, width: float) -> Safe:
    """One table, in dense print or in several pieces where it is too wide for the sheet."""
    if _least(table, dense=False) <= width:
        return _html(table)
    pieces = list(split(table, width))
    if len(pieces) == 1:
        return _html(table, "dense")
    return joined(*(
        _html(replace(piece, caption=f"{table.caption} (part {n} of {len(pieces)})"), "dense")
        for n, piece in enumerate(pieces, start=1)
    ))  # fmt: skip


def _least(table: HeadedTable, *, dense: bool) -> float:
    return millimetres([column.least for column in columns_of(table)], dense=dense)


def split(table: HeadedTable, width: float) -> Iterator[HeadedTable]:
    """The table in pieces that fit in dense print, each with the first column."""
    widths = [column.least for column in columns_of(table)]
    taken = [0]
    for number in range(1, len(widths)):
        wanted = [widths[n] for n in (*taken, number)]
        if len(taken) > 1 and millimetres(wanted, dense=True) > width:
            yield _columns(table, taken)
            taken = [0]
        taken.append(number)
    yield _columns(table, taken)


def _columns(table: HeadedTable, kept: Sequence[int]) -> HeadedTable:
    return replace(
        table, headers=tuple(table.headers[n] for n in kept),
        rows=tuple(tuple(row[n] for n in kept) for row in table.rows),
        right=tuple(table.right[n] for n in kept),
    )  # fmt: skip


def _html(table: HeadedTable, css: str = "") -> Safe:
    """A table with its caption, headers that say what they head, and sums that stand out."""
    widths = columns_of(table)
    if not css and millimetres([one.good for one in widths], dense=False) <= NARROW:
        css = "narrow"
    if len(table.rows) <= SHORT:
        css = f"{css} short".strip()
    head = el("tr", *(_header(text, n, table, widths) for n, text in enumerate(table.headers)))
    ordinary = len(table.rows) - table.sums
    body = (
        el("tr", *_row(row, table), css="" if number < ordinary else "sum")
        for number, row in enumerate(table.rows)
    )
    parts = [el("caption", table.caption)]
    if any(table.headers):
        parts.append(el("thead", head))
    return el("table", *parts, el("tbody", *body), css=css)


def _header(text: str, number: int, table: HeadedTable, widths: Sequence[Widths]) -> Safe:
    least = f"min-width: {widths[number].least}ch"
    if not text:
        return el("td", style=least)
    css = "right" if table.right[number] else ""
    return el("th", text, css=css, scope="col", style=least)


def _row(row: Sequence[str], table: HeadedTable) -> Iterator[Safe]:
    for number, (text, right) in enumerate(zip(row, table.right, strict=True)):
        css = "right" if right else ""
        if number == 0 and text:
            yield el("th", text, css=css, scope="row")
        else:
            yield el("td", text, css=css)
