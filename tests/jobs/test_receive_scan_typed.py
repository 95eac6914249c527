"""What a sitting records is what typing the same lines records: same movements, same lots."""

import shutil
from dataclasses import dataclass
from pathlib import Path

import pytest
from desk import Desk
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from unpacking import unpacked

IDENTIFIERS = {"09521101530001": ("VISC", 1), "19521101530008": ("VISC", 10)}
DOORS = ("take", "quarantine", "reject")
"""In the order in which the typed command puts them together."""
_PRINTED = st.text("ABCDEFGHJKLMNPRSTUVWXYZ", min_size=1, max_size=8)


@dataclass(frozen=True)
class Line:
    """One line as it came: its identifier, lot, expiry, packs, price of one, and the door."""

    identifier: str
    lot: str
    year: int
    month: int
    by_month: bool
    packs: int
    price: int
    door: str
    """Taken, or rejected or set aside for a reason."""

    @property
    def scan(self) -> str:
        """The symbol on each of its packs."""
        day = "00" if self.by_month else "15"
        date = f"{self.year % 100:02d}{self.month:02d}{day}"
        return f"]d201{self.identifier}17{date}10{self.lot}"

    @property
    def expiry(self) -> str:
        """The expiry as it is typed."""
        return f"{self.year}-{self.month:02d}" + ("" if self.by_month else "-15")

    def scans(self, *, priced: bool) -> list[str]:
        """What is scanned and typed at the desk."""
        words = [self.scan]
        words += [f"qty {self.packs}"] if self.packs > 1 else []
        words += [f"price {self.price}.00"] if priced and self.door == "take" else []
        return words if self.door == "take" else [*words, f"{self.door} wet"]

    def typed(self, *, priced: bool) -> list[str]:
        """The same as options of the typed command."""
        said = [self.identifier, str(self.packs), self.lot, self.expiry]
        if self.door == "take":
            return ["--line", *said, f"{self.price}.00" if priced else "-"]
        return [f"--{self.door}", *said, "wet"]


lines = st.builds(
    Line, st.sampled_from(sorted(IDENTIFIERS)), _PRINTED, st.integers(2029, 2035),
    st.integers(1, 12), st.booleans(), st.integers(1, 4), st.integers(0, 500),
    st.sampled_from(["take", "take", "reject", "quarantine"]),
)  # fmt: skip


@pytest.fixture
def twins(desk: Desk, tmp_path: Path) -> tuple[Desk, Desk, Path]:
    kept = tmp_path / "kept.stockbook"
    shutil.copyfile(desk.path, kept)
    return desk, Desk(desk.folder, name="other.stockbook"), kept


def in_book(desk: Desk) -> tuple[list[tuple], ...]:
    """All that the delivery put into the book, but who scanned what."""
    number = desk.last()[0]
    return (
        desk.rows("SELECT * FROM movement WHERE entry = ? ORDER BY line", number),
        desk.rows(
            "SELECT code, item, number, serial, expires_on, expiry_precision, terms, quantity, "
            "document, price, price_quantity, provisional, order_code FROM lot ORDER BY code"
        ),
        desk.rows(
            "SELECT code, supplier, reason, quantity, item, identifier, number, serial, expires_on "
            "FROM rejection ORDER BY code"
        ),
        desk.rows(
            "SELECT kind, happened_on, by, document, request_key, request_digest FROM entry "
            "WHERE number = ?",
            number,
        ),
    )


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.lists(lines, min_size=1, max_size=5, unique_by=lambda one: one.lot))
def test_scanned_and_typed_are_one(twins: tuple[Desk, Desk, Path], drawn: list[Line]) -> None:
    scanned, typed, kept = twins
    for desk in (scanned, typed):
        shutil.copyfile(kept, desk.path)
    came = sorted(drawn, key=lambda one: DOORS.index(one.door))
    priced = not any(one.door == "quarantine" for one in came)  # typed, these have no price
    lines_scanned = [line for one in came for line in one.scans(priced=priced)]
    words = [word for one in came for word in one.typed(priced=priced)]
    unpacked(scanned, *lines_scanned, "record")
    typed.ok(["receive", "ACME", "N9", "--by", "KE", *words])
    assert in_book(scanned) == in_book(typed)
