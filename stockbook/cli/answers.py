"""How a question is answered: a page to read, JSON, CSV, or a file by its ending."""

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from stockbook.cli.context import asking, keep, session, show
from stockbook.errors import InputError

if TYPE_CHECKING:
    from stockbook.domain.answers import Site, Standing
    from stockbook.reports.charts import Chart
    from stockbook.reports.data import DataSheet

F = TypeVar("F", bound=Callable[..., object])
Sheets = Callable[[Any], "Sequence[DataSheet]"]
"""Takes the module `reports.sheets`, which is loaded only when data is asked for."""

ENDINGS = (".csv", ".json", ".txt", ".xlsx")
PRINTABLE = ".html"
"""Only where a command has a page made for printing."""
PICTURES = (".png", ".svg")
"""Only where a command has a chart."""

_json = click.option(
    "--json", "as_json", is_flag=True, expose_value=False, callback=keep("as_json"),
    help="The answer as JSON, in whole numbers.",
)  # fmt: skip
_csv = click.option(
    "--csv", "as_csv", is_flag=True, expose_value=False, callback=keep("as_csv"),
    help="The answer as CSV.",
)  # fmt: skip

_paper = click.option(
    "--paper", metavar="a4|letter", expose_value=False, callback=keep("paper"),
    help="Paper of a page to print, where it is not the site's.",
)  # fmt: skip


def _output(words: str) -> Callable[[F], F]:
    return click.option(
        "-o", "--output", metavar="FILE", expose_value=False, callback=keep("output"),
        help=f"Write it to a file: {words}.",
    )  # fmt: skip


def data_options(function: F, files: str = ".csv, .json, .txt or .xlsx") -> F:
    """The options that ask for data instead of a page."""
    return _output(files)(_csv(_json(function)))


def answering(function: F) -> F:
    """The options of a command that answers with a page or with data."""
    return asking(data_options(function))


def asks_for_data() -> bool:
    """Whether any form but the page was asked for."""
    s = session()
    return s.as_json or s.as_csv or s.output is not None


def printable_options(function: F) -> F:
    """The options that ask for data, or for a page to print, on which paper."""
    return data_options(_paper(function), ".csv, .json, .txt, .xlsx, or .html to print")


def answering_printable(function: F) -> F:
    """The options of a command that answers with a page, with data, or with a page to print."""
    return asking(printable_options(function))


def asks_for_paper() -> bool:
    """Whether a page to print was asked for."""
    return (session().output or "").lower().endswith(PRINTABLE)


def answering_with_chart(function: F) -> F:
    """The same, of a command that also has a chart."""
    return asking(data_options(function, ".csv, .json, .txt, .xlsx, or .png, .svg for a chart"))


def answer(
    site: "Site", page: Callable[[], str], sheets: Sheets,
    printable: Callable[[], str] | None = None, chart: "Callable[[], Chart] | None" = None,
    standing: "Standing | None" = None,
    charts: "Callable[[], Sequence[Chart]] | None" = None,
) -> None:  # fmt: skip
    """The answer in the one form that was asked for.

    `printable` makes the page for .html; with `standing` (the entry the answer stands on) it is
    the terminal's page set on paper, with these `charts`. `chart` is drawn for .png and .svg.
    """
    s = session()
    if standing is not None:
        printable = partial(_on_paper, page, site, standing, charts)
    if sum((s.as_json, s.as_csv, s.output is not None)) > 1:
        raise click.UsageError("Give one of --json, --csv and -o FILE.")
    if s.paper is not None and not asks_for_paper():
        raise click.UsageError("--paper is about a page to print: give -o FILE.html too.")
    if s.output is not None:
        path = Path(s.output)
        if printable is not None and path.suffix.lower() == PRINTABLE:
            content = printable().encode()
        elif chart is not None and path.suffix.lower() in PICTURES:
            from stockbook.reports.charts import drawn

            content = drawn(chart(), path.suffix.lower())
        else:
            more = ((PRINTABLE,) if printable else ()) + (PICTURES if chart else ())
            content = _content(path, site, page, sheets, (*ENDINGS, *more))
        write_file(path, content)
        show(f"Written to {s.output}.")
    elif s.as_json or s.as_csv:
        ending = ".json" if s.as_json else ".csv"
        content = _content(Path(ending[1:] + ending), site, page, sheets, ENDINGS)
        click.echo(content.decode(), nl=False)
    else:
        show(page)


def _on_paper(
    page: Callable[[], str], site: "Site", standing: "Standing",
    charts: "Callable[[], Sequence[Chart]] | None",
) -> str:  # fmt: skip
    from stockbook.reports.page import printed

    return printed(page, site, standing, charts)


def _content(
    path: Path, site: "Site", page: Callable[[], str], sheets: Sheets, endings: Sequence[str]
) -> bytes:
    """The answer in the form that a file's ending names."""
    from stockbook.reports import data
    from stockbook.reports import sheets as module

    ending = path.suffix.lower()
    if ending == ".xlsx":
        return data.xlsx_bytes(sheets(module), site)
    if ending == ".json":
        return (data.json_text(sheets(module), site) + "\n").encode()
    if ending == ".csv":
        return data.csv_text(sheets(module), site).encode()
    if ending == ".txt":
        return (page() + "\n").encode()
    raise InputError(f"-o {path}: wanted a file that ends in {', '.join(endings)}.")


def write_file(path: Path, content: bytes) -> None:
    """The file holds the content, whole or not at all; the book is never written over."""
    import contextlib
    import os
    import tempfile

    target = _checked(path)
    try:
        handle, name = tempfile.mkstemp(dir=target.parent, prefix=".stockbook-")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(content)
            Path(name).chmod(0o666 & ~_umask())
            Path(name).replace(target)
        finally:
            with contextlib.suppress(FileNotFoundError):
                Path(name).unlink()
    except OSError as error:
        raise InputError(
            f"-o {path}: cannot be written ({error.strerror}). Nothing was left behind."
        ) from None


def _umask() -> int:
    import os

    mask = os.umask(0)
    os.umask(mask)
    return mask


def _checked(path: Path) -> Path:
    """Where the content goes; a folder, a pipe, a device and the book itself are refused."""
    import stat

    target = path.resolve()
    if not target.parent.is_dir():
        raise InputError(f"-o {path}: there is no folder {target.parent}. Make it first.")
    if target.exists():
        if not stat.S_ISREG(target.stat().st_mode):
            raise InputError(f"-o {path}: this is not a plain file. Choose another name.")
        if session().path.exists() and target.samefile(session().path):
            raise InputError(f"-o {path}: this is the book itself. Choose another name.")
    return target
