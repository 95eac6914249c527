"""`stockbook kit`."""

from typing import TYPE_CHECKING

import click

from stockbook.cli.answers import answer, answering
from stockbook.cli.context import (
    confirm,
    open_book,
    recorded,
    recording,
    session,
    show,
    signature,
    site_of,
    today,
)

if TYPE_CHECKING:
    from stockbook.domain.kit_view import KitView
    from stockbook.jobs.kit_review import Span
    from stockbook.reports.data import DataSheet


@click.group("kit")
def command() -> None:
    """What cases need: show, change, review, accept."""


@command.command("show")
@click.argument("kit", required=False, metavar="[PROCEDURE/CATEGORY[/SURGEON]]")
@click.option("--on", "day", metavar="DAY", help="As it holds on this day; today by default.")
@click.option("--theatre", metavar="THEATRE", help="With the machine that stands there.")
@click.option("--lens", metavar="MODEL", help="For a case with this lens model.")
@answering
def show_kits(kit: str | None, day: str | None, theatre: str | None, lens: str | None) -> None:
    """Every kit with its versions; or one explained line by line.

    As CSV both are in the columns of `import kits`.
    """
    if kit is None and (day or theatre or lens):
        raise click.UsageError("--on, --theatre and --lens go with a kit.")
    if kit is None:
        _all()
    else:
        _one(kit, day, theatre, lens)


def _all() -> None:
    from stockbook.jobs.kit import all_kits
    from stockbook.reports.kits import kit_rows_sheet, kits_page

    with open_book() as book:
        site, kits = site_of(book), all_kits(book)
        sheets = [kit_rows_sheet(kits.kits, kits.items)]
        answer(site, lambda: kits_page(kits, site), lambda _: sheets)


def _one(kit: str, day: str | None, theatre: str | None, lens: str | None) -> None:
    from stockbook.domain.days import day_typed
    from stockbook.jobs.kit import explained_kit
    from stockbook.reports.kits import kit_page

    with open_book() as book:
        site, now = site_of(book), today(book)
        found = explained_kit(book, kit, day_typed(day or "today", now, "--on"), theatre, lens)
        answer(site, lambda: kit_page(found, site), lambda _: _sheets(found))


def _sheets(view: "KitView") -> "list[DataSheet]":
    """The rows of the import; what explains them goes where several sheets can stand."""
    from stockbook.reports.kits import kit_lines_sheet, kit_rows_sheet

    rows = kit_rows_sheet(view.layers, view.items)
    plain = session().as_csv or str(session().output or "").lower().endswith(".csv")
    return [rows] if plain else [rows, kit_lines_sheet(view)]


@command.command("change")
@click.argument("kit", metavar="PROCEDURE/CATEGORY[/SURGEON]")
@click.option("--from", "day", required=True, metavar="DAY", help="The version's first day.")
@click.option("--line", "lines", nargs=3, multiple=True, metavar="KIND ITEM QTY",
              help="A line, in the place of what the kit has about the item. "
              "Several one-of lines are alternatives in their order.")  # fmt: skip
@click.option("--line-for", "worded", nargs=4, multiple=True, metavar="KIND WORD ITEM QTY",
              help="A line for a word: when, standby, with-lens, with-machine.")  # fmt: skip
@click.option("--without", multiple=True, metavar="ITEM", help="No line about this item.")
@recording
def change(
    kit: str, day: str, lines: tuple[tuple[str, str, str], ...],
    worded: tuple[tuple[str, str, str, str], ...], without: tuple[str, ...],
) -> None:  # fmt: skip
    """Write a new version of a kit; earlier days keep what they have."""
    from stockbook.domain.days import day_typed
    from stockbook.jobs.kit import ChangeAsked, change_kit
    from stockbook.reports.kits import change_page, change_question

    if not (lines or worded or without):
        raise click.UsageError("Give a --line, a --line-for or --without.")
    with open_book() as book:
        asked = ChangeAsked(day_typed(day, today(book), "--from"), lines, worded, without)
        signed, keep = signature(book), not session().dry_run
        made = change_kit(book, signed, kit, asked, sure=session().yes, keep=keep)
        show(change_page(made))
        while made.entry is None:
            confirm(change_question(made))
            made = change_kit(book, signed, kit, asked, agreed=made.kit)
        recorded(made.entry)


@command.command("review")
@click.argument("kit", required=False, metavar="[PROCEDURE/CATEGORY[/SURGEON]]")
@click.option("--months", type=click.IntRange(1, 120), metavar="N",
              help="So many calendar months, this one included; 3 by default.")  # fmt: skip
@click.option("--from", "first", metavar="DAY", help="First day of the time looked at.")
@click.option("--to", "last", metavar="DAY", help="Last day of the time looked at.")
@answering
def review(kit: str | None, months: int | None, first: str | None, last: str | None) -> None:
    """How kits fared: what came back, was added, was wasted; with a proposed version.

    A line is proposed to become less, or standby, when it came back more than half the time; an
    item is proposed when it was added in more than 30 % of cases.
    """
    from stockbook.jobs.kit_review import review_of_kit, review_of_kits
    from stockbook.reports.kit_review import review_page, review_sheets, reviews_page

    if months and (first or last):
        raise click.UsageError("Give --months, or --from and --to.")
    with open_book() as book:
        site, span = site_of(book), _span(today(book), months, first, last)
        if kit is None:
            found = review_of_kits(book, span)
            days = (span.first_day, span.last_day)
            answer(site, lambda: reviews_page(found, days, site), lambda _: review_sheets(found))
            return
        one = review_of_kit(book, kit, span)
        answer(site, lambda: review_page(one, site), lambda _: review_sheets([one]))


def _span(now: str, months: int | None, first: str | None, last: str | None) -> "Span":
    """The time looked at: months that end today, or two days."""
    from stockbook.domain.days import months_through, period_typed
    from stockbook.jobs.kit_review import Span

    if first or last:
        return Span(*period_typed(None, first, last, now))
    return Span(months_through(now, months or 3), now)


@command.command("accept")
@click.argument("kit", metavar="PROCEDURE/CATEGORY[/SURGEON]")
@click.option("--from", "day", required=True, metavar="DAY", help="The version's first day.")
@click.option("--months", type=click.IntRange(1, 120), metavar="N",
              help="The months that the review looked at; 3 by default.")  # fmt: skip
@recording
def accept(kit: str, day: str, months: int | None) -> None:
    """Record the version that the review proposes; earlier days keep what they have."""
    from stockbook.domain.days import day_typed
    from stockbook.jobs.kit_review import accept_review
    from stockbook.reports.kits import change_page, change_question

    with open_book() as book:
        now = today(book)
        span, first = _span(now, months, None, None), day_typed(day, now, "--from")
        signed, keep = signature(book), not session().dry_run
        made = accept_review(book, signed, kit, span, first, sure=session().yes, keep=keep)
        show(change_page(made))
        if made.entry is None:
            confirm(change_question(made))
            made = accept_review(book, signed, kit, span, first, agreed=made.kit)
        recorded(int(made.entry or 0))
