"""`stockbook case`."""

from typing import TYPE_CHECKING, Any

import click

from stockbook.cli import completing
from stockbook.cli.answers import answer, answering
from stockbook.cli.context import open_book, recorded, recording, session, show, signature, site_of
from stockbook.cli.one_fact import options

if TYPE_CHECKING:
    from stockbook.domain.case_changes import CaseDone

PLAN = (
    ("--list", "LIST", "The list it is on."),
    ("--position", "N", "Its place in the list."),
    ("--patient", "REFERENCE", "The patient's reference."),
    ("--eye", "right|left", "The eye."),
    ("--procedure", "CODE", "What is planned."),
    ("--category", "CODE", "Who pays."),
    ("--sponsor", "CODE", "The scheme, insurer or charity; none: nobody."),
    ("--sponsor-number", "TEXT", "What the sponsor calls the case; none: no number."),
    ("--surgeon", "CODE", "The surgeon; none: not named."),
    ("--lens", "MODEL", "The lens model of the signed plan; none: no lens."),
    ("--power", "POWER", "Its power, such as +21.50; none: no lens."),
    ("--needs", "WORDS", "Requirements beyond the kit, such as 'dye'; none: the kit alone."),
)
_wasted = click.option("--wasted", nargs=3, multiple=True, metavar="ITEM QTY REASON",
                       help="Opened and wasted: dropped, opened-not-used …")  # fmt: skip
_returned = click.option("--returned", nargs=2, multiple=True, metavar="ITEM QTY",
                         help="Unopened, back where it was drawn.")  # fmt: skip
_case = click.argument("code", metavar="CASE", shell_complete=completing.cases)


@click.group("case")
def command() -> None:
    """One operation: new, show, change, cancel, convert."""


def _plan(given: dict[str, Any]) -> tuple[tuple[str, str], ...]:
    """Column and text of what was given, as in a list's file."""
    names = {"lens": "lens_model"}
    return tuple((names.get(n, n), text) for n, text in given.items() if text is not None)


def _tell(done: "CaseDone", title: str, site: Any) -> None:
    from stockbook.reports.one_case import done_page

    if not done.already or done.entry is None:
        show(done_page(done, title, site))
    if done.entry is not None:
        recorded(done.entry, already=done.already)


@command.command("show")
@_case
@answering
def show_one(code: str) -> None:
    """Everything about a case: plan, state, units with lots, entries, value."""
    from stockbook.jobs.case_view import case_view
    from stockbook.reports.one_case import case_page, case_sheets

    with open_book() as book:
        view = case_view(book, code)
        site = site_of(book)
        answer(site, lambda: case_page(view, site), lambda _: case_sheets(view))


@command.command("new")
@click.argument("code", metavar="CASE")
@options(PLAN)
@recording
def new(code: str, **given: str | None) -> None:
    """Put a case on a list."""
    from stockbook.jobs.case import new_case

    with open_book() as book:
        keep = not session().dry_run
        done = new_case(book, signature(book), code, _plan(given), keep=keep)
        show(f"Case {done.case.code} is on list {done.case.list}.")
        recorded(done.entry or 0)


@command.command("change")
@_case
@options(PLAN)
@click.option("--used", nargs=2, multiple=True, metavar="ITEM QTY",
              help="Finished: this was used besides what is recorded.")  # fmt: skip
@click.option("--not-used", nargs=2, multiple=True, metavar="ITEM QTY",
              help="Finished: recorded as used, but it came back (or was --wasted).")  # fmt: skip
@_wasted
@click.option("--lot", "lots", nargs=2, multiple=True, metavar="ITEM LOT",
              help="Finished: the lot (or serial) that was really used.")  # fmt: skip
@click.option("--again", is_flag=True, help="It is not cancelled after all.")
@recording
def change(
    code: str, used: tuple[tuple[str, str], ...], not_used: tuple[tuple[str, str], ...],
    wasted: tuple[tuple[str, str, str], ...], lots: tuple[tuple[str, str], ...], again: bool,
    **given: str | None,
) -> None:  # fmt: skip
    """Change a case's plan, or correct a finished case by what was different.

    Before the kit is issued everything may change. Once it is on the trolley, what leaves that
    kit right. A finished case is corrected with a --reason: another category takes the case's
    used and wasted units and value along. Reasons: written-late, typed-wrongly, payer-changed,
    wrong-lot, plan-changed; for a lot that was not to be used those of finish.
    """
    from stockbook.domain.case_changes import CaseChange
    from stockbook.jobs.case import change_case

    asked = CaseChange(_plan(given), used, not_used, wasted, lots, again)
    with open_book() as book:
        done = change_case(book, signature(book), code, asked, keep=not session().dry_run)
        _tell(done, f"Case {done.case.code} changed ({done.state})", site_of(book))


@command.command("cancel")
@_case
@_wasted
@_returned
@click.option("--all-opened", is_flag=True,
              help="All was opened (reason cancelled), but for what is --returned.")  # fmt: skip
@recording
def cancel(
    code: str, wasted: tuple[tuple[str, str, str], ...], returned: tuple[tuple[str, str], ...],
    all_opened: bool,
) -> None:  # fmt: skip
    """Cancel a case: opened is waste, all else goes back where it was drawn.

    The case stays in the book, cancelled; 'case change CASE --again' takes it back.
    """
    from stockbook.domain.case_changes import CancelAsked
    from stockbook.jobs.case import cancel_case

    asked = CancelAsked(wasted, returned, all_opened)
    with open_book() as book:
        done = cancel_case(book, signature(book), code, asked, keep=not session().dry_run)
        _tell(done, f"Case {done.case.code} cancelled", site_of(book))


@command.command("convert")
@_case
@click.argument("procedure")
@_wasted
@_returned
@click.option("--with", "requirements", multiple=True, metavar="WORD",
              help="A requirement of the new procedure beyond its kit.")  # fmt: skip
@click.option("--partial", is_flag=True, help="Issue what there is; what is missing is recorded.")
@recording
def convert(
    code: str, procedure: str, wasted: tuple[tuple[str, str, str], ...],
    returned: tuple[tuple[str, str], ...], requirements: tuple[str, ...], partial: bool,
) -> None:  # fmt: skip
    """Another procedure with the kit that was opened; what it lacks is issued now.

    What is already on the trolley stays and counts as used at the finish, unless it is named as
    wasted or returned.
    """
    from stockbook.domain.case_changes import ConvertAsked
    from stockbook.jobs.case import convert_case

    asked = ConvertAsked(procedure, wasted, returned, requirements, partial)
    with open_book() as book:
        done = convert_case(book, signature(book), code, asked, keep=not session().dry_run)
        _tell(done, f"Case {done.case.code} is {done.case.procedure} now", site_of(book))
