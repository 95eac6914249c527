"""One long list in a full store: 60 cases of 30 lines each over 2,000 lots."""

from contextlib import closing
from datetime import date, timedelta
from pathlib import Path

from stockbook.domain.entries import Draft, Movement, Request, Signature, digest_of
from stockbook.domain.facts import (
    Case,
    Fact,
    Item,
    Kit,
    KitLine,
    Lot,
    OperatingList,
    StaffCode,
    Supplier,
)
from stockbook.domain.lenses import power_text
from stockbook.domain.places import place_of_supplier, places_of_site
from stockbook.jobs.book import Founding, found_book
from stockbook.ledger.opening import open_book
from stockbook.ledger.posting import posting

DAY = "2027-03-01"
LIST = "LONG"
CASES, LOTS, LENSES, DRAWN, STANDBY = 60, 2000, 8, 27, 2
POWERS = tuple(2000 + 50 * n for n in range(LENSES))
SIGNED = Signature("NU", DAY, f"{DAY}T02:30:00Z", DAY)
CONSUMABLES = tuple(f"ITEM{n:02d}" for n in range(DRAWN + STANDBY))
LINES = 1 + DRAWN + STANDBY


def sixty_cases(path: Path) -> Path:
    """A book whose one list can be served; every lot was received by the real posting."""
    signed = Signature("MA", DAY, f"{DAY}T02:00:00Z", DAY)
    found_book(path, Founding("Long List", "INR", "Asia/Kolkata", book_id="c" * 32), signed)
    lots = _lots()
    with closing(open_book(path)) as book, posting(book) as post:
        post.post(_draft("site", tuple(_facts())))
        for first in range(0, LOTS, 100):
            some = lots[first : first + 100]
            moves = [Movement(one.code, one.quantity, 100 * one.quantity, "supplier/ACME", place)
                     for one, place in some]  # fmt: skip
            post.post(_draft(f"lots {first}", tuple(one for one, _ in some), moves))
    return path


def _draft(key: str, facts: tuple[Fact, ...], moves: list[Movement] | None = None) -> Draft:
    signed = Signature("MA", DAY, f"{DAY}T02:00:00Z", DAY)
    return Draft("receive" if moves else "facts", signed, Request(key, digest_of(key)),
                 moves or [], list(facts))  # fmt: skip


def _facts() -> list[Fact]:
    supplier = Supplier("ACME", "Acme")
    facts: list[Fact] = [StaffCode("NU", "nurse"), supplier, place_of_supplier("ACME", "Acme")]
    facts += places_of_site("OT1", "Theatre 1", "theatre") + places_of_site("STORE", "S", "store")
    facts += [Item(code, code, "fluids", "each", 0) for code in CONSUMABLES]
    facts += [
        Item(f"LENS{power_text(p)}", "Lens", "lens", "each", 0, "LENS", p, by_serial=True)
        for p in POWERS
    ]
    lines = [KitLine("lens", (), 1)]
    lines += [KitLine("always", (code,), 1 + n % 3) for n, code in enumerate(CONSUMABLES[:DRAWN])]
    lines += [KitLine("standby", (code,), 1) for code in CONSUMABLES[DRAWN:]]
    for category in ("free", "paid"):
        facts.append(Kit(f"PHACO/{category}", "PHACO", category, None, tuple(lines)))
    facts.append(OperatingList(LIST, DAY, "OT1", "day"))
    return facts + [
        Case(f"C{n:02d}", LIST, n, "patient", f"P-{n}", "left", "PHACO", ("free", "paid")[n % 2],
             None, "SA", "LENS", POWERS[n % LENSES])
        for n in range(1, CASES + 1)
    ]  # fmt: skip


def _lots() -> list[tuple[Lot, str]]:
    """Lots in no order, in theatre and store, their expiries over four years."""
    codes = [*CONSUMABLES, *(f"LENS{power_text(p)}" for p in POWERS)]
    first = date.fromisoformat("2027-03-01")
    return [
        (
            Lot(
                n + 1, (item := codes[n % len(codes)]), f"N{n}",
                f"S{n}" if item.startswith("LENS") else None,
                (first + timedelta(days=n * 977 % 1460)).isoformat(), "day", "2026-12-15", "ACME",
                "bought", (quantity := 1 if item.startswith("LENS") else 4),
                price=100 * quantity, price_quantity=quantity,
            ),
            "OT1" if n % 5 == 0 else "STORE",
        )
        for n in range(LOTS)
    ]  # fmt: skip
