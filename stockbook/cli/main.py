"""The `stockbook` command: sections of commands, loaded when named; errors become exit codes."""

import sys
from collections.abc import Sequence
from importlib import import_module
from typing import NoReturn

import click

from stockbook import __version__
from stockbook.cli.context import Session, book_option, by_option, on_screen
from stockbook.errors import StockbookError

SECTIONS: dict[str, dict[str, str]] = {
    "Anyone": {
        "stock": "What is on hand, by item, place, class or lot; lenses as a grid.",
        "scan": "What a scan says and means in this book; records nothing.",
        "trace": "Where a lot went and which cases it reached; what a case was given.",
        "entries": "What was recorded, entry by entry.",
        "reverse": "Undo an entry by a mirrored one.",
        "today": "What waits today, on one screen, by role.",
        "demo": "Build a demonstration book and walk the four people's work.",
    },
    "Store keeper": {
        "receive": "Receive a delivery by lot.",
        "order": "Orders to suppliers: propose, accept, new, show, late, change, close.",
        "move": "Move stock from one place to another.",
        "send-back": "Send units back to who delivered them, with a reason.",
        "label": "Labels to print with a code to scan: shelf, lot, case, list, card.",
        "discard": "Discard from a shelf, with a reason.",
    },
    "Theatre nurse": {
        "ready": "Can a list, or a day's lists, be served? Exit 0 yes, 6 no.",
        "issue": "Issue the kit to a case, or to a whole list.",
        "theatre": "One sitting on a list, by scanner: strip, packs, NEXT.",
        "finish": "Finish a case or a list: used, wasted, returned.",
        "list": "Operating lists: take, show, change.",
        "lens": "The lens bank: what lies there, how well it serves; bank.",
        "case": "One operation: new, show, change, cancel, convert.",
    },
    "Manager": {
        "expiring": "What is expired on a shelf, and what expires soon.",
        "forecast": "What the coming lists will use, and what may run short.",
        "quarantine": "Stop stock from being used: start, show, release.",
        "kit": "What cases need: show, change, review, accept.",
    },
    "Finance": {
        "cost": "What a case cost; a period's cost by category, with its proof.",
        "what-if": "What the paid cases bear: tariffs, mix, lenses, prices, offers.",
        "valuation": "What the stock is worth: show, write-down, idle, prices.",
        "invoice": "A supplier's invoice beside what came; what has none.",
        "period": "A period's statement: close, show, reopen.",
        "claims": "What sponsors owe for their cases: show, sent, reimbursed, declined.",
    },
    "The book": {
        "import": "Take in items, kits, lists, staff, opening stock … from a file.",
        "item": "Show, make or change items: show, new, change, judge.",
        "place": "Show, make or change places: show, new, change.",
        "supplier": "Show, make or change suppliers: show, new, change.",
        "sponsor": "Show, make or change who pays for cases: show, new, change.",
        "staff": "Show, make or change staff codes: show, new, change.",
        "book": "The book itself: new, settings, verify, backup, restore, export.",
    },
}

BY_NAME = (
    "scan", "entries", "reverse", "demo", "order", "label", "list", "case", "lens", "quarantine",
    "kit", "what-if", "valuation", "invoice", "period", "claims",
)  # fmt: skip
"""What is not done every day: on the start screen named beside its section, without words."""

_CODE_INTERRUPTED = 130


class Sections(click.Group):
    """A group whose commands are known by name and loaded when they are named."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Every command, section by section."""
        return [name for commands in SECTIONS.values() for name in commands]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of a name, imported now."""
        if cmd_name not in self.list_commands(ctx):
            return None
        file = "import_" if cmd_name == "import" else cmd_name.replace("-", "_")
        module = import_module(f"stockbook.cli.{file}")
        command: click.Command = module.command
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """As click does, with the nearest names when the command is unknown."""
        try:
            return super().resolve_command(ctx, args)
        except click.UsageError as error:
            import difflib

            near = difflib.get_close_matches(args[0], self.list_commands(ctx), n=3, cutoff=0.5)
            if near:
                raise click.UsageError(f"{error.message} Near: {', '.join(near)}.") from None
            raise

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The commands under the people whose work they are."""
        for section, commands in SECTIONS.items():
            with formatter.section(section):
                formatter.write_dl(list(commands.items()))


@click.group(
    cls=Sections,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.version_option(__version__, message="stockbook %(version)s")
@book_option
@by_option
@click.pass_context
def main(ctx: click.Context) -> None:
    """Keep the stock of an eye theatre: every unit, lot and cost from the box to the case.

    Stockbook records, checks and warns. It replaces no clinical check, no local rule and no
    licensed judgement.
    """
    if ctx.invoked_subcommand is None:
        click.echo(_daily())


def _daily() -> str:
    """The daily commands by person, on one screen; those about the book itself by name alone."""
    lines = ["Stockbook: what would you like to do?   (stockbook COMMAND --help tells more)"]
    for section, commands in list(SECTIONS.items())[:-1]:
        named = [name for name in commands if name in BY_NAME]
        lines.append(section.upper() + (f"  also: {', '.join(named)}" if named else ""))
        lines += [f"  {n:<11}{words}" for n, words in commands.items() if n not in named]
    section, commands = list(SECTIONS.items())[-1]
    lines.append(f"{section.upper()}\n  {'  '.join(commands)}")
    return "\n".join(lines)


def invoke(arguments: Sequence[str], session: Session | None = None) -> int:
    """Run one command line and return its exit code; everything is said on the streams."""
    try:
        check_arguments(arguments)
        with main.make_context("stockbook", list(arguments), obj=session) as ctx:
            main.invoke(ctx)
    except click.exceptions.Exit as left:
        return left.exit_code
    except click.ClickException as error:
        error.show()
        return error.exit_code
    except (click.Abort, KeyboardInterrupt):
        say("Interrupted. Nothing was recorded by this command unless it said so.")
        return _CODE_INTERRUPTED
    except StockbookError as error:
        show_error(error)
        return error.exit_code
    except BrokenPipeError:
        return _pipe_closed()
    return 0


def check_arguments(arguments: Sequence[str]) -> None:
    """Nothing typed hides, breaks a line or turns its direction."""
    plain = all(argument.isascii() and argument.isprintable() for argument in arguments)
    if plain:
        return
    from stockbook.domain.texts import clean_text

    for argument in arguments:
        clean_text(argument, f"what was typed as {argument!r}", len(argument), joiners=True)


def show_error(error: StockbookError) -> None:
    """The message, with the table that belongs to it, on standard error."""
    from stockbook.errors import BadRows, NotEnough

    say(error.message)
    if isinstance(error, BadRows):
        from stockbook.reports.book import bad_rows_table

        say(on_screen(lambda: bad_rows_table(error.rows), sys.stderr))
    if isinstance(error, NotEnough):
        from stockbook.reports.cases import missing_table

        say(on_screen(lambda: missing_table(error.missing), sys.stderr))


def say(text: str) -> None:
    """A line on standard error, whatever characters a person typed."""
    click.echo(text.encode("utf-8", "backslashreplace").decode("utf-8"), err=True)


def _pipe_closed() -> int:
    """The reader of our output left; that is no fault."""
    import os

    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return 0


def run() -> NoReturn:
    """The console command: one short life, in which collecting garbage is wasted work."""
    import gc
    import os

    gc.disable()
    asked = os.environ.get("_STOCKBOOK_COMPLETE")
    if asked:
        from click.shell_completion import shell_complete

        sys.exit(shell_complete(main, {}, "stockbook", "_STOCKBOOK_COMPLETE", asked))
    sys.exit(invoke(sys.argv[1:]))
