"""What `show` writes, `import` takes into another book: the facts are the same there."""

import shutil
import tempfile
from pathlib import Path

import pytest
from desk import Desk, new_desk
from hypothesis import given, settings
from hypothesis import strategies as st
from ledger.books import draft, opened

from jobs.going_round import AWKWARD, sites
from stockbook.domain.facts import Fact, Supplier
from stockbook.domain.places import place_of_supplier
from stockbook.domain.texts import name
from stockbook.ledger.posting import posting
from stockbook.ledger.settings import name_person

KINDS = {
    "suppliers": "supplier show", "places": "place show", "staff": "staff show",
    "items": "item show", "pack-sizes": "item show --pack-sizes",
    "sponsors": "sponsor show",
}  # fmt: skip
"""Each kind of file, in the order in which a new book takes them, and what writes it."""

TABLES = ("supplier", "place", "staff_code", "person", "item", "pack_size", "sponsor")


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book that holds its founding alone."""
    return new_desk(tmp_path_factory.mktemp("empty")).path


def another(empty: Path, folder: str, called: str) -> Desk:
    shutil.copy(empty, Path(folder) / f"{called}.stockbook")
    return Desk(Path(folder), name=f"{called}.stockbook")


def put(desk: Desk, facts: list[Fact], names: dict[str, str]) -> None:
    with opened(desk.path) as book, posting(book) as post:
        post.post(draft("test/put", facts=tuple(facts)))
        for code, called in names.items():
            name_person(post.db, code, called)


def known(desk: Desk) -> dict[str, list[tuple]]:
    """Every row of the tables that the files are about."""
    return {table: desk.rows(f"SELECT * FROM {table} ORDER BY code") for table in TABLES}


def written(desk: Desk, kind: str, ending: str) -> str:
    """A file of a kind as `show` writes it."""
    if ending == "xlsx":
        desk.ok([*KINDS[kind].split(), "-o", str(desk.folder / f"{kind}.xlsx")])
        return f"{kind}.xlsx"
    return desk.file(f"{kind}.csv", desk.ok(f"{KINDS[kind]} --csv"))


def goes_round(empty: Path, facts: list[Fact], names: dict[str, str], ending: str) -> None:
    """Written from one book and read into an empty one, all is there; read again, all is known."""
    with tempfile.TemporaryDirectory() as folder:
        ours, theirs = another(empty, folder, "ours"), another(empty, folder, "theirs")
        put(ours, facts, names)
        files = {kind: written(ours, kind, ending) for kind in KINDS}
        for kind, file in files.items():
            theirs.ok(f"import {kind} {file} --by MA")
        assert known(theirs) == known(ours)
        last = theirs.last()
        for kind, file in files.items():
            assert "all known already, nothing changed" in theirs.ok(
                f"import {kind} {file} --by MA"
            )
        assert theirs.last() == last


@pytest.mark.parametrize("ending", ["csv", "xlsx"])
@settings(max_examples=6)
@given(site=sites())
def test_what_is_shown_can_be_imported_elsewhere(
    empty: Path, ending: str, site: tuple[list[Fact], dict[str, str]]
) -> None:
    goes_round(empty, *site, ending)


@pytest.mark.slow
@settings(max_examples=150)
@given(site=sites(), ending=st.sampled_from(("csv", "xlsx")))
def test_what_is_shown_can_be_imported_elsewhere_many(
    empty: Path, ending: str, site: tuple[list[Fact], dict[str, str]]
) -> None:
    goes_round(empty, *site, ending)


@pytest.mark.parametrize("ending", ["csv", "xlsx"])
def test_a_name_that_means_something_to_a_spreadsheet_goes_round(
    empty: Path, tmp_path: Path, ending: str
) -> None:
    ours, theirs = (another(empty, str(tmp_path), called) for called in ("ours", "theirs"))
    facts: list[Fact] = []
    for number, text in enumerate(AWKWARD):
        facts += [Supplier(f"S{number}", name(text)), place_of_supplier(f"S{number}", name(text))]
    put(ours, facts, {})
    theirs.ok(f"import suppliers {written(ours, 'suppliers', ending)} --by MA")
    assert known(theirs) == known(ours)


def test_one_thing_shown_is_a_file_of_one_row(desk: Desk, empty: Path, tmp_path: Path) -> None:
    """A CSV is one table: what stands beside an item is in JSON and in a spreadsheet alone."""
    theirs = another(empty, str(tmp_path), "theirs")
    for line, kind in (("item show VISC", "items"), ("place show OT1", "places"),
                       ("supplier show ACME", "suppliers"), ("staff show KE", "staff"),
                       ("item show VISC --pack-sizes", "pack-sizes")):  # fmt: skip
        theirs.file(f"{kind}.csv", desk.ok(f"{line} --csv"))
        theirs.ok(f"import {kind} {kind}.csv --by MA")
    assert theirs.rows("SELECT code FROM item") == [("VISC",)]
    assert theirs.rows("SELECT code, units FROM pack_size WHERE level = 'outer'") == [
        ("19521101530008", 10)
    ]
