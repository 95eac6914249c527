"""`stockbook move --from PLACE --to PLACE --scan`: a move by scanner."""

import sys
from functools import partial
from typing import TYPE_CHECKING

import click

from stockbook.cli.context import (
    open_book,
    recorded,
    session,
    show,
    signature,
    signed_now,
    site_of,
    sure_if_asked,
)
from stockbook.cli.scanned_lines import answer_each, say_reply, signed_lines

if TYPE_CHECKING:
    from stockbook.domain.answers import Site
    from stockbook.domain.carrying import CarryReply


def carry(from_text: str, to_text: str, separator: str | None) -> None:
    """Sit down at the move and take scans until it is recorded or left."""
    from stockbook.jobs.move_scan import sit_down, take_line
    from stockbook.reports.move_scan import carry_page

    if session().dry_run:
        raise click.UsageError("--scan has no dry run; RECORD alone records, UNDO takes back.")
    lines = signed_lines(separator)
    with open_book() as book:
        signed, site = signature(book), site_of(book)
        page = sure_if_asked(lambda sure: sit_down(book, signed, from_text, to_text, sure=sure))
        show(partial(carry_page, page, site))
        at = page.carrying

        def take(line: str) -> bool:
            now = signed_now(book, signed)
            reply = take_line(
                book, now, at.from_place, at.to_place, line, seat=at.seat, separator=separator
            )
            _show(reply, at.from_place, site)
            return reply.left

        answer_each(take, lines)


def _show(reply: "CarryReply", from_place: str, site: "Site") -> None:
    """The answer to one line; a recorded move as its page."""
    from stockbook.reports.move_scan import carried_page, carry_reply

    say_reply(partial(carry_reply, reply, from_place))
    carried = reply.carried
    if carried is not None:
        show(lambda: carried_page(carried, site))
        recorded(carried.entry)
    sys.stdout.flush()
