"""Plain tables and headings, alike in every report."""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import Protocol

from stockbook.domain.amounts import plural as plural
from stockbook.domain.answers import Site
from stockbook.domain.asking import AsOf

BAR = 40
"""The longest text bar, in characters."""

_screen: list[int] = []
"""The columns of the terminal a page is being made for; empty where it goes anywhere else.

A plain list: a command is one thread, and a context variable is one more import at every start.
"""


class Keeper(Protocol):
    """What keeps the parts of a page that is taken apart; each answers the mark it stands at."""

    def title(self, words: str) -> str:
        """The page's title is kept."""

    def table(
        self, headers: Sequence[str], rows: Sequence[Sequence[str]], right: Sequence[str],
        caption: str = "", sums: int = 0,
    ) -> str:  # fmt: skip
        """A table is kept."""


_keepers: list[Keeper] = []


@contextmanager
def keeping(keeper: Keeper) -> Iterator[None]:
    """Until its end titles and tables are kept there and not drawn."""
    _keepers.append(keeper)
    try:
        yield
    finally:
        _keepers.pop()


def fitted(page: Callable[[], str], columns: int) -> str:
    """A page made for a terminal: its tables fit, and longer lines are broken at spaces."""
    _screen.append(columns)
    try:
        return "\n".join(line for long in page().split("\n") for line in folded(long))
    finally:
        _screen.pop()


def columns_at_most(columns: int) -> int:
    """So many, or the screen's where it has fewer."""
    return min([columns, *_screen[-1:]])


def has_room(columns: int) -> bool:
    """Whether the page is not made for a narrower screen than this."""
    return columns_at_most(columns) == columns


def folded(line: str) -> list[str]:
    """A line as the screen holds it: one, or several broken at spaces."""
    if len(line) <= columns_at_most(len(line)):
        return [line]
    from stockbook.reports.narrow import fold

    return fold(line, columns_at_most(len(line)))


def heading(title: str, site: Site) -> str:
    """What a report is and whose, underlined."""
    if _keepers:
        return _keepers[-1].title(title)
    where = f"{site.name}. DEMONSTRATION, invented data" if site.demonstration else site.name
    lines = [*folded(title), *folded(where)]
    return "\n".join([*lines, "=" * columns_at_most(max(map(len, lines)))])


def table(
    headers: Sequence[str], rows: Sequence[Sequence[object]], right: str = "", *,
    caption: str = "", sums: int = 0,
) -> str:  # fmt: skip
    """Rows under headers; the columns named in `right` (by header) are set to the right.

    On paper it has a `caption`, and its last `sums` rows stand out. On a screen narrower than
    that, texts are broken over several lines; where not even that fits, each row becomes a block.
    """
    wanted = right.split(",") if rows else []
    cells = [["" if cell is None else str(cell) for cell in row] for row in rows]
    if _keepers:
        return _keepers[-1].table(headers, cells, right.split(","), caption, sums)
    columns = zip(headers, *cells, strict=True)
    widths = [max(len(column[0]) + 2, *map(len, column)) for column in columns]
    drawn = sum(widths) + 2 * (len(widths) - 1)
    if columns_at_most(drawn) < drawn:
        return _narrow(headers, cells, wanted, columns_at_most(drawn))
    return _drawn([headers], cells, widths, [header in wanted for header in headers])


def _drawn(
    headers: Sequence[Sequence[str]], cells: Sequence[Sequence[str]], widths: Sequence[int],
    right: Sequence[bool], gap: int = 2,
) -> str:  # fmt: skip
    rule = ["-" * width for width in widths]
    columns = [
        [cell.rjust(width) for cell in column] if on_right
        else [cell.ljust(width) for cell in column]
        for column, width, on_right in zip(
            zip(*headers, rule, *cells, strict=True), widths, right, strict=True
        )
    ]  # fmt: skip
    return "\n".join([line.rstrip() for line in map((" " * gap).join, zip(*columns, strict=True))])


def _narrow(
    headers: Sequence[str], cells: Sequence[Sequence[str]], wanted: Sequence[str], columns: int
) -> str:
    from stockbook.reports.narrow import GAPS, blocks, broken, narrowed

    for gap in GAPS:
        widths = narrowed(headers, cells, wanted, columns, gap)
        if widths is not None:
            lines = [line for row in cells for line in broken(row, widths)]
            right = [name in wanted for name in headers]
            return _drawn(broken(headers, widths), lines, widths, right, gap)
    return blocks(headers, cells, columns)


def lines(rows: Sequence[tuple[str, object]]) -> str:
    """What one thing is, a line for each fact; facts that are nothing are left out."""
    told = [(label, str(value)) for label, value in rows if value not in (None, "")]
    if _keepers:
        return _keepers[-1].table(("", ""), told, ())
    width = max((len(label) for label, _ in told), default=0)
    return "\n".join(f"{label.ljust(width)}  {value}".rstrip() for label, value in told)


def bars(rows: Sequence[tuple[str, int, str]]) -> str:
    """A text bar for each row: label, length in proportion, and the figure in words."""
    if _keepers:
        return _keepers[-1].table(("", ""), [(label, words) for label, _, words in rows], ())
    longest = max((amount for _, amount, _ in rows), default=0) or 1
    width = max((len(label) for label, _, _ in rows), default=0)
    beside = width + max((len(words) for _, _, words in rows), default=0) + len("   ")
    most = max(1, columns_at_most(beside + BAR) - beside)
    return "\n".join(
        f"{label.ljust(width)}  {'#' * (-(-amount * most // longest))} {words}".rstrip()
        for label, amount, words in rows
    )


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
