"""A site whose pages are hard to print: hundreds of lots, long words and names, many groups."""

from pathlib import Path

from desk import KITS, PLACES, STAFF, SUPPLIERS, Desk, new_desk

NAME = "Hospital of the Very Long Name & <Sons>, Eye Department, Operating Theatres \\ Stores"
LOTS, SURGEONS, CLASSES = 300, 24, 14
LONG = "TRANSSCLERALFIXATION"
"""A word that no sheet should be widened by."""


def item(number: int) -> str:
    return f"ITEM-{number:03d}-{LONG}"


def lot(number: int) -> str:
    return f"LOT{number:03d}{LONG}"


def _items() -> str:
    head = "item,name,class,unit,unit_places,lens_model,power,serial,least_days_left,controlled\n"
    return head + "".join(
        f"{item(n)},Thing {n} of a long name with many words in it,"
        f"class-{n % CLASSES:02d}-of-{'a-long-name' if n % 2 else 'x'},each,0,,,no,0,no\n"
        for n in range(LOTS)
    )


def _opening() -> str:
    head = "item,place,quantity,lot,serial,expiry,received,total,terms,shadow\n"
    return head + "".join(
        f"{item(n)},{'OT1' if n < CLASSES else 'STORE'},{500 + n},{lot(n)},,2029-01,2026-01-10,"
        f"{1234567 + 1000 * n}.00,bought,\n"
        for n in range(LOTS)
    )


def _kits() -> str:
    head = KITS.partition("\n")[0]
    lines = (f"PHACO,any,,{n + 1},always,{item(n)},{n % 3 + 1}," for n in range(CLASSES))
    return "\n".join([head, *lines, ""])


def _lists() -> str:
    head = "list,day,theatre,part,case,position,patient,eye,procedure,category,sponsor,surgeon,"
    rows = (
        f"L1,2027-03-01,OT1,morning,C{n},{n + 1},P-{n},right,PHACO,"
        f"{'free,CAMP' if n % 3 else 'paid,'},SURGEON-{n % SURGEONS:02d}-{LONG[:6]},,,"
        for n in range(2 * SURGEONS)
    )
    return "\n".join([f"{head}lens_model,power,needs", *rows, ""])


def large_site(folder: Path) -> Desk:
    """The site moved in, its one list of cases finished, a thing wasted for each class."""
    desk = new_desk(folder, site=NAME, founded="2026-01-01")
    files = {
        "suppliers": SUPPLIERS, "places": PLACES, "staff": STAFF, "items": _items(),
        "opening-stock": _opening(), "kits": _kits(), "lists": _lists(),
    }  # fmt: skip
    for kind, text in files.items():
        desk.ok(f"import {kind} {desk.file(f'{kind}.csv', text)} --by MA", today="2026-02-01")
    desk.ok("finish --list L1 --as-kit --by NU -y")
    for n in range(CLASSES):
        desk.ok(f"discard {item(n)} 1 --from OT1 --reason damaged --by KE")
    return desk
