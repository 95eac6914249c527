"""`stockbook theatre`."""

import io
import sys
from collections.abc import Callable, Iterable, Iterator
from typing import TYPE_CHECKING

import click

from stockbook.cli import completing
from stockbook.cli.context import (
    on_screen,
    open_book,
    recording,
    session,
    show,
    signature,
    signed_now,
    site_of,
    sure_if_asked,
)
from stockbook.cli.scanned_lines import sign_in
from stockbook.errors import BookDamaged, InputError, NotEnough, StockbookError

if TYPE_CHECKING:
    from stockbook.domain.sitting import Reply


@click.command("theatre")
@click.argument("list_code", metavar="LIST", shell_complete=completing.lists)
@click.argument("scans", nargs=-1)
@recording
def command(list_code: str, scans: tuple[str, ...]) -> None:
    """One sitting on a list, by scanner: strip, packs, NEXT.

    Scans come from the keyboard, a pipe, or after LIST on the command line. The first is your
    staff code where --by is not given. What was scanned stays when the terminal dies; give the
    command again to go on. LEAVE, or the end of input, ends it. Ends with 2 when a scan was
    refused, except at a terminal.
    """
    from stockbook.jobs.theatre import sit_down, take_scan
    from stockbook.jobs.theatre_end import leave
    from stockbook.reports.tables import plural
    from stockbook.reports.theatre import end_page, sitting_page

    if session().dry_run:
        raise click.UsageError("A sitting has no dry run; NEXT alone records, and UNDO takes back.")
    lines = _lines(scans)
    sign_in(lines)
    with open_book() as book:
        signed = signature(book)
        the_list, sitting = sure_if_asked(lambda sure: sit_down(book, signed, list_code, sure=sure))
        site = site_of(book)
        show(lambda: sitting_page(the_list, sitting, site))

        def take(line: str) -> "Reply":
            return take_scan(book, signed_now(book, signed), the_list.code, line, seat=sitting.seat)

        refused = _sit(take, lines)
        end = leave(book, the_list.code, sitting.seat)
        show(lambda: end_page(end, site))
    if refused and (scans or not sys.stdin.isatty()):
        raise InputError(f"{plural(refused, 'scan')} refused.")


def _lines(scans: tuple[str, ...]) -> Iterator[str]:
    """What is scanned, one after the other, as it comes."""
    if isinstance(sys.stdin, io.TextIOWrapper):
        sys.stdin.reconfigure(errors="backslashreplace")  # no scan, and refused as such
    source: Iterable[str] = scans or iter(sys.stdin.readline, "")
    return (line for line in source if line.strip())


def _sit(take: "Callable[[str], Reply]", lines: Iterator[str]) -> int:
    """Each scan is answered at once; how many were refused."""
    from functools import partial

    from stockbook.reports.theatre import reply_lines

    refused = 0
    for line in lines:
        try:
            reply = take(line)
        except BookDamaged:
            raise
        except StockbookError as error:
            refused += 1
            _show_refused(error)
            continue
        click.echo(on_screen(partial(reply_lines, reply), None))
        sys.stdout.flush()
        if reply.left:
            break
    return refused


def _show_refused(error: StockbookError) -> None:
    """Why a scan was not taken, with the table of what is missing."""
    from stockbook.cli.main import say
    from stockbook.reports.cases import missing_table

    say(on_screen(lambda: f"!! {error.message}", sys.stderr))
    if isinstance(error, NotEnough):
        missing = error.missing
        say(on_screen(lambda: missing_table(missing), sys.stderr))
