"""How published shares of cost look beside the site's own."""

from typing import TYPE_CHECKING

from stockbook.domain.amounts import text_from_whole
from stockbook.domain.costs import PeriodCost
from stockbook.domain.published_costs import FULL, MAIN, PUBLISHED
from stockbook.reports.tables import table

if TYPE_CHECKING:
    from stockbook.reports.data import DataSheet

UNKNOWN = "unknown: overhead is not known of every case"
NOTE = (
    "Published figures are to be read beside, never as pass or fail: what counts as supplies "
    "differs, and donated stock counts here as nil."
)


def published_lines(found: PeriodCost) -> str:
    """A row for each published figure, the site's own beside it."""
    headers = ("Published elsewhere", "There", "Here", "Where", "Source")
    rows = [
        (one.what, one.words, _here(one.what, found), one.where, one.source) for one in PUBLISHED
    ]
    drawn = table(headers, rows, caption="Beside published figures")
    return f"{drawn}\n{NOTE}"


def _here(what: str, found: PeriodCost) -> str:
    own = found.main_share
    if what == FULL:
        share = found.supplies_share
        return UNKNOWN if share is None else f"{text_from_whole(share, 1)} %"
    return own.words if own else "no such class was used"


def published_sheet(found: PeriodCost) -> "DataSheet":
    """The same as data, in thousandths."""
    from stockbook.reports.data import DataSheet, columns

    own = found.main_share
    here = {FULL: found.supplies_share, MAIN: own.thousandths if own else None}
    rows = [
        (one.what, one.least, one.most, one.where, one.source, here[one.what])
        for one in PUBLISHED
    ]  # fmt: skip
    names = columns(
        "figure", "from_thousandths:count", "to_thousandths:count", "where", "source",
        "here_thousandths:count",
    )  # fmt: skip
    return DataSheet("published_shares", (), names, tuple(rows), beside=True)
