"""`stockbook scan`."""

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import click

from stockbook.cli.context import asking, keep, open_book, session, today

if TYPE_CHECKING:
    from stockbook.domain.meanings import Meaning
    from stockbook.domain.scan_facts import Scan

Ask = Callable[["Scan"], "Meaning"]
"""Says what a read scan means."""

_CODE_REFUSED = 2


@click.command("scan")
@click.argument("scan", required=False)
@click.option("--separator", metavar="CHAR",
              help="What the scanner sends for GS: one of | ~ ^ @ # { }.")  # fmt: skip
@click.option("--as-of", metavar="DAY", expose_value=False, callback=keep("as_of"),
              help="Read years of two figures, and expiry, as on this day.")  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="One JSON object a line.")
@asking
def command(scan: str | None, separator: str | None, as_json: bool) -> None:
    """What a scan says and means in this book; records nothing.

    Reads lines from standard input, or the one SCAN, and answers each with one line. Ends with 0
    when every scan was read, with 2 when one was refused. {GS} and <GS> are read as the separator.
    """
    from stockbook.domain.scans import known_separator

    known_separator(separator)
    refused = 0
    with _asking() as (day, ask):
        for line in [scan.encode()] if scan is not None else _lines():
            words, ok = _answer(line, day, separator, ask, as_json=as_json)
            click.echo(words)
            refused += not ok
    if refused:
        click.get_current_context().exit(_CODE_REFUSED)


@contextmanager
def _asking() -> Iterator[tuple[str, Ask]]:
    """The day and who answers: the book; where none is named and none is here, the scan alone."""
    from stockbook.domain.meanings import Meaning

    s = session()
    if not (s.book or os.environ.get("STOCKBOOK_BOOK") or s.path.exists()):
        if not s.quiet:
            click.echo("No book here: only what the scan itself says.", err=True)
        day = _day(s.today or _local_day())
        yield day, lambda scan: Meaning(scan, day, asked=False)
        return
    from stockbook.jobs.scan import what_is

    with open_book() as book:
        day = _day(today(book))
        yield day, lambda scan: what_is(book.db, scan, day)


def _day(now: str) -> str:
    """The day asked about, else today."""
    from stockbook.domain.days import day_typed

    return day_typed(session().as_of or "today", now, "--as-of")


def _local_day() -> str:
    from datetime import date

    return date.today().isoformat()


def _lines() -> Iterator[bytes]:
    """The lines of standard input, with a word to whoever scans at a terminal."""
    from stockbook.cli.scanned_lines import scanned_lines

    if sys.stdin is not None and sys.stdin.isatty() and not session().quiet:
        click.echo("Scan now; each scan is one line. Ctrl-D ends, nothing is recorded.", err=True)
    yield from scanned_lines()


def _answer(
    line: bytes, day: str, separator: str | None, ask: Ask, *, as_json: bool
) -> tuple[str, bool]:
    """One line's answer, and whether it was read."""
    from stockbook.domain.scan_refusals import refusal
    from stockbook.domain.scans import MOST, read
    from stockbook.errors import ScanRefused
    from stockbook.reports.scan import refused_line, refused_object, scan_line, scan_object

    try:
        try:
            text = line.decode()
        except UnicodeDecodeError:
            raise refusal("NOT_UTF_8") from None
        meaning = ask(read(text, day, separator))
    except ScanRefused as refused:
        raw = line.decode(errors="backslashreplace").strip("\r\n\t")[:MOST]
        words = refused_object(refused, raw) if as_json else refused_line(refused)
        return _text(words), False
    return _text(scan_object(meaning) if as_json else scan_line(meaning)), True


def _text(words: object) -> str:
    """A line, or an object as JSON in ASCII."""
    if isinstance(words, str):
        return words
    import json

    return json.dumps(words)
