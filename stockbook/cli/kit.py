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
    from stockbook.reports.data import DataSheet


@click.group("kit")
def command() -> None:
    """What cases need: show, change."""


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
