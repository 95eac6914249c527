"""`stockbook stock`."""

import click

from stockbook.cli.context import asking, open_book, show, site_of, today


@click.command("stock")
@click.argument("item", required=False)
@click.option("--place", metavar="PLACE", help="Only what lies here.")
@click.option("--class", "item_class", metavar="WORD", help="Only this class of items.")
@click.option("--lot", "number", metavar="LOT", help="Only this printed lot number or serial.")
@click.option("--per", type=click.Choice(["lot", "item", "place", "class"]), default="lot",
              show_default=True, help="Lots one by one, or taken together.")  # fmt: skip
@click.option("--lenses", is_flag=True, help="Usable lenses as a grid of power and model.")
@click.option("--lens", "model", metavar="MODEL", help="The grid of one lens model.")
@asking
def command(
    item: str | None, place: str | None, item_class: str | None, number: str | None, per: str,
    lenses: bool, model: str | None,
) -> None:  # fmt: skip
    """What is on hand, by item, place, class or lot; lenses as a grid."""
    from stockbook.jobs.stock import lens_grid, stock_on_hand, stock_sums
    from stockbook.reports.stock import lens_page, stock_page, sums_page

    with open_book() as book:
        day = today(book)
        if lenses or model:
            show(lens_page(lens_grid(book, day, model), site_of(book)))
            return
        found = stock_on_hand(
            book, day, item=item, place=place, item_class=item_class, number=number
        )
        if per == "lot":
            show(stock_page(found, site_of(book)))
        else:
            show(sums_page(found, stock_sums(found, per), per, site_of(book)))
