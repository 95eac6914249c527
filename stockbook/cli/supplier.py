"""`stockbook supplier`."""

from functools import partial

import click

from stockbook.cli.answers import answer, answering
from stockbook.cli.completing import suppliers
from stockbook.cli.context import open_book, recorded, recording, session, signature, site_of, today
from stockbook.cli.context import show as show_page
from stockbook.cli.one_fact import options, record

OPTIONS = (("--name", "TEXT", "What it is called."),)


@click.group("supplier")
def command() -> None:
    """Show, make or change suppliers: show, new, change."""


@command.command("show")
@click.argument("code", metavar="[SUPPLIER]", required=False, shell_complete=suppliers)
@click.option("--terms", is_flag=True, help="How they sell what they sell instead.")
@answering
def show(code: str | None, *, terms: bool) -> None:
    """Show all suppliers, or one with its record: days to deliver, what came, short-dated lots.

    The CSV has the columns of a file of suppliers (of supply terms with --terms).
    """
    from stockbook.jobs.supplier import about_supplier, all_suppliers, offers
    from stockbook.reports import supplier as pages

    with open_book() as book:
        site = site_of(book)
        if terms:
            sold = offers(book, code)
            answer(site, lambda: pages.offers_page(sold, site), lambda _: pages.offer_sheets(sold))
        elif code is None:
            found = all_suppliers(book)
            page = partial(pages.suppliers_page, found, site)
            answer(site, page, lambda _: pages.supplier_sheets(found))
        else:
            one = about_supplier(book, code, today(book))
            answer(site, lambda: pages.supplier_page(one, site), lambda _: pages.about_sheets(one))


@command.command("new")
@click.argument("code", metavar="SUPPLIER")
@options(OPTIONS)
@recording
def new(code: str, **given: str | None) -> None:
    """Make a supplier."""
    record("supplier", code, given, new=True)


@command.command("change")
@click.argument("code", metavar="SUPPLIER", shell_complete=suppliers)
@options(OPTIONS)
@click.option("--without", multiple=True, metavar="ITEM",
              help="It sells this item no longer. May be repeated.")  # fmt: skip
@recording
def change(code: str, *, without: tuple[str, ...], **given: str | None) -> None:
    """Change a supplier in what is given; the rest stays as it is."""
    if not without:
        record("supplier", code, given, new=False)
        return
    if any(text is not None for text in given.values()):
        raise click.UsageError("--without goes by itself.")
    _withdraw(code, without)


def _withdraw(code: str, items: tuple[str, ...]) -> None:
    from stockbook.jobs.supplier import withdraw_terms
    from stockbook.reports.supplier import withdrawn_page

    with open_book() as book:
        done = withdraw_terms(book, signature(book), code, items, keep=not session().dry_run)
        show_page(lambda: withdrawn_page(done))
        if done.entry is not None:
            recorded(done.entry)
