"""`stockbook supplier`."""

import click

from stockbook.cli.answers import answer, answering
from stockbook.cli.completing import suppliers
from stockbook.cli.context import open_book, recording, site_of
from stockbook.cli.one_fact import options, record

OPTIONS = (("--name", "TEXT", "What it is called."),)


@click.group("supplier")
def command() -> None:
    """Show, make or change suppliers: show, new, change."""


@command.command("show")
@click.argument("code", metavar="[SUPPLIER]", required=False, shell_complete=suppliers)
@answering
def show(code: str | None) -> None:
    """Show all suppliers, or one; the CSV has the columns of a file of suppliers."""
    from stockbook.jobs.supplier import all_suppliers, one_supplier
    from stockbook.reports.supplier import supplier_page, supplier_sheets, suppliers_page

    with open_book() as book:
        site = site_of(book)
        if code is None:
            found = all_suppliers(book)
            answer(site, lambda: suppliers_page(found, site), lambda _: supplier_sheets(found))
        else:
            one = one_supplier(book, code)
            answer(site, lambda: supplier_page(one, site), lambda _: supplier_sheets([one]))


@command.command("new")
@click.argument("code", metavar="SUPPLIER")
@options(OPTIONS)
@recording
def new(code: str, **given: str | None) -> None:
    """Make a supplier."""
    from stockbook.jobs.supplier import new_supplier

    record(new_supplier, code, given)


@command.command("change")
@click.argument("code", metavar="SUPPLIER", shell_complete=suppliers)
@options(OPTIONS)
@recording
def change(code: str, **given: str | None) -> None:
    """Change a supplier in what is given; the rest stays as it is."""
    from stockbook.jobs.supplier import change_supplier

    record(change_supplier, code, given)
