"""`stockbook book`."""

import sys

import click

from stockbook.cli.context import book_option, by_option, recorded_now, session, show, who
from stockbook.errors import BookDamaged


@click.group("book")
def command() -> None:
    """Make a book, or verify one: new, verify."""


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

    verdict = verify_book(session().path, _tell)
    show(verdict_page(verdict))
    if verdict.faults:
        raise BookDamaged("Do not post into this book. Restore the last verified copy.")


def _tell(count: int, total: int) -> None:
    """Progress on a long book, where somebody watches."""
    if sys.stderr.isatty():
        click.echo(f"\r{count} of {total} entries", err=True, nl=count >= total - 1000)
