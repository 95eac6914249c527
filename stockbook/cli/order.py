"""`stockbook order`."""

from functools import partial
from typing import TYPE_CHECKING

import click

from stockbook.cli import completing
from stockbook.cli.answers import answer, answering, answering_printable
from stockbook.cli.context import (
    as_of_options,
    asked_as_of,
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
from stockbook.cli.order_propose import accept, propose

if TYPE_CHECKING:
    from stockbook.domain.orders import OrderState


@click.group("order")
def command() -> None:
    """Orders to suppliers: propose, accept, new, show, late, change, close."""


command.add_command(propose)
command.add_command(accept)


@command.command("new")
@click.argument("supplier", shell_complete=completing.suppliers)
@click.option("--line", "lines", nargs=2, multiple=True, metavar="ITEM QTY",
              help="One line: units of an item, or packs of a pack identifier, at the price of "
                   "the supplier's terms. May be repeated.")  # fmt: skip
@click.option("--line-at", "priced", nargs=3, multiple=True, metavar="ITEM QTY PRICE",
              help="The same at another price: of one unit, or of one pack.")  # fmt: skip
@click.option("--code", metavar="ORDER", help="Its number; else the next one of the year.")
@click.option("--due", metavar="DAY", help="When it is due; else after the longest quoted time.")
@recording
def new(
    supplier: str, lines: tuple[tuple[str, str], ...], priced: tuple[tuple[str, str, str], ...],
    code: str | None, due: str | None,
) -> None:  # fmt: skip
    """Record an order to a supplier; nothing moves until it is received."""
    from dataclasses import replace

    from stockbook.jobs.order import OrderAsked, new_order
    from stockbook.reports.order import order_lines
    from stockbook.reports.tables import heading

    with open_book() as book:
        asked = OrderAsked(supplier, [*((*line, "-") for line in lines), *priced], code, due)
        keep = not session().dry_run
        signed = signature(book)
        made = sure_if_asked(
            lambda sure: new_order(book, signed, replace(asked, another=sure), keep=keep)
        )
        order, site = made.state.order, site_of(book)
        title = f"Order {order.code} to {order.supplier}, due {order.due_on}"
        said = "".join(f"\nWarning: {words}" for words in made.doubts)
        show(lambda: f"{heading(title, site)}\n{order_lines(made.state, site)}{said}")
        recorded(made.entry, already=made.already)


@command.command("show")
@click.argument("code", metavar="[ORDER]", required=False, shell_complete=completing.orders)
@click.option("--per", type=click.Choice(["order", "item"]), default="order", show_default=True,
              help="Orders, or what is to come of each item.")  # fmt: skip
@click.option("--all", "every", is_flag=True, help="Complete and closed ones too.")
@click.option("--no-prices", is_flag=True, help="The supplier's page and table without prices.")
@answering_printable
def show_orders(code: str | None, per: str, *, every: bool, no_prices: bool) -> None:
    """What is on order; one order in full.

    One order with -o FILE.html or -o FILE.csv is the page or the table for its supplier, in
    packs with their identifiers.
    """
    if code is None:
        if no_prices:
            raise click.UsageError("Give --no-prices with an ORDER.")
        _show_all(per, every=every)
    elif every or per == "item":
        raise click.UsageError("Give an ORDER, or --per item, or --all.")
    else:
        _show_one(code, prices=not no_prices)


def _show_one(code: str, *, prices: bool) -> None:
    from stockbook.jobs.order_view import order_view
    from stockbook.reports.order import order_page, order_sheets

    with open_book() as book:
        view, site = order_view(book, code), site_of(book)

        def letter() -> str:
            from stockbook.reports.order_letter import order_letter

            return order_letter(view, site, prices=prices)

        answer(
            site, lambda: order_page(view, site), lambda _: order_sheets(view, prices=prices),
            printable=letter,
        )  # fmt: skip


def _show_all(per: str, *, every: bool) -> None:
    from stockbook.jobs.order_view import all_orders, items_to_come, orders_to_come
    from stockbook.reports import order as pages

    with open_book() as book:
        site, day = site_of(book), today(book)
        if per == "item":
            items = items_to_come(book)
            page = partial(pages.on_order_page, items, site)
            answer(site, page, lambda _: pages.on_order_sheets(items))
            return
        states = all_orders(book) if every else orders_to_come(book)
        title, nothing = ("Orders", "No order yet.") if every else ("Open orders", "None is open.")
        answer(
            site, lambda: pages.orders_page(states, site, f"{title}, {day}", nothing),
            lambda _: pages.orders_sheets(states, day),
        )  # fmt: skip


@command.command("late")
@as_of_options
@answering
def late() -> None:
    """What was due and has not come in full, with the days since."""
    from stockbook.jobs.order_view import late_orders
    from stockbook.reports.order import late_page, orders_sheets

    with open_book() as book:
        as_of = asked_as_of(book)
        site, states = site_of(book, as_of), late_orders(book, as_of)
        answer(
            site, lambda: late_page(states, as_of.day, site),
            lambda _: orders_sheets(states, as_of.day),
        )  # fmt: skip


@command.command("change")
@click.argument("code", metavar="ORDER", shell_complete=completing.orders)
@click.option("--due", required=True, metavar="DAY", help="When it is due now.")
@recording
def change(code: str, due: str) -> None:
    """Put an order off, or forward, to another day."""
    from stockbook.jobs.order import change_order

    with open_book() as book:
        state, entry = change_order(
            book, signature(book), code, due, keep=not session().dry_run
        )  # fmt: skip
        if entry is None:
            show(f"order {state.order.code}: due {state.order.due_on} already, nothing changed.")
            return
        show(f"Order {state.order.code} of {state.order.supplier}: due {state.order.due_on}.")
        recorded(entry)


@command.command("close")
@click.argument("code", metavar="ORDER", shell_complete=completing.orders)
@recording
def close(code: str) -> None:
    """Give up what has not come of an order, with a --reason."""
    from stockbook.jobs.order import close_order

    with open_book() as book:
        state, entry, already = close_order(
            book, signature(book), code, keep=not session().dry_run
        )  # fmt: skip
        show(lambda: _closed(state))
        recorded(entry, already=already)


def _closed(state: "OrderState") -> str:
    from stockbook.reports.amounts import amount

    lost = [f"{one.item.code} {amount(one.item, one.given_up)}" for one in state.lines
            if one.given_up]  # fmt: skip
    return f"Order {state.order.code} of {state.order.supplier} closed. Given up: {', '.join(lost)}"
