"""`stockbook finish`."""

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from stockbook.cli import completing
from stockbook.cli.context import (
    confirm,
    open_book,
    recorded,
    recording,
    session,
    show,
    signature,
    site_of,
    sure_if_asked,
)
from stockbook.cli.issue import recorded_span

if TYPE_CHECKING:
    from stockbook.jobs.finish import FinishAsked


@click.command("finish")
@click.argument("case", required=False, shell_complete=completing.cases)
@click.option("--list", "list_code", metavar="LIST", shell_complete=completing.lists,
              help="Every case of this list not finished.")  # fmt: skip
@click.option("--as-kit", is_flag=True, help="All else was used as issued.")
@click.option("--extra", "extras", nargs=2, multiple=True, metavar="ITEM QTY",
              help="Used besides the kit.")  # fmt: skip
@click.option("--returned", nargs=2, multiple=True, metavar="ITEM QTY",
              help="Unopened, back; what was opened is --wasted.")  # fmt: skip
@click.option("--wasted", nargs=3, multiple=True, metavar="ITEM QTY REASON",
              help="Opened and not used, dropped …")  # fmt: skip
@click.option("--lot", "lots", nargs=2, multiple=True, metavar="ITEM LOT",
              help="The lot (or serial) that was really used; it counts as seen.")  # fmt: skip
@click.option("--found", nargs=4, multiple=True, metavar="ITEM LOT EXPIRY QTY",
              help="Used, but the book has it nowhere (or elsewhere).")  # fmt: skip
@click.option("--exceptions", type=click.Path(path_type=Path), metavar="FILE",
              help="With --list: CSV of case, what (extra, returned, wasted), item, quantity, "
                   "reason.")  # fmt: skip
@click.option("--leave", multiple=True, metavar="CASE", help="With --list: not this case.")
@recording
def command(
    case: str | None, list_code: str | None, as_kit: bool, extras: tuple[tuple[str, str], ...],
    returned: tuple[tuple[str, str], ...], wasted: tuple[tuple[str, str, str], ...],
    lots: tuple[tuple[str, str], ...], found: tuple[tuple[str, str, str, str], ...],
    exceptions: Path | None, leave: tuple[str, ...],
) -> None:  # fmt: skip
    """Finish a case or a list: used, wasted, returned.

    What is not named was used as issued. Finish the unusual cases one by one, then the rest of
    the list with --list. A case that was never issued is issued first.
    """
    from stockbook.jobs.finish import FinishAsked
    from stockbook.jobs.hand import Hand

    if (case is None) == (list_code is None):
        raise click.UsageError("Give either a CASE or --list LIST.")
    if not as_kit:
        confirm("Was everything else used as issued?")
    if case is not None:
        if exceptions or leave:
            raise click.UsageError("--exceptions and --leave go with --list.")
        _one(case, FinishAsked(extras, returned, wasted, Hand(lots, found)))
    elif list_code is not None:
        if extras or returned or wasted or lots or found:
            raise click.UsageError("--list takes --exceptions FILE; or finish that case by itself.")
        _whole(list_code, exceptions, leave)


def _one(case: str, asked: "FinishAsked") -> None:
    from stockbook.jobs.finish import finish_case
    from stockbook.reports.cases import finished_page

    with open_book() as book:
        signed, keep = signature(book), not session().dry_run
        finished = sure_if_asked(
            lambda early: finish_case(book, signed, case, replace(asked, early=early), keep=keep)
        )
        if not finished.already:
            show(lambda: finished_page(finished, site_of(book)))
        if finished.explained_as:
            click.echo(f"Its rescue kit is explained: entry {finished.explained_as}.")
        if finished.listed_as:
            recorded(finished.listed_as)
        if finished.issued_as:
            recorded(finished.issued_as)
        recorded(finished.entry, already=finished.already)


def _whole(list_code: str, exceptions: Path | None, leave: tuple[str, ...]) -> None:
    from stockbook.files.tables import read_table
    from stockbook.jobs.exceptions import exceptions_read
    from stockbook.jobs.finish import finish_list
    from stockbook.reports.cases import finished_line
    from stockbook.reports.tables import heading

    with open_book() as book:
        asked = exceptions_read(book, read_table(exceptions)) if exceptions else {}
        signed, keep = signature(book), not session().dry_run
        cases = sure_if_asked(
            lambda early: finish_list(
                book, signed, list_code, asked, leave=leave, early=early, keep=keep
            )
        )
        site = site_of(book)
        lines = "\n".join(finished_line(one, site) for one in cases)
        show(lambda: f"{heading(f'List {list_code} finished', site)}\n{lines}")
        recorded_span(cases[0].listed_as or cases[0].issued_as or cases[0].entry, cases[-1].entry)
