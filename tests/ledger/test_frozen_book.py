"""Books of earlier versions as they were written once: every later one finds them sound."""

import gzip
import hashlib
from dataclasses import dataclass
from pathlib import Path

import pytest
from desk import Desk

from stockbook.domain.codec import KINDS


@dataclass(frozen=True)
class Frozen:
    """A book of a version: the SHA-256 (FIPS 180-4) of its file, its last number and checksum."""

    version: int
    sha_256: str
    last: tuple[int, str]
    work: str
    """What can be done next."""

    def thawed(self, folder: Path) -> Desk:
        desk = Desk(folder)
        desk.path.write_bytes(self.content())
        return desk

    def content(self) -> bytes:
        folder = Path(__file__).parent / "frozen"
        return gzip.decompress((folder / f"version-{self.version}.stockbook.gz").read_bytes())


BOOKS = (
    Frozen(
        1, "1e6c8b158db4fdc2e53e224c7fbcea4757ebd843c9440913f7d4bc06d52e5b7d",
        (17, "5e4e97313454be34424fc5a3225f1cefb0522bf575c164a1582eb0fce1cb537d"), "issue C3",
    ),
    Frozen(
        2, "2e26c91c2660d260d9b7c3a46a68ebd71bdcbce298ea256e1bb0717ccfcb4e94",
        (17, "b0bec7f4328c79ff3aa06b3d9eaa91d84300f7c93d277c9daff9e8956489b64e"),
        "finish C2 --as-kit --reason noticed-later",
    ),
    Frozen(
        3, "83cba05159b4dad85b53daa8e6e7143b341487f5780ef35bf796a434e4dae396",
        (33, "5b2d0ec674a7cfd69f3d317341beda44bb41fc1f40fe711189c1dc45f2531817"),
        "finish C2 --as-kit --reason noticed-later",
    ),
)  # fmt: skip
each = pytest.mark.parametrize("frozen", BOOKS, ids=lambda book: f"version-{book.version}")


@each
def test_the_frozen_book_is_the_one_that_was_written(frozen: Frozen) -> None:
    """As SQLite 3.40.1 wrote it."""
    assert hashlib.sha256(frozen.content()).hexdigest() == frozen.sha_256


@each
def test_it_opens_verifies_and_answers(frozen: Frozen, tmp_path: Path) -> None:
    desk = frozen.thawed(tmp_path)
    assert desk.last() == frozen.last
    assert f"Last checksum {frozen.last[1]}" in desk.ok("book verify")
    assert "The proof holds." in desk.ok("cost --month 2027-03")
    assert "CERTAIN" in desk.ok("trace V2")


@each
def test_work_goes_on_in_it(frozen: Frozen, tmp_path: Path) -> None:
    desk = frozen.thawed(tmp_path)
    assert f"Recorded as entry {frozen.last[0] + 1}" in desk.ok(f"{frozen.work} --by NU")
    desk.ok("book verify")


@each
def test_asking_and_verifying_leave_its_file_as_it_was(frozen: Frozen, tmp_path: Path) -> None:
    desk = frozen.thawed(tmp_path)
    desk.ok("book verify")
    desk.ok("today")
    assert hashlib.sha256(desk.path.read_bytes()).hexdigest() == frozen.sha_256


def test_orders_and_their_deliveries_survive(tmp_path: Path) -> None:
    """Version 2 brought orders and supply terms."""
    desk = BOOKS[1].thawed(tmp_path)
    assert "36" in desk.ok("order show O-2027-001")
    desk.ok("kit show PHACO/free")


AFTER_3 = {"sponsor", "claimed case", "rejection"}


def test_the_book_of_version_3_has_every_kind_of_fact_of_its_version(tmp_path: Path) -> None:
    desk = BOOKS[2].thawed(tmp_path)
    there = {kind for (kind,) in desk.rows("SELECT DISTINCT kind FROM change")}
    assert there == set(KINDS) - AFTER_3


def test_what_version_3_brought_survives(tmp_path: Path) -> None:
    """Invoices, stated values, a closed month, a judged week; a sitting, outside the chain."""
    desk = BOOKS[2].thawed(tmp_path)
    outside = desk.rows("SELECT * FROM sitting"), desk.rows("SELECT * FROM upkeep")
    assert all(outside)
    desk.ok("move VISC 1 --from STORE --to OT1 --reason refill --by KE")
    assert (desk.rows("SELECT * FROM sitting"), desk.rows("SELECT * FROM upkeep")) == outside
    assert "2,120.00" in desk.ok("invoice ACME R-77")
    assert "The figures are those it was closed with." in desk.ok("period show 2027-02")
    assert desk.rows("SELECT minutes, sponsor_number FROM theatre_case WHERE code = 'C1'") == [
        (14, None)
    ]
    desk.ok("case change C3 --sponsor none --reason payer-changed --by NU")
    assert "sound" in desk.ok("book verify")
