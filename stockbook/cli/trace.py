"""`stockbook trace`."""

import click

from stockbook.cli.answers import answer, answering
from stockbook.cli.context import as_of_options, asked_as_of, open_book, site_of


@click.command("trace")
@click.argument("what", metavar="CASE|LOT|SERIAL")
@click.option("--item", metavar="ITEM", help="The lot of this item only.")
@click.option("--lot", "is_lot", is_flag=True, help="It is a lot, even if a case has that code.")
@as_of_options
@answering
def command(what: str, item: str | None, is_lot: bool) -> None:
    """Where a lot went and which cases it reached; what a case was given."""
    from stockbook.jobs.trace import trace_case, trace_printed_lot
    from stockbook.reports.entries import case_trace_page, lot_trace_page

    with open_book() as book:
        as_of = asked_as_of(book)
        site = site_of(book, as_of)
        found = None if is_lot or item else trace_case(book, what, as_of)
        if found is not None:
            answer(
                site,
                lambda: case_trace_page(found, site),
                lambda sheets: sheets.case_trace_sheets(found),
            )
            return
        traces = trace_printed_lot(book, what, item, as_of)
        answer(
            site,
            lambda: "\n\n".join(lot_trace_page(of, trace, site) for of, trace in traces),
            lambda sheets: sheets.lot_trace_sheets(traces),
        )
