"""`stockbook issue`."""

from typing import TYPE_CHECKING

import click

from stockbook.cli import completing
from stockbook.cli.context import open_book, recorded, recording, session, show, signature, site_of

if TYPE_CHECKING:
    from stockbook.jobs.issue import IssueAsked


@click.command("issue")
@click.argument("case", required=False, shell_complete=completing.cases)
@click.option("--list", "list_code", metavar="LIST", shell_complete=completing.lists,
              help="Every case of this list.")  # fmt: skip
@click.option("--with", "requirements", multiple=True, metavar="WORD",
              help="A requirement of the case beyond the kit, such as dye.")  # fmt: skip
@click.option("--extra", "extras", nargs=2, multiple=True, metavar="ITEM QTY",
              help="Something besides the kit.")  # fmt: skip
@click.option("--lot", "lots", nargs=2, multiple=True, metavar="ITEM LOT",
              help="This lot (or serial), not the picked one; it counts as seen.")  # fmt: skip
@click.option("--found", nargs=4, multiple=True, metavar="ITEM LOT EXPIRY QTY",
              help="In your hand, but not where the book has it.")  # fmt: skip
@click.option("--partial", is_flag=True, help="Issue what there is; what is missing is recorded.")
@click.option("--rest", is_flag=True, help="What an earlier partial issue lacked.")
@click.option("--service", metavar="WORD",
              help="For the ward, the clinic …: what --extra names is used in common.")  # fmt: skip
@click.option("--rescue", is_flag=False, flag_value="", default=None, metavar="[WORD]",
              help="All standby lines (of this rescue) at once; explained later.")  # fmt: skip
@click.option("--explain", metavar="REASON", help="Why the case's rescue kit was needed.")
@recording
def command(
    case: str | None, list_code: str | None, requirements: tuple[str, ...],
    extras: tuple[tuple[str, str], ...], lots: tuple[tuple[str, str], ...],
    found: tuple[tuple[str, str, str, str], ...], partial: bool, rest: bool,
    service: str | None, rescue: str | None, explain: str | None,
) -> None:  # fmt: skip
    """Issue the kit to a case, or to a whole list.

    The units move from the theatre and the store onto the theatre's trolley. If anything is
    missing nothing is issued, unless --partial. What the ward or the clinic takes goes with
    --service WORD --extra ITEM QTY and is used in common at once.
    """
    from stockbook.jobs.hand import Hand
    from stockbook.jobs.issue import IssueAsked

    if (case is not None) + (list_code is not None) + (service is not None) != 1:
        raise click.UsageError("Give a CASE or --list LIST (or --service WORD).")
    asked = IssueAsked(requirements, extras, Hand(lots, found), partial, rest)
    if rescue is not None or explain is not None:
        _rescue_or_explain(case, asked, rescue, explain)
    elif case is not None:
        _one(case, asked)
    elif list_code is not None:
        if asked != IssueAsked(partial=partial):
            raise click.UsageError("--list goes with --partial only; issue that case by itself.")
        _whole(list_code, partial)
    elif service is not None:
        _service(service, asked)


def _rescue_or_explain(
    case: str | None, asked: "IssueAsked", rescue: str | None, explain: str | None
) -> None:
    from stockbook.jobs.issue import IssueAsked

    if case is None or asked != IssueAsked() or (rescue is not None and explain is not None):
        raise click.UsageError("--rescue or --explain goes with a CASE alone.")
    if explain is None:
        _rescue(case, rescue)
    else:
        _explain(case, explain)


def _one(case: str, asked: "IssueAsked") -> None:
    from stockbook.jobs.issue import issue_case
    from stockbook.reports.cases import issued_page

    with open_book() as book:
        issued = issue_case(book, signature(book), case, asked, keep=not session().dry_run)
        if not issued.already:
            show(lambda: issued_page(issued, site_of(book)))
        if issued.beside:
            recorded(issued.beside.entry)
        recorded(issued.entry, already=issued.already)


def _service(service: str, asked: "IssueAsked") -> None:
    from stockbook.jobs.service_use import issue_to_service
    from stockbook.reports.cases import service_page

    if asked.requirements or asked.partial or asked.rest:
        raise click.UsageError("--service goes with --extra, --lot and --found only.")
    with open_book() as book:
        keep = not session().dry_run
        issued = issue_to_service(
            book, signature(book), service, asked.extras, asked.hand, keep=keep
        )
        show(service_page(issued, site_of(book)))
        recorded(issued.entry)


def _rescue(case: str, word: str | None) -> None:
    from stockbook.jobs.rescue import issue_rescue
    from stockbook.reports.cases import TYPED_AGAIN, rescue_page

    with open_book() as book:
        issued = issue_rescue(book, signature(book), case, word, keep=not session().dry_run)
        explained = session().reason is not None
        page = rescue_page(issued, site_of(book), explained=explained)
        show(TYPED_AGAIN if issued.already else page)
        if issued.issued_as:
            recorded(issued.issued_as)
        recorded(issued.entry, already=issued.already)


def _explain(case: str, reason: str) -> None:
    from stockbook.jobs.rescue import explain_rescue

    with open_book() as book:
        keep = not session().dry_run
        entry, already = explain_rescue(book, signature(book), case, reason, keep=keep)
        recorded(entry, already=already)


def _whole(list_code: str, partial: bool) -> None:
    from stockbook.jobs.issue import issue_list
    from stockbook.reports.cases import CHECK_LENS, issued_line
    from stockbook.reports.tables import heading

    with open_book() as book:
        keep = not session().dry_run
        issued = issue_list(book, signature(book), list_code, partial=partial, keep=keep)
        lines = "\n".join(issued_line(one) for one in issued)
        site = site_of(book)
        show(lambda: f"{heading(f'Kits of list {list_code}', site)}\n{lines}\n{CHECK_LENS}")
        recorded_span(issued[0].entry, issued[-1].entry)


def recorded_span(first: int, last: int) -> None:
    """What became of several entries."""
    if session().dry_run:
        click.echo(f"Dry run: it would be entries {first} to {last}. Nothing was recorded.")
    else:
        click.echo(f"Recorded as entries {first} to {last}.")
