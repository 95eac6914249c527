"""A book of version 1 as it was written once: every later version opens it and finds it sound."""

import gzip
import hashlib
from pathlib import Path

from desk import Desk

FROZEN = Path(__file__).parent / "frozen" / "version-1.stockbook.gz"
SHA_256 = "1e6c8b158db4fdc2e53e224c7fbcea4757ebd843c9440913f7d4bc06d52e5b7d"
LAST = (17, "5e4e97313454be34424fc5a3225f1cefb0522bf575c164a1582eb0fce1cb537d")


def thawed(folder: Path) -> Desk:
    desk = Desk(folder)
    desk.path.write_bytes(gzip.decompress(FROZEN.read_bytes()))
    return desk


def test_the_frozen_book_is_the_one_that_was_written() -> None:
    """SHA-256 (FIPS 180-4) of the file as SQLite 3.40.1 wrote it."""
    assert hashlib.sha256(gzip.decompress(FROZEN.read_bytes())).hexdigest() == SHA_256


def test_it_opens_verifies_and_answers(tmp_path: Path) -> None:
    desk = thawed(tmp_path)
    assert desk.last() == LAST
    assert f"Last checksum {LAST[1]}" in desk.ok("book verify")
    assert "The proof holds." in desk.ok("cost --month 2027-03")
    assert "CERTAIN" in desk.ok("trace V2")


def test_work_goes_on_in_it(tmp_path: Path) -> None:
    desk = thawed(tmp_path)
    assert "Recorded as entry 18" in desk.ok("issue C3 --by NU")
    desk.ok("book verify")


def test_asking_and_verifying_leave_its_file_as_it_was(tmp_path: Path) -> None:
    desk = thawed(tmp_path)
    desk.ok("book verify")
    desk.ok("today")
    assert hashlib.sha256(desk.path.read_bytes()).hexdigest() == SHA_256
