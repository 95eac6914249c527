"""`stockbook demo`: builds a demonstration book by the real commands and shows their output."""

import contextlib
import io
import shlex
import tempfile
from dataclasses import dataclass
from pathlib import Path

import click

from stockbook.cli.context import Session, asking, open_book, session
from stockbook.domain.amounts import quantity_text
from stockbook.domain.rows import Row
from stockbook.errors import BookUnusable, InputError, StockbookError
from stockbook.files.csv_rows import read_csv
from stockbook.jobs.expiring import expiring_stock
from stockbook.jobs.stock import stock_on_hand
from stockbook.jobs.trace import trace_case

BOOK_ID = "de00000000000000000000000000dec0"
IMPORTS = ("suppliers", "places", "staff", "items", "pack-sizes", "kits", "lists", "opening-stock")
_FILES = {"pack-sizes": "pack_sizes.csv", "opening-stock": "opening.csv"}


@click.command("demo")
@click.option("--seed", type=click.Path(path_type=Path), metavar="FOLDER",
              help="Another folder of demonstration files.")  # fmt: skip
@asking
def command(seed: Path | None) -> None:
    """Build a demonstration book and walk the four people's work.

    The book is made in the working folder, or as --book FILE. Everything in it is invented. A
    book that is not a demonstration is never overwritten.
    """
    path = session().path
    folder = seed or seed_folder()
    _check_target(path)
    with tempfile.TemporaryDirectory(dir=_folder_of(path), prefix=".stockbook-") as apart:
        building = Path(apart) / path.name
        _Demonstration(folder, building, _settings(folder)).run()
        building.replace(path)
    click.echo(f"\nThe demonstration book is {path}. Go on by yourself, for example:")
    where = "" if path == Path("book.stockbook") else f" --book {shlex.quote(str(path))}"
    for words in ("stock --lenses", _last_finish(folder), "expiring --within 30"):
        click.echo(f"  stockbook {words}{where}")


def _folder_of(path: Path) -> Path:
    """The folder the book is made in; it has to be there."""
    if not path.parent.is_dir():
        raise BookUnusable(f"{path.parent}: there is no such folder. Make it first.")
    return path.parent


def seed_folder() -> Path:
    """The demonstration files: beside the package in the source tree, inside it when installed."""
    package = Path(__file__).resolve().parent.parent
    for folder in (package.parent / "seed_inventory", package / "seed_inventory"):
        if (folder / "site.csv").is_file():
            return folder
    raise InputError("The demonstration files are not here. Name their folder with --seed FOLDER.")


def _last_finish(folder: Path) -> str:
    """The command that finishes the case of the day that is left."""
    today = _settings(folder)["today"]
    cases = [r for r in read_csv(folder / "lists.csv").rows if r.get("day") == today]
    nurse = staff_of(folder, "nurse")
    return f"finish {cases[-1].get('case')} --as-kit --by {nurse}"


def staff_of(folder: Path, role: str) -> str:
    """The first person of a role."""
    rows = read_csv(folder / "staff.csv").rows
    return next(r.get("staff") for r in rows if r.get("role") == role)


def _settings(folder: Path) -> dict[str, str]:
    return {row.get("setting"): row.get("value") for row in read_csv(folder / "site.csv").rows}


def _check_target(path: Path) -> None:
    """Only a demonstration book may be replaced by another."""
    if path.exists() and not _is_demonstration(path):
        raise BookUnusable(
            f"{path}: this is not a demonstration book and stays as it is. "
            "Name another file with --book FILE."
        )


def _is_demonstration(path: Path) -> bool:
    from stockbook.jobs.site import demonstration_day

    try:
        with open_book(path) as book:
            return demonstration_day(book) is not None
    except StockbookError:
        return False


@dataclass
class _Demonstration:
    """The days of an invented site, played by the real commands."""

    folder: Path
    book: Path
    settings: dict[str, str]

    def run(self) -> None:
        self._found()
        self._past()
        self._keeper()
        self._nurse()
        self._manager()
        self._finance()

    def _say(self, words: str) -> None:
        click.echo(f"\n{words}\n")

    def _command(self, line: str, day: str, *, shown: bool = True) -> str:
        """One real command on a day of the story; its output is printed or only returned."""
        from stockbook.cli.main import invoke

        arguments = shlex.split(line)
        if shown:
            click.echo(f"$ stockbook {line}")
        arguments = [
            str(self.folder / a.removeprefix("seed_inventory/")) if "seed_inventory/" in a else a
            for a in arguments
        ]
        surroundings = Session(book=str(self.book), today=day)
        heard = io.StringIO()
        out = contextlib.nullcontext() if shown else contextlib.redirect_stdout(heard)
        with out:
            code = invoke(arguments, surroundings)
        if code:
            raise InputError(f"The demonstration stopped at: stockbook {line} (exit {code}).")
        return heard.getvalue()

    def _found(self) -> None:
        from stockbook.domain.entries import Signature
        from stockbook.jobs.book import Founding, found_book

        s = self.settings
        day, manager = s["opening_day"], s["first_manager"]
        founding = Founding(
            s["site"], s["currency"], s["time_zone"], reference_pattern=s["reference_pattern"],
            demonstration_day=s["today"], book_id=BOOK_ID,
        )  # fmt: skip
        signed = Signature(manager, day, f"{day}T02:30:00Z", day)
        found_book(self.book, founding, signed)
        self._say(f"A new book for {s['site']}. Everything in it is invented. Moving in:")
        for kind in IMPORTS:
            name = _FILES.get(kind, f"{kind}.csv")
            self._command(f"import {kind} seed_inventory/{name} --by {manager}", day)

    def _rows(self, name: str) -> tuple[Row, ...]:
        return read_csv(self.folder / name).rows

    def _past(self) -> None:
        """The days before today: deliveries, then the day's lists by exception."""
        today = self.settings["today"]
        self._say("Three weeks pass; each day its deliveries and lists, by the same commands:")
        lists = {(r.get("day"), r.get("list")) for r in self._rows("lists.csv")}
        deliveries = {(r.get("day"), r.get("note")): r for r in self._rows("deliveries.csv")}
        for day in sorted({d for d, _ in lists} | {d for d, _ in deliveries}):
            if day >= today:
                break
            done = [
                self._deliver(row, shown=False)
                for (on, _), row in sorted(deliveries.items()) if on == day
            ]  # fmt: skip
            done += [self._list(code, day) for on, code in sorted(lists) if on == day]
            click.echo(f"  {day}  {'; '.join(done)}")

    def _deliver(self, row: Row, *, shown: bool) -> str:
        line = f"receive {row.get('supplier')} --note {row.get('note')} "
        line += f"--lines seed_inventory/deliveries/{row.get('file')}"
        for option in ("freight", "freight_by", "tax"):
            if row.get(option):
                line += f" --{option.replace('_', '-')} {row.get(option)}"
        self._command(f"{line} --by {self._staff('keeper')}", row.get("day"), shown=shown)
        return f"delivery {row.get('note')} of {row.get('supplier')}"

    def _list(self, code: str, day: str) -> str:
        nurse = self._staff("nurse")
        self._command(f"issue --list {code} --by {nurse}", day, shown=False)
        file = f"exceptions/{code}.csv"
        by_exception = (
            f" --exceptions seed_inventory/{file}" if (self.folder / file).exists() else ""
        )
        line = f"finish --list {code} --as-kit{by_exception} --by {nurse}"
        said = self._command(line, day, shown=False)
        return f"list {code}, {said.count('; entry ')} cases"

    def _staff(self, role: str) -> str:
        return staff_of(self.folder, role)

    def _today_cases(self) -> list[Row]:
        today = self.settings["today"]
        return [r for r in self._rows("lists.csv") if r.get("day") == today]

    def _keeper(self) -> None:
        today = self.settings["today"]
        deliveries = [r for r in self._rows("deliveries.csv") if r.get("day") == today]
        self._say(
            f"STORE KEEPER, {today}: a delivery stands at the door. Each line becomes a lot with "
            "its expiry and its exact share of freight and tax."
        )
        for row in deliveries:
            self._deliver(row, shown=True)
        self._say("The same note once more changes nothing:")
        for row in deliveries:
            self._deliver(row, shown=True)
        theatre = self._today_cases()[0].get("theatre")
        item = self._in_store(today)
        self._say(f"{theatre} gets some for the morning:")
        keeper = self._staff("keeper")
        self._command(f"move {item} 2 --from STORE --to {theatre} --by {keeper}", today)

    def _in_store(self, today: str) -> str:
        """Something that kits take only when required and of which the store has two."""
        wanted = [r.get("item") for r in self._rows("kits.csv") if r.get("kind") == "when"]
        with open_book(self.book) as book:
            rows = stock_on_hand(book, today, place="STORE").rows
        there = {s.item.code for s in rows if s.stopped is None and s.row.quantity >= 2}
        return next(item for item in wanted if item in there)

    def _nurse(self) -> None:
        today = self.settings["today"]
        nurse = self._staff("nurse")
        case = self._today_cases()[0]
        first, code = case.get("case"), case.get("list")
        self._say(
            f"THEATRE NURSE: the first case of the day, {first}. The kit is picked from the "
            "theatre, then the store, soonest expiry first; the lens is the case's own."
        )
        self._command(f"issue {first} --by {nurse}", today)
        self._say(
            "After the operation: the lens label was read, something was dropped, something "
            "comes back unopened."
        )
        dropped, back = self._differences(case)
        self._command(
            f"finish {first} --as-kit {self._lens_read(first)}--wasted {dropped} 1 dropped "
            f"--returned {back} 1 --by {nurse}",
            today,
        )
        last = self._today_cases()[-1].get("case")
        self._say(f"The rest of the list, issued and, but for the last case, {last}, finished:")
        self._command(f"issue --list {code} --by {nurse}", today)
        self._command(f"finish --list {code} --as-kit --leave {last} --by {nurse}", today)

    def _lens_read(self, case: str) -> str:
        """The lens of the case as its label says, for the finish."""
        with open_book(self.book) as book:
            trace = trace_case(book, case)
        for _, shown in trace.moves if trace else ():
            if shown.item.lens_model:
                return f"--lot {shown.item.code} {shown.lot.serial or shown.lot.number} "
        return ""

    def _differences(self, case: Row) -> tuple[str, str]:
        """One thing of the kit that is dropped, and another that comes back."""
        always = [
            r.get("item") for r in self._rows("kits.csv")
            if r.get("kind") == "always" and not r.get("surgeon")
            and (r.get("procedure"), r.get("category"))
            == (case.get("procedure"), case.get("category"))
        ]  # fmt: skip
        classes = {r.get("item"): r.get("class") for r in self._rows("items.csv")}
        dropped = next((i for i in always if classes[i] == "blades"), always[0])
        back = next((i for i in always if classes[i] == "needles"), always[-1])
        return dropped, back

    def _manager(self) -> None:
        today = self.settings["today"]
        self._say("MANAGER: what is expired and still on a shelf, and what expires next.")
        self._command("expiring", today)
        with open_book(self.book) as book:
            expired = [e for e in expiring_stock(book, today).expired if not e.item.controlled]
        for e in expired[:1]:
            amount = quantity_text(e.row.quantity, e.item.unit_places)
            self._say("The first of it is taken off the shelf:")
            self._command(
                f"discard {e.item.code} {amount} --from {e.row.place} --lot {e.row.lot.number} "
                f"--reason expired --by {self._staff('keeper')}",
                today,
            )

    def _finance(self) -> None:
        today = self.settings["today"]
        self._say("FINANCE: one case in full, then the month by category with its proof.")
        self._command(f"cost {self._today_cases()[0].get('case')}", today)
        click.echo("")
        self._command(f"cost --month {today[:7]}", today)
        click.echo("")
        self._command("book verify", today)
