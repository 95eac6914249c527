"""Completing in the shell: codes of items, cases, lists, places, suppliers, sponsors, staff …"""

from collections.abc import Callable

import click

from stockbook.cli.context import Session, open_book
from stockbook.errors import StockbookError

MOST = 200
Complete = Callable[[click.Context, click.Parameter, str], list[str]]


def _codes(kind: str) -> Complete:
    """The codes of a kind that begin as typed; none when no book can be read."""

    def complete(ctx: click.Context, _: click.Parameter, incomplete: str) -> list[str]:
        from stockbook.jobs.completing import codes_like

        found = ctx.find_object(Session) or Session()
        try:
            with open_book(found.path) as book:
                return codes_like(book, kind, incomplete)[:MOST]
        except StockbookError:
            return []

    return complete


items = _codes("item")
cases = _codes("case")
lists = _codes("list")
places = _codes("place")
suppliers = _codes("supplier")
staff = _codes("staff code")
orders = _codes("order")
sponsors = _codes("sponsor")
