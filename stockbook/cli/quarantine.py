"""`stockbook quarantine`."""

import click

from stockbook.cli.answers import answer, answering
from stockbook.cli.context import (
    open_book,
    recorded,
    recording,
    session,
    show,
    signature,
    site_of,
)


@click.group("quarantine")
def command() -> None:
    """Stop stock from being used: start, show, release.

    Whether something is fit for use is decided by the people responsible under local rules.
    """


@command.command("start")
@click.option("--item", metavar="ITEM", help="Only this item.")
@click.option("--lot", "number", metavar="LOT", help="Printed lot number.")
@click.option("--serial", metavar="SERIAL", help="Only this serial.")
@click.option("--supplier", metavar="SUPPLIER", help="Only what this supplier delivered.")
@click.option("--expires-from", metavar="DAY", help="Only expiries from this day on.")
@click.option("--expires-through", metavar="DAY", help="Only expiries through this day.")
@click.option("--place", metavar="PLACE", help="Only what lies here.")
@recording
def start(
    item: str | None, number: str | None, serial: str | None, supplier: str | None,
    expires_from: str | None, expires_through: str | None, place: str | None,
) -> None:  # fmt: skip
    """Nothing that meets the condition is picked or issued, later deliveries included.

    Reasons: suspected-defect, recall-notice, cluster, temperature, document-missing.
    """
    from stockbook.jobs.quarantine import Condition, start_quarantine
    from stockbook.reports.book import quarantine_page

    asked = Condition(item, number, serial, supplier, expires_from, expires_through, place)
    with open_book() as book:
        entry, view = start_quarantine(book, signature(book), asked, keep=not session().dry_run)
        show(lambda: quarantine_page(view, site_of(book)))
        recorded(entry)


@command.command("release")
@click.argument("code", metavar="QUARANTINE")
@recording
def release(code: str) -> None:
    """Two named people declare it fit for use: --checked-by and --comment are asked."""
    from stockbook.jobs.quarantine import release_quarantine
    from stockbook.reports.book import quarantine_page

    with open_book() as book:
        entry, view = release_quarantine(book, signature(book), code, keep=not session().dry_run)
        show(lambda: quarantine_page(view, site_of(book)))
        recorded(entry)


@command.command("show")
@click.option("--released", is_flag=True, help="The released ones too.")
@answering
def show_all(released: bool) -> None:
    """Every quarantine that stands, with what it covers now."""
    from stockbook.jobs.quarantine import quarantine_views
    from stockbook.reports.book import quarantine_page

    with open_book() as book:
        views = quarantine_views(book, released=released)
        site = site_of(book)
        answer(
            site,
            lambda: (
                "\n\n".join(quarantine_page(view, site) for view in views)
                or "No quarantine stands."
            ),
            lambda sheets: sheets.quarantine_sheets(views),
        )
