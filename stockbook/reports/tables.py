"""Plain tables and headings, alike in every report."""

from collections.abc import Sequence

from stockbook.domain.answers import Site
from stockbook.domain.asking import AsOf

BAR = 40
"""The longest text bar, in characters."""


def heading(title: str, site: Site) -> str:
    """What a report is and whose, underlined."""
    where = f"{site.name}. DEMONSTRATION, invented data" if site.demonstration else site.name
    return f"{title}\n{where}\n{'=' * max(len(title), len(where))}"


def table(headers: Sequence[str], rows: Sequence[Sequence[object]], right: str = "") -> str:
    """Rows under headers; the columns named in `right` (by header) are set to the right."""
    wanted = right.split(",") if rows else []
    cells = [["" if cell is None else str(cell).strip() for cell in row] for row in rows]
    columns = zip(headers, *cells, strict=True)
    widths = [max(len(column[0]) + 2, *map(len, column)) for column in columns]
    sides = [str.rjust if header in wanted else str.ljust for header in headers]
    rule = ["-" * width for width in widths]
    return "\n".join(
        "  ".join(
            [side(cell, width) for side, cell, width in zip(sides, row, widths, strict=True)]
        ).rstrip()
        for row in (headers, rule, *cells)
    )


def bars(rows: Sequence[tuple[str, int, str]]) -> str:
    """A text bar for each row: label, length in proportion, and the figure in words."""
    longest = max((amount for _, amount, _ in rows), default=0) or 1
    width = max((len(label) for label, _, _ in rows), default=0)
    return "\n".join(
        f"{label.ljust(width)}  {'#' * (-(-amount * BAR // longest))} {words}".rstrip()
        for label, amount, words in rows
    )


def plural(count: int, word: str) -> str:
    """A count with its noun.

    >>> plural(1, "case"), plural(2, "case")
    ('1 case', '2 cases')
    """
    if count == 1:
        return f"1 {word}"
    return f"{count} {word[:-1]}ies" if word.endswith("ry") else f"{count} {word}s"


def past(as_of: AsOf | None) -> str:
    """What a title adds when the book is asked about the past."""
    return f" ({as_of.words})" if as_of and as_of.words else ""


def below_nothing(rows: Sequence[str]) -> str:
    """A line of its own for what is less than nothing as at a past day; nothing when there is none.

    The place is never below nothing in the order of recording; a sheet came late.
    """
    if not rows:
        return ""
    return f"\nLess than nothing as at this day, because a sheet came late: {'; '.join(rows)}."
