"""`stockbook trace`."""

import click

from stockbook.cli.context import asking, open_book, show, site_of


@click.command("trace")
@click.argument("what", metavar="CASE|LOT|SERIAL")
@click.option("--item", metavar="ITEM", help="The lot of this item only.")
@click.option("--lot", "is_lot", is_flag=True, help="It is a lot, even if a case has that code.")
@asking
def command(what: str, item: str | None, is_lot: bool) -> None:
    """Where a lot went and which cases it reached; what a case was given."""
    from stockbook.jobs.trace import trace_case, trace_printed_lot
    from stockbook.reports.entries import case_trace_page, lot_trace_page

    with open_book() as book:
        found = None if is_lot or item else trace_case(book, what)
        if found is not None:
            show(case_trace_page(found, site_of(book)))
            return
        site = site_of(book)
        pages = [lot_trace_page(of, t, site) for of, t in trace_printed_lot(book, what, item)]
        show("\n\n".join(pages))
