"""`stockbook claims`."""

import click

from stockbook.cli import completing
from stockbook.cli.answers import answer, answering_printable
from stockbook.cli.context import (
    open_book,
    recorded,
    recording,
    session,
    show,
    signature,
    site_of,
    sure_if_asked,
    today,
)

_month = click.option("--month", metavar="YYYY-MM", help="Lists of one calendar month.")
_first = click.option("--from", "first", metavar="DAY", help="Lists from this day on.")
_last = click.option("--to", "last", metavar="DAY", help="Lists through this day.")
Typed = tuple[str | None, str | None, str | None]
"""A period as typed: month, first and last day."""


@click.group("claims")
def command() -> None:
    """What sponsors owe for their cases: show, sent, reimbursed, declined.

    The sponsor's own rules decide what is paid, until when and on which proof; Stockbook lists
    what the book holds, with the lenses that the cases really used.
    """


@command.command("show")
@click.argument("sponsor", required=False, shell_complete=completing.sponsors)
@_month
@_first
@_last
@click.option("--sample", "number", type=click.IntRange(min=1), metavar="N",
              help="So many finished cases to verify; anyone can draw the same ones.")  # fmt: skip
@answering_printable
def show_claims(
    sponsor: str | None, month: str | None, first: str | None, last: str | None,
    number: int | None,
) -> None:  # fmt: skip
    """Every sponsor; or one SPONSOR's cases of a month (this one) or of some days.

    Each case with the lenses that it used, amount, deduction for lenses given in kind, deadline
    and state; what cannot be claimed yet apart.
    """
    if number and sponsor is None:
        raise click.UsageError("--sample draws among the cases of one SPONSOR: name it.")
    if sponsor is None:
        _all((month, first, last))
    else:
        _one(sponsor, (month, first, last), number)


def _all(typed: Typed) -> None:
    from stockbook.domain.days import period_typed
    from stockbook.jobs.claims_view import all_sponsors
    from stockbook.reports.claims import sponsors_page
    from stockbook.reports.claims_sheets import sponsors_sheets

    with open_book() as book:
        days = period_typed(*typed, today(book)) if any(typed) else (None, None)
        found, site = all_sponsors(book, *days), site_of(book)
        answer(site, lambda: sponsors_page(found, site), lambda _: sponsors_sheets(found),
               standing=found)  # fmt: skip


def _one(sponsor: str, typed: Typed, number: int | None) -> None:
    from stockbook.domain.days import period_typed
    from stockbook.jobs.claims_view import claims_of_period
    from stockbook.reports.claims import claims_page
    from stockbook.reports.claims_sheets import claims_sheets

    with open_book() as book:
        day = today(book)
        found = claims_of_period(book, sponsor, *period_typed(*typed, day), day, number)
        site = site_of(book)
        answer(site, lambda: claims_page(found, site), lambda _: claims_sheets(found),
               standing=found)  # fmt: skip


@command.command("sent")
@click.argument("sponsor", shell_complete=completing.sponsors)
@click.argument("document")
@_month
@_first
@_last
@click.option("--again", multiple=True, metavar="CASE", shell_complete=completing.cases,
              help="Also this case, which was declined; may be repeated.")  # fmt: skip
@recording
def sent(
    sponsor: str, document: str, month: str | None, first: str | None, last: str | None,
    again: tuple[str, ...],
) -> None:  # fmt: skip
    """Record that a claim, DOCUMENT, went to SPONSOR.

    In it is every finished case of the lists of a month or of some days that is in no claim yet,
    with amount, deduction and lenses as they are now.
    """
    from stockbook.domain.days import period_typed
    from stockbook.jobs.claims import ClaimAsked, send_claim
    from stockbook.reports.claims import claim_done_page

    if not (month or first or last):
        raise click.UsageError("Give --month YYYY-MM, or --from DAY and --to DAY.")
    with open_book() as book:
        who, keep = signature(book), not session().dry_run
        days = period_typed(month, first, last, today(book))
        asked = ClaimAsked(sponsor, document, *days, again)
        done = sure_if_asked(lambda sure: send_claim(book, who, asked, sure=sure, keep=keep))
        show(lambda: claim_done_page(done, site_of(book)))
        recorded(done.entry, already=done.already)


@command.command("reimbursed")
@click.argument("document")
@click.option("--case", metavar="CASE", shell_complete=completing.cases,
              help="This case alone; else all that wait.")  # fmt: skip
@click.option("--amount", metavar="AMOUNT", help="What came for it; in full by default.")
@recording
def reimbursed(document: str, case: str | None, amount: str | None) -> None:
    """Record that a claim was paid: all of it that waits, or one case."""
    from stockbook.jobs.claims import reimburse_claim
    from stockbook.reports.claims import claim_done_page

    with open_book() as book:
        who, keep = signature(book), not session().dry_run
        done = reimburse_claim(book, who, document, case, amount, keep=keep)
        show(lambda: claim_done_page(done, site_of(book)))
        recorded(done.entry, already=done.already)


@command.command("declined")
@click.argument("document")
@click.option("--case", required=True, metavar="CASE", shell_complete=completing.cases,
              help="The case.")  # fmt: skip
@recording
def declined(document: str, case: str) -> None:
    """Record that a sponsor does not pay for a case of a claim: --reason is asked."""
    from stockbook.jobs.claims import decline_case
    from stockbook.reports.claims import claim_done_page

    with open_book() as book:
        who, keep = signature(book), not session().dry_run
        done = decline_case(book, who, document, case, keep=keep)
        show(lambda: claim_done_page(done, site_of(book)))
        recorded(done.entry, already=done.already)
