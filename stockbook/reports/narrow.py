"""Lines and tables on a screen narrower than they are: broken at spaces, never cut."""

from collections.abc import Sequence

GAPS = (2, 1)
"""Blanks between two columns, and where that is too wide."""

WHOLE = ("Shelf", "Document")
"""Columns read as one mark against a paper: a break would make two of it."""


def fold(text: str, width: int) -> list[str]:
    """The text in lines that fit, broken at spaces alone; a longer word has a line of its own.

    >>> fold("Balanced salt solution", 14)
    ['Balanced salt', 'solution']
    """
    if len(text) <= width:
        return [text]
    import textwrap

    return textwrap.wrap(text, width, break_long_words=False, break_on_hyphens=False) or [""]


def narrowed(
    headers: Sequence[str],
    rows: Sequence[Sequence[str]],
    right: Sequence[str],
    width: int,
    gap: int = GAPS[0],
) -> list[int] | None:
    """Widths of columns with which a row fits, taken from the widest texts; none if none do."""
    columns = list(zip(headers, *rows, strict=True))
    least = [_least(column, whole=column[0] in (*right, *WHOLE)) for column in columns]
    widths = [max(map(len, column)) for column in columns]
    room = width - gap * (len(columns) - 1)
    if sum(least) > room:
        return None
    for _ in range(sum(widths) - room):
        widest = max(range(len(widths)), key=lambda n: (widths[n] > least[n], widths[n]))
        widths[widest] -= 1
    return widths


def _least(column: Sequence[str], *, whole: bool) -> int:
    """How narrow a column can be: its longest word, or its longest cell where cells stay whole."""
    header, *cells = column
    kept = cells if whole else [word for cell in cells for word in cell.split(" ")]
    return max(map(len, (*header.split(" "), *kept)))


def broken(row: Sequence[str], widths: Sequence[int]) -> list[list[str]]:
    """A row in as many lines as its longest cell needs."""
    folded = [fold(cell, width) for cell, width in zip(row, widths, strict=True)]
    height = max(map(len, folded))
    return [[lines[n] if n < len(lines) else "" for lines in folded] for n in range(height)]


def blocks(headers: Sequence[str], rows: Sequence[Sequence[str]], width: int) -> str:
    """Each row as lines of `Header: value`, a blank line after each; empty cells say nothing.

    What follows the table would otherwise read as one more line of its last row.
    """
    if not rows:
        return "\n".join(fold((" " * GAPS[0]).join(headers), width))
    label = max(map(len, headers)) + len(": ")
    return "\n".join(line for row in rows for line in (*_block(headers, row, label, width), ""))


def _block(headers: Sequence[str], row: Sequence[str], label: int, width: int) -> list[str]:
    return [
        line
        for header, cell in zip(headers, row, strict=True)
        if cell
        for line in _field(header, cell, label, width)
    ]


def _field(header: str, cell: str, label: int, width: int) -> list[str]:
    """A value beside its header; below it where a word needs more room than is left there."""
    if not header:
        return fold(cell, width)
    longest = max(map(len, cell.split(" ")))
    if longest > width - label:
        return [*fold(f"{header}:", width), *fold(cell, width)]
    first, *others = fold(cell, width - label)
    return [f"{header}:".ljust(label) + first, *(" " * label + line for line in others)]
