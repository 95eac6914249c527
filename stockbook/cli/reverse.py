"""`stockbook reverse`."""

import click

from stockbook.cli.context import open_book, recorded, recording, session, signature


@click.command("reverse")
@click.argument("number", type=int)
@recording
def command(number: int) -> None:
    """Undo an entry by a mirrored one.

    Facts are not undone by reversing: they are corrected by new changes.
    """
    from stockbook.jobs.reverse import reverse_entry

    with open_book() as book:
        undone = reverse_entry(book, signature(book), number, keep=not session().dry_run)
        recorded(undone.number, already=undone.already)
