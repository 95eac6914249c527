"""Lines as a scanner or a keyboard sends them, each as soon as it is there."""

import os
import sys
from collections.abc import Callable, Iterator

import click

from stockbook.cli.context import on_screen, session
from stockbook.domain.amounts import plural
from stockbook.errors import BookDamaged, InputError, StockbookError

MOST_BYTES = 4 * 4096 + 2
"""The longest scan and its line end, whatever its characters."""


def scanned_lines() -> Iterator[bytes]:
    """The lines of standard input; of a long one its beginning."""
    if sys.stdin is None:
        return
    while line := _part_of_line():
        yield line
        while len(line) == MOST_BYTES and not line.endswith(b"\n"):
            line = _part_of_line()


def scanned_texts() -> Iterator[str]:
    """The same as text without blank lines; bytes that are no text are shown as such."""
    for line in scanned_lines():
        text = line.decode(errors="backslashreplace")
        if text.strip():
            yield text


def _part_of_line() -> bytes:
    """The next line, or as much of it as one scan may have; nothing at the end."""
    try:
        return sys.stdin.buffer.readline(MOST_BYTES)
    except OSError as error:
        from stockbook.errors import InputError

        raise InputError(f"standard input cannot be read ({error.strerror}).") from None


def signed_lines(separator: str | None) -> Iterator[str]:
    """The lines of whoever signs in, by the first scan if need be."""
    from stockbook.domain.scans import known_separator

    lines = scanned_texts()
    known_separator(separator)
    sign_in(lines)
    return lines


def say_reply(words: Callable[[], str]) -> None:
    """The answer to a line, where there is one."""
    said = on_screen(words, sys.stdout)
    if said:
        click.echo(said)


def sign_in(lines: Iterator[str]) -> None:
    """Who sits here: --by or STOCKBOOK_BY, else the first scan."""
    from stockbook.jobs.theatre_scans import signed_in

    if not (session().by or os.environ.get("STOCKBOOK_BY")):
        click.echo("Scan or type your staff code.", err=True)
        session().by = signed_in(next(lines, ""))


def answer_each(take: Callable[[str], bool], lines: Iterator[str]) -> None:
    """Each line is answered at once, until the sitting is left; what is refused is said aloud.

    A pipe that had something refused ends as wrong input; nobody was there to scan it again.
    """
    refused = 0
    for line in lines:
        try:
            is_left = take(line)
        except BookDamaged:
            raise
        except StockbookError as error:
            refused += 1
            _show_refused(error)
            continue
        if is_left:
            break
    else:
        click.echo("Not recorded; what was scanned is kept. Give the command again to go on.")
    if refused and not sys.stdin.isatty():
        raise InputError(f"{plural(refused, 'scan')} refused.")


def _show_refused(error: StockbookError) -> None:
    """Why a line was not taken."""
    from stockbook.cli.main import say

    say(on_screen(lambda: f"!! {error.message}", sys.stderr))
