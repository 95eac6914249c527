"""`stockbook move`."""

import click

from stockbook.cli import completing
from stockbook.cli.context import (
    confirm,
    open_book,
    recorded,
    recording,
    session,
    show,
    signature,
    site_of,
)
from stockbook.cli.move_scan import carry


@click.command("move")
@click.argument("item", required=False, shell_complete=completing.items)
@click.argument("quantity", required=False)
@click.option("--from", "source", metavar="PLACE", shell_complete=completing.places,
              help="Where it lies; with --fill the one store that gives.")  # fmt: skip
@click.option("--to", "target", metavar="PLACE", shell_complete=completing.places,
              help="Where it goes.")  # fmt: skip
@click.option("--lot", "number", metavar="LOT", help="This lot (or serial); it counts as seen.")
@click.option("--scan", is_flag=True, help="The packs are scanned; with --from and --to alone.")
@click.option("--separator", metavar="CHAR",
              help="With --scan: what the scanner sends for GS: one of | ~ ^ @ # { }.")  # fmt: skip
@click.option("--fill", "place", metavar="PLACE", shell_complete=completing.places,
              help="Bring this place to its levels.")  # fmt: skip
@recording
def command(
    item: str | None, quantity: str | None, source: str | None, target: str | None,
    number: str | None, scan: bool, separator: str | None, place: str | None,
) -> None:  # fmt: skip
    """Move stock from one place to another.

    Without --lot the soonest expiry that may be used is taken. What must not be used moves only
    by its lot, and never to a theatre. Reasons, where one is worth giving: refill,
    needed-elsewhere, set-aside, wrong-place.

    With --fill, what is below its level comes from the stores and what is above it goes back:
    one table, one question, one entry.

    With --scan each pack is scanned: one line says what goes and what stays. Typed words: qty N,
    undo, record, leave. Nothing is posted before record; what was scanned stays when the terminal
    dies.
    """
    if scan:
        if not (source and target) or item or number or place:
            raise click.UsageError("--scan goes with --from PLACE and --to PLACE alone.")
        carry(source, target, separator)
    elif place is not None:
        if item or target or number:
            raise click.UsageError("--fill PLACE goes with --from STORE only.")
        _fill(place, source)
    elif item and quantity and source and target:
        _move(item, quantity, source, target, number)
    else:
        raise click.UsageError("Give ITEM, QUANTITY, --from PLACE and --to PLACE; or --fill PLACE.")


def _move(item: str, quantity: str, source: str, target: str, number: str | None) -> None:
    from stockbook.jobs.move import move_stock, storage_warning
    from stockbook.reports.cases import moved_page

    with open_book() as book:
        signed, keep = signature(book), not session().dry_run
        warning = storage_warning(book, item, target)
        if warning and keep:
            confirm(f"{warning} Move it there all the same?")
        moved = move_stock(book, signed, item, quantity, source, target, number=number, keep=keep)
        show(lambda: moved_page(moved, site_of(book)))
        if warning:
            click.echo(f"Warning: {warning}")
        recorded(moved.entry)


def _fill(place: str, source: str | None) -> None:
    from stockbook.jobs.filling import fill_place, planned_filling
    from stockbook.reports.filling import (
        filling_page,
        filling_question,
        nothing_to_move,
        short_words,
    )

    with open_book() as book:
        signed, keep = signature(book), not session().dry_run
        filling = planned_filling(book, signed, place, source)
        show(lambda: filling_page(filling, site_of(book)))
        for words in filling.warnings:
            click.echo(f"Warning: {words}")
        if all(line.is_within for line in filling.lines):
            click.echo(nothing_to_move(filling))
            return
        if filling.moving and keep:
            confirm(filling_question(filling))
        number = fill_place(book, signed, place, source, filling, keep=keep)
        short = short_words(filling)
        if short:
            click.echo(short)
        recorded(number)
