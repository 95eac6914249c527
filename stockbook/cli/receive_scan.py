"""`stockbook receive … --scan`: a delivery, or opening stock, unpacked by scanner."""

import sys
from collections.abc import Callable
from dataclasses import dataclass, replace
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
    from stockbook.domain.deliveries import Charges
    from stockbook.domain.receiving import DeskReply, WholeDelivery
    from stockbook.domain.records import LeftLine, Received

    Left = Callable[[Received], tuple[LeftLine, ...]]


@dataclass(frozen=True)
class Given:
    """What was said of the delivery on the command line; none: not said.

    Without a supplier it is opening stock, and the note its sheet.
    """

    supplier: str | None
    note: str | None = None
    place: str | None = None
    terms: str | None = None
    order: str | None = None
    freight: str | None = None
    freight_by: str | None = None
    tax: str | None = None


def unpack(given: Given, separator: str | None) -> None:
    """Sit down at the delivery and take scans until it is recorded or left."""
    from stockbook.jobs.delivery_lines import charges_typed
    from stockbook.jobs.left_ahead import left_of_delivery
    from stockbook.jobs.receive_scan import sit_down, take_line
    from stockbook.reports.receive_scan import desk_page

    note, lines = _checked(given), signed_lines(separator)
    with open_book() as book:
        signed, site = replace(signature(book), reason=None), site_of(book)
        said = _said(given, charges_typed(book, given.freight, given.freight_by, given.tax))
        page = sure_if_asked(
            lambda sure: sit_down(book, signed, given.supplier, note, said, sure=sure)
        )
        show(partial(desk_page, page, site))
        at = page.unpacking

        def left(received: "Received") -> "tuple[LeftLine, ...]":
            return () if at.is_opening else left_of_delivery(book, signed.today, received)

        def take(line: str) -> bool:
            now = signed_now(book, signed)
            reply = take_line(
                book, now, at.supplier, at.note, line, seat=at.seat, separator=separator
            )
            _show(reply, left, site)
            return reply.left

        answer_each(take, lines)


def _checked(given: Given) -> str:
    """The note's number; a sitting has one, and no dry run."""
    if session().dry_run:
        raise click.UsageError("Unpacking has no dry run; RECORD alone records, UNDO takes back.")
    if session().reason:
        raise click.UsageError("With --scan a reason is given pack by pack, when it is asked for.")
    if given.note is None:
        raise click.UsageError("--scan needs the delivery's NOTE: receive SUPPLIER NOTE --scan.")
    return given.note


def _said(given: Given, charges: "Charges") -> "WholeDelivery":
    """What was said of the delivery as a whole, in the book's own terms."""
    from stockbook.domain.receiving import WholeDelivery

    return WholeDelivery(
        given.order, given.terms, given.place, charges.freight or None, charges.freight_by,
        charges.tax or None,
    )  # fmt: skip


def _show(reply: "DeskReply", left: "Left", site: "Site") -> None:
    """The answer to one line; a recorded delivery as its page."""
    from stockbook.reports.receive_scan import reply_lines

    say_reply(partial(reply_lines, reply, site))
    if reply.received is not None:
        show_received(reply.received, left, site)
        recorded(reply.received.entry, already=reply.received.already)
    sys.stdout.flush()


def show_received(received: "Received", left: "Left", site: "Site") -> None:
    """The page of what was received, and what of it is expected to be left over."""
    from stockbook.reports.receive import left_page, received_page

    if received.lines or received.rejected:
        show(lambda: received_page(received, site))
        words = "" if session().dry_run else left_page(left(received))
        if words:
            show(words)
