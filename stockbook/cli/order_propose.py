"""`stockbook order propose` and `stockbook order accept`."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from stockbook.cli import completing
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
    from stockbook.jobs.order_propose import ProposeAsked

_supplier = click.option("--supplier", metavar="SUPPLIER", shell_complete=completing.suppliers,
                         help="Only what this supplier sells.")  # fmt: skip
_budget = click.option("--budget", metavar="AMOUNT",
                       help="Spend at most this sum, where it serves most uses.")  # fmt: skip
_calendar = click.option("--calendar", type=click.Path(path_type=Path), metavar="FILE",
                         help="Camps, targets and closures, as for forecast.")  # fmt: skip


def _asked(
    book: Any, supplier: str | None, items: tuple[str, ...], budget: str | None,
    calendar: Path | None,
) -> "ProposeAsked":  # fmt: skip
    from stockbook.files.tables import read_table
    from stockbook.jobs.order_propose import ProposeAsked
    from stockbook.jobs.reading_calendar import calendar_read

    plan = calendar_read(book, read_table(calendar)) if calendar else []
    return ProposeAsked(supplier, items, budget, plan)


@click.command("propose")
@_supplier
@click.option("--item", "items", metavar="ITEM", multiple=True, shell_complete=completing.items,
              help="Only this item; may be repeated.")  # fmt: skip
@click.option("--explain", metavar="ITEM", shell_complete=completing.items,
              help="One item in arithmetic.")  # fmt: skip
@_budget
@click.option("--tender", metavar="12m", help="Quantities for so many months, with call-offs.")
@_calendar
@answering
def propose(
    supplier: str | None, items: tuple[str, ...], explain: str | None, budget: str | None,
    tender: str | None, calendar: Path | None,
) -> None:  # fmt: skip
    """Propose what to order, by supplier; nothing is recorded.

    Each item up to the level at which it is enough with its service (setting service_level, or
    the item's own), in the supplier's packs, never so much that it would expire.
    """
    if sum(map(bool, (explain, budget, tender))) > 1:
        raise click.UsageError("Give one of --explain, --budget and --tender.")
    with open_book() as book:
        asked = _asked(book, supplier, (*items, explain) if explain else items, budget, calendar)
        if tender:
            _tender(book, asked, tender)
        else:
            _propose(book, asked, explain=bool(explain))


def _propose(book: Any, asked: "ProposeAsked", *, explain: bool) -> None:
    from stockbook.jobs.order_propose import propose as proposed
    from stockbook.reports.proposal import line_page, proposal_page, proposal_sheets

    found, site = proposed(book, today(book), asked), site_of(book)

    def page() -> str:
        if explain:
            return "\n\n".join(line_page(found, line, site) for line in found.lines[-1:])
        return proposal_page(found, site)

    answer(site, page, lambda _: proposal_sheets(found))


def _tender(book: Any, asked: "ProposeAsked", months: str) -> None:
    from stockbook.jobs.order_tender import tender
    from stockbook.reports.proposal import tender_page, tender_sheets

    found, site = tender(book, today(book), asked, months), site_of(book)
    answer(site, lambda: tender_page(found, site), lambda _: tender_sheets(found))


@click.command("accept")
@_supplier
@click.option("--proposal", "code", metavar="CODE", help="Only if it is still this proposal.")
@click.option("--except", "left_out", metavar="ITEM", multiple=True,
              shell_complete=completing.items, help="Without this item.")  # fmt: skip
@click.option("--change", "changed", nargs=2, multiple=True, metavar="ITEM QTY",
              help="So many units of an item instead.")  # fmt: skip
@_budget
@_calendar
@recording
def accept(
    supplier: str | None, code: str | None, left_out: tuple[str, ...],
    changed: tuple[tuple[str, str], ...], budget: str | None, calendar: Path | None,
) -> None:  # fmt: skip
    """Record the proposal: an order for each supplier, all or none.

    With --proposal it is recorded only if it is still the one that was shown; without, it is
    shown and asked about.
    """
    from dataclasses import replace

    from stockbook.domain.amounts import plural
    from stockbook.jobs.order_accept import AcceptAsked, accept_proposal, proposal_to_accept
    from stockbook.reports.proposal import proposal_page

    with open_book() as book:
        signed, site = signature(book), site_of(book)
        asked = AcceptAsked(
            _asked(book, supplier, (), budget, calendar), left_out, changed, code
        )  # fmt: skip
        if code is None and not session().yes and not session().dry_run:
            found = proposal_to_accept(book, signed.today, asked)
            show(lambda: proposal_page(found, site))
            confirm(f"Record proposal {found.code}?")
            asked = replace(asked, code=found.code)
        made = accept_proposal(book, signed, asked, keep=not session().dry_run)
        for state, entry in made.orders:
            order = state.order
            show(
                f"Order {order.code} to {order.supplier}, due {order.due_on}: "
                f"{plural(len(state.lines), 'line')}, {site.money.text(state.value)}."
            )
            recorded(entry, already=made.already)
