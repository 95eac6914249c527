"""`stockbook item`."""

import click

from stockbook.cli.answers import answer, answering
from stockbook.cli.completing import items
from stockbook.cli.context import open_book, recording, site_of
from stockbook.cli.one_fact import options, record

OPTIONS = (
    ("--name", "TEXT", "What it is called."),
    ("--class", "WORD", "Its class, one lower-case word."),
    ("--unit", "WORD", "The unit of use: each, ml, use …"),
    ("--unit-places", "0-3", "Decimals its unit is counted in."),
    ("--lens-model", "MODEL", "A lens: its model."),
    ("--power", "POWER", "A lens: its power, such as +21.50."),
    ("--serial", "yes|no", "Whether each unit has a serial."),
    ("--least-days-left", "DAYS", "Days it must have left when used."),
    ("--controlled", "yes|no", "Whether two people sign when it is discarded."),
    ("--storage-class", "WORD", "How it has to be kept: ambient, cold …"),
    ("--standby", "UNITS", "What must be there, whatever is expected to be used."),
    ("--service", "LEVEL", "How often an order is enough: cycle 95, fill 98.5."),
    ("--replaces", "ITEM", "The item it stands for: its use counts as this one's."),
)


@click.group("item")
def command() -> None:
    """Show, make or change items: show, new, change, judge."""


@command.command("show")
@click.argument("code", metavar="[ITEM]", required=False, shell_complete=items)
@click.option("--pack-sizes", "packs", is_flag=True, help="The ways they are sold instead.")
@answering
def show(code: str | None, *, packs: bool) -> None:
    """Show all items, or everything about one; ITEM may be a pack's identifier.

    The CSV has the columns of a file of items (of pack sizes with --pack-sizes).
    """
    from stockbook.jobs.item import about_item, all_items, pack_sizes
    from stockbook.reports import item as pages

    with open_book() as book:
        site = site_of(book)
        if packs:
            sizes = pack_sizes(book, code)
            answer(site, lambda: pages.packs_page(sizes, site), lambda _: pages.pack_sheets(sizes))
        elif code is None:
            found = all_items(book)
            answer(site, lambda: pages.items_page(found, site), lambda _: pages.item_sheets(found))
        else:
            one = about_item(book, code)
            answer(site, lambda: pages.item_page(one, site), lambda _: pages.about_sheets(one))


@command.command("new")
@click.argument("code", metavar="ITEM")
@options(OPTIONS)
@recording
def new(code: str, **given: str | None) -> None:
    """Make an item. A lens is one item at one power, its code MODEL and power."""
    record("item", code, given, new=True)


@command.command("change")
@click.argument("code", metavar="ITEM", shell_complete=items)
@options(OPTIONS)
@recording
def change(code: str, **given: str | None) -> None:
    """Change an item in what is given; the rest stays as it is."""
    record("item", code, given, new=False)


@command.command("judge")
@click.argument("code", metavar="ITEM", shell_complete=items)
@click.argument("week", metavar="MONDAY")
@click.argument("verdict", type=click.Choice(["usual", "unusual"]))
@recording
def judge(code: str, week: str, verdict: str) -> None:
    """Say whether a week in which far more was used than in others was usual.

    What nobody has judged stays out of the forecast.
    """
    from stockbook.cli.context import open_book, recorded, session, show, signature
    from stockbook.jobs.item import judge_week

    with open_book() as book:
        judged, entry = judge_week(
            book, signature(book), code, week, usual=verdict == "usual", keep=not session().dry_run
        )
        counts = "counts" if judged.usual else "is left out"
        show(f"{judged.item}: the week of {judged.week} {counts}.")
        recorded(entry)
