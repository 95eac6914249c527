"""`stockbook lens`."""

import click

from stockbook.cli.answers import answer, answering
from stockbook.cli.context import as_of_options, asked_as_of, open_book, site_of


@click.group("lens")
def command() -> None:
    """The lens bank: what lies there, how well it serves; bank."""


@command.command("bank")
@click.option("--model", metavar="MODEL", help="One lens model, power by power.")
@click.option("--size", metavar="N", help="The best bank of N lenses (as many as lie there).")
@click.option("--budget", metavar="AMOUNT",
              help="What to add for this sum, each lens at its last price.")  # fmt: skip
@click.option("--next", "patients", metavar="N", help="Ask about the next N patients (20).")
@click.option("--spare/--no-spare", default=True,
              help="Keep one identical lens of every power as spare, or none.")  # fmt: skip
@as_of_options
@answering
def bank(
    model: str | None, size: str | None, budget: str | None, patients: str | None, *, spare: bool
) -> None:
    """The lens bank: on hand, use of twelve months, how well it serves, what would serve better.

    About stock alone: Stockbook never chooses a lens for a patient and computes no power.
    """
    from stockbook.jobs.lens import lens_bank
    from stockbook.reports.lens_bank import bank_page
    from stockbook.reports.lens_sheets import bank_sheets

    with open_book() as book:
        as_of = asked_as_of(book)
        site = site_of(book, as_of)
        found = lens_bank(
            book, as_of.day, model=model, size=size, budget=budget, patients=patients,
            spare=spare, as_of=as_of,
        )  # fmt: skip
        answer(site, lambda: bank_page(found, site), lambda _: bank_sheets(found))
