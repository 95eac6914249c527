"""`stockbook stock`."""

import click

from stockbook.cli import completing
from stockbook.cli.answers import answer, answering
from stockbook.cli.context import as_of_options, asked_as_of, open_book, site_of


@click.command("stock")
@click.argument("item", required=False, shell_complete=completing.items)
@click.option("--place", metavar="PLACE", shell_complete=completing.places,
              help="Only what lies here.")  # fmt: skip
@click.option("--class", "item_class", metavar="WORD", help="Only this class of items.")
@click.option("--lot", "number", metavar="LOT", help="Only this printed lot number or serial.")
@click.option("--per", type=click.Choice(["lot", "item", "place", "class"]), default="lot",
              show_default=True, help="Lots one by one, or taken together.")  # fmt: skip
@click.option("--lenses", is_flag=True, help="Usable lenses as a grid of power and model.")
@click.option("--lens", "model", metavar="MODEL", help="The grid of one lens model.")
@as_of_options
@answering
def command(
    item: str | None, place: str | None, item_class: str | None, number: str | None, per: str,
    lenses: bool, model: str | None,
) -> None:  # fmt: skip
    """What is on hand, by item, place, class or lot; lenses as a grid."""
    from stockbook.jobs.stock import lens_grid, stock_on_hand, stock_sums
    from stockbook.reports.stock import lens_page, stock_page, sums_page

    with open_book() as book:
        as_of = asked_as_of(book)
        site = site_of(book, as_of)
        if lenses or model:
            grid = lens_grid(book, as_of.day, model, as_of)
            answer(site, lambda: lens_page(grid, site), lambda sheets: sheets.lens_sheets(grid))
            return
        found = stock_on_hand(
            book, as_of.day, item=item, place=place, item_class=item_class, number=number,
            as_of=as_of,
        )  # fmt: skip
        if per == "lot":
            answer(site, lambda: stock_page(found, site), lambda sheets: sheets.stock_sheets(found))
            return
        from stockbook.jobs.order_view import items_to_come

        coming = items_to_come(book) if per == "item" and as_of.is_now else None
        sums = stock_sums(found, per, coming)
        answer(
            site,
            lambda: sums_page(found, sums, per, site),
            lambda sheets: sheets.sums_sheets(found, sums, per),
        )
