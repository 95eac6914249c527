"""`stockbook book`."""

import sys
from collections.abc import Iterable
from pathlib import Path

import click

from stockbook.cli.answers import answer, asks_for_data, data_options
from stockbook.cli.context import (
    asking,
    book_option,
    by_option,
    open_book,
    recorded,
    recorded_now,
    recording,
    session,
    show,
    signature,
    site_of,
    who,
)
from stockbook.errors import BookDamaged, InputError


@click.group("book")
def command() -> None:
    """The book itself: new, settings, verify, backup, restore, export."""


@command.command("new")
@click.option("--site", required=True, help="The site's name, for headings.")
@click.option("--currency", required=True, metavar="CODE", help="ISO 4217, such as INR or KES.")
@click.option("--time-zone", required=True, metavar="NAME", help="Such as Africa/Nairobi.")
@click.option("--category", "categories", multiple=True, metavar="WORD",
              help="Who pays; free and paid by default. May be repeated.")  # fmt: skip
@click.option("--reference-pattern", metavar="PATTERN",
              help="What a patient's reference looks like (a regular expression).")  # fmt: skip
@book_option
@by_option
def new(
    site: str, currency: str, time_zone: str, categories: tuple[str, ...],
    reference_pattern: str | None,
) -> None:  # fmt: skip
    """Make an empty book; --by names its first manager."""
    from datetime import datetime
    from zoneinfo import ZoneInfo

    from stockbook.domain.entries import Signature
    from stockbook.jobs.book import Founding, found_book, known_time_zone

    zone = ZoneInfo(known_time_zone(time_zone))
    day = session().today or datetime.now(zone).date().isoformat()
    founding = Founding(
        site, currency, time_zone, tuple(dict.fromkeys(("free", "paid", *categories))),
        reference_pattern,
    )  # fmt: skip
    signed = Signature(who(), day, recorded_now(), day)
    path = session().path
    number = found_book(path, founding, signed)
    click.echo(f"{path} is a new book. Recorded as entry {number}.")


@command.command("verify")
@book_option
def verify() -> None:
    """Rebuild everything derived, compare it, and name each fault."""
    from stockbook.jobs.book import verify_book
    from stockbook.reports.book import verdict_page

    verdict = verify_book(session().path, _tell, recorded_now)
    show(lambda: verdict_page(verdict))
    if verdict.faults:
        raise BookDamaged("Do not post into this book. Restore the last verified copy.")


def _tell(count: int, total: int) -> None:
    """Progress on a long book, where somebody watches."""
    if sys.stderr.isatty():
        click.echo(f"\r{count} of {total} entries", err=True, nl=count + 1000 > total)


@command.command("settings")
@click.argument("name", required=False)
@click.argument("value", required=False)
@data_options
@recording
def settings(name: str | None, value: str | None) -> None:
    """Show the rules of the site, or set one: NAME VALUE --by CODE."""
    from stockbook.jobs.settings import change_setting, site_rules
    from stockbook.reports.settings import settings_page, settings_sheets

    if value is not None and asks_for_data():
        raise click.UsageError("--json, --csv and -o show the rules; they go with no VALUE.")
    with open_book() as book:
        if name is None or value is None:
            rules, site = site_rules(book, name), site_of(book)
            answer(site, lambda: settings_page(rules, site), lambda _: settings_sheets(rules))
            return
        keep = not session().dry_run
        number = change_setting(book, signature(book), name, value, keep=keep)
    if number is None:
        click.echo(f"{name} is {value} already; nothing was recorded.")
    else:
        recorded(number)


@command.command("backup")
@click.argument("file", type=click.Path(path_type=Path))
@asking
def backup(file: Path) -> None:
    """Copy the book to FILE while others work in it; verified before it counts as a backup.

    An older copy of this very book is replaced, any other file stays as it is.
    """
    from stockbook.jobs.copies import back_up

    with open_book() as book:
        verdict = back_up(book, file, _tell, recorded_now)
    click.echo(f"{file} is a verified backup: entry {verdict.entries}, checksum {verdict.checksum}")


@command.command("restore")
@click.argument("file", metavar="BACKUP", type=click.Path(path_type=Path))
@book_option
def restore(file: Path) -> None:
    """Put a backup, verified first, in the place of the book.

    Refused when the book has entries that the backup lacks, or is another book. A damaged book
    is kept beside under a name of its own.
    """
    from stockbook.jobs.copies import restore as put_back

    path = session().path
    done = put_back(path, file, _tell)
    verdict = done.verdict
    click.echo(f"{path} is the book as at entry {verdict.entries}, checksum {verdict.checksum}")
    if done.kept is not None:
        click.echo(f"The damaged one is kept as {done.kept.name} beside it.")


@command.command("export")
@click.argument("file", type=click.Path(path_type=Path, allow_dash=True))
@asking
def export(file: Path) -> None:
    """Write every entry as it was chained, one line each, with a program that checks them.

    With - for FILE the lines go to standard output.
    """
    from stockbook.jobs import copies

    if file.suffix == ".stockbook":
        raise InputError(f"{file}: this name is a book's. Choose another, such as export.txt.")
    with open_book() as book:
        if str(file) == "-":
            _write_out(copies.export_lines(book, lambda *_: None))
            return
        done = copies.export(book, file, _tell)
    click.echo(f"Written to {file}. Check it anywhere with: python {done.checker} {file}")


def _write_out(lines: Iterable[str]) -> None:
    """The very bytes, whatever the terminal's own encoding is."""
    for line in lines:
        sys.stdout.buffer.write(line.encode())
    sys.stdout.buffer.flush()
