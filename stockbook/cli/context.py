"""What every command shares: the book it works in, the clock, who records, and how it asks."""

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any, TextIO, TypeVar

import click

if TYPE_CHECKING:
    from stockbook.domain.answers import Site
    from stockbook.domain.asking import AsOf
    from stockbook.domain.entries import Signature
    from stockbook.ledger.opening import Book

DEFAULT_BOOK = "book.stockbook"
F = TypeVar("F", bound=Callable[..., Any])
T = TypeVar("T")


@dataclass
class Session:
    """One command's surroundings, as given by options, environment and clock."""

    book: str | None = None
    by: str | None = None
    on: str | None = None
    at: str | None = None
    checked_by: str | None = None
    reason: str | None = None
    comment: str | None = None
    dry_run: bool = False
    quiet: bool = False
    yes: bool = False
    as_json: bool = False
    as_csv: bool = False
    output: str | None = None
    paper: str | None = None
    as_of: str | None = None
    as_of_entry: str | None = None
    today: str | None = None
    recorded_at: str | None = None

    @property
    def path(self) -> Path:
        """The book's file: --book, else STOCKBOOK_BOOK, else book.stockbook here."""
        return Path(self.book or os.environ.get("STOCKBOOK_BOOK") or DEFAULT_BOOK)


def session() -> Session:
    """This command's session."""
    return click.get_current_context().ensure_object(Session)


def keep(name: str) -> Callable[[click.Context, click.Parameter, Any], None]:
    """An option's value goes into the session; the later one given wins."""

    def keep(ctx: click.Context, _: click.Parameter, value: Any) -> None:
        if value not in (None, False):
            setattr(ctx.ensure_object(Session), name, value)

    return keep


def _shared(*names: str, **attributes: Any) -> Callable[[F], F]:
    key = names[0].lstrip("-").replace("-", "_")
    return click.option(*names, expose_value=False, callback=keep(key), **attributes)


book_option = _shared("--book", metavar="FILE", help="The book (or STOCKBOOK_BOOK).")
by_option = _shared("--by", metavar="CODE", help="Your staff code (or STOCKBOOK_BY).")
_quiet = click.option(
    "-q", "--quiet", is_flag=True, expose_value=False, callback=keep("quiet"),
    help="Say only what must be said.",
)  # fmt: skip
_yes = click.option(
    "-y", "--yes", is_flag=True, expose_value=False, callback=keep("yes"),
    help="Answer every question with yes.",
)  # fmt: skip
_dry_run = click.option(
    "-n", "--dry-run", is_flag=True, expose_value=False, callback=keep("dry_run"),
    help="Show what would be recorded; record nothing.",
)  # fmt: skip
_RECORDING = (
    book_option, by_option,
    _shared("--on", metavar="DAY", help="The day it happened: ISO, today, yesterday."),
    _shared("--at", metavar="HH:MM", help="The time it happened, where hours matter."),
    _shared("--reason", metavar="WORD", help="Why, from the fixed list of the command."),
    _shared("--comment", metavar="TEXT", help="More words, kept with the entry."),
    _shared("--checked-by", metavar="CODE", help="The second person, where two are asked."),
    _dry_run, _quiet, _yes,
)  # fmt: skip


def asking(function: F) -> F:
    """The options of a command that only asks."""
    return _quiet(book_option(function))


_as_of = _shared("--as-of", metavar="DAY", help="About this past day, as is known now.")
_as_of_entry = _shared("--as-of-entry", metavar="N", help="As the book stood after entry N.")


def as_of_options(function: F) -> F:
    """The options of a question that can be asked about the past."""
    return _as_of(_as_of_entry(function))


def recording(function: F) -> F:
    """The options of a command that records."""
    for option in reversed(_RECORDING):
        function = option(function)
    return function


@contextmanager
def open_book(path: Path | None = None) -> "Iterator[Book]":
    """The session's book (or another file), opened and closed again."""
    from stockbook.ledger.opening import open_book as opened
    from stockbook.ledger.opening import translated

    file = path or session().path
    book = opened(file, say=lambda words: click.echo(words, err=True))
    try:
        with translated(file):
            yield book
    finally:
        book.close()


def site_of(book: "Book", as_of: "AsOf | None" = None) -> "Site":
    """The heading's facts, as they are or as they stood, on the paper that was asked for."""
    site = _site(book, as_of)
    chosen = session().paper
    if chosen is None:
        return site
    from dataclasses import replace

    from stockbook.domain.site_rules import paper_from_text

    return replace(site, paper=paper_from_text(chosen))


def _site(book: "Book", as_of: "AsOf | None") -> "Site":
    if as_of is not None and as_of.entry is not None:
        from stockbook.jobs.as_of import site_as_of

        return site_as_of(book, as_of)
    from stockbook.jobs.site import site_of as asked

    return asked(book)


def asked_as_of(book: "Book") -> "AsOf":
    """The day or entry that was asked about; today and the whole book where none was."""
    s = session()
    if s.as_of is None and s.as_of_entry is None:
        from stockbook.domain.asking import AsOf

        return AsOf(today(book), is_now=True)
    from stockbook.jobs.as_of import as_of_typed

    return as_of_typed(book, today(book), s.as_of, s.as_of_entry)


def today(book: "Book") -> str:
    """The site's day now; a demonstration has its own."""
    from stockbook.jobs.site import demonstration_day, time_zone

    fixed = session().today or demonstration_day(book)
    if fixed:
        return fixed
    from zoneinfo import ZoneInfo

    return datetime.now(ZoneInfo(time_zone(book))).date().isoformat()


def recorded_now(book: "Book | None" = None) -> str:
    """UTC as the machine says; a demonstration's clock ticks a minute an entry."""
    if session().recorded_at:
        return str(session().recorded_at)
    from stockbook.jobs.site import demonstration_day, last_recorded_at

    if book is not None and demonstration_day(book) is not None:
        last = datetime.fromisoformat(last_recorded_at(book)) + timedelta(minutes=1)
        return max(_utc(last), f"{today(book)}T02:30:00Z")
    return _utc(datetime.now(UTC))


def _utc(moment: datetime) -> str:
    return moment.strftime("%Y-%m-%dT%H:%M:%SZ")


def signature(book: "Book") -> "Signature":
    """Who records what is recorded now, for which day; the clock is doubted where it must be."""
    from stockbook.domain.days import day_typed, time_from_text
    from stockbook.domain.entries import Signature
    from stockbook.domain.texts import clean_text, code
    from stockbook.jobs.signing import clock_question

    s = session()
    day = today(book)
    question = clock_question(book, day)
    if question:
        confirm(question)
    return Signature(
        by=who(), today=day, recorded_at=recorded_now(book),
        happened_on=day_typed(s.on or "today", day, "--on"),
        happened_at=time_from_text(s.at, "--at") if s.at else None,
        checked_by=code(s.checked_by, "--checked-by") if s.checked_by else None,
        reason=s.reason,
        comment=clean_text(s.comment, "--comment", joiners=True) if s.comment else None,
    )  # fmt: skip


def signed_now(book: "Book", signed: "Signature") -> "Signature":
    """The same signature at the moment of another line of a sitting."""
    from dataclasses import replace

    return replace(signed, recorded_at=recorded_now(book))


def who() -> str:
    """The staff code that records."""
    from stockbook.domain.texts import code
    from stockbook.errors import InputError

    given = session().by or os.environ.get("STOCKBOOK_BY")
    if not given:
        raise InputError("Who records this? Give --by CODE, or set STOCKBOOK_BY.")
    return code(given, "staff code (--by)")


def confirm(question: str) -> None:
    """Go on only after yes; without a terminal and without -y nothing is written."""
    from stockbook.errors import InputError, NeedsAnswer

    if session().yes:
        return
    if not sys.stdin.isatty():
        raise NeedsAnswer(question)
    if not click.confirm(question, err=True):
        raise InputError("Answered no: nothing was recorded.")


def sure_if_asked(record: Callable[[bool], T]) -> T:
    """Record; what is doubtful is asked about first, and then recorded as surely meant."""
    from stockbook.errors import NeedsAnswer

    try:
        return record(False)
    except NeedsAnswer as asked:
        confirm(asked.question)
        return record(True)


def show(page: str | Callable[[], str]) -> None:
    """A sentence or a page, unless only the needful was asked for.

    A page comes as a function: how it is made hangs on where it goes.
    """
    if not session().quiet:
        click.echo(page if isinstance(page, str) else on_screen(page, sys.stdout))


def on_screen(page: Callable[[], str], stream: TextIO | None) -> str:
    """A page as wide as the terminal it goes to; in a pipe or a file as wide as it is.

    The width known is standard output's; where that is no terminal, nothing is fitted.
    """
    for one in (sys.stdout, stream):
        if one is None or not one.isatty():
            return page()
    import shutil

    from stockbook.reports.tables import fitted

    return fitted(page, shutil.get_terminal_size().columns)


def recorded(number: int, *, already: bool = False) -> None:
    """What became of it, said only after the commit."""
    if session().dry_run:
        click.echo(f"Dry run: it would be entry {number}. Nothing was recorded.")
    elif already:
        click.echo(f"Already recorded as entry {number}; nothing was added.")
    else:
        click.echo(f"Recorded as entry {number}.")
