"""An invented site with one long day: two theatres, a list of 14 cases in each."""

from pathlib import Path

from desk import Desk

from stockbook.domain.entries import Signature
from stockbook.domain.gtin import check_digit
from stockbook.domain.lenses import power_text
from stockbook.jobs.book import Founding, found_book

DAY, NEXT_DAY, MONTH = "2027-03-01", "2027-03-02", "2027-03"
MOVED_IN = "2027-02-20"
LISTS = {"MON1": "OT1", "MON2": "OT2"}
CASES = {"MON1": tuple(f"A{n:02d}" for n in range(1, 15)),
         "MON2": tuple(f"B{n:02d}" for n in range(1, 15))}  # fmt: skip
POWERS = (2000, 2050, 2100, 2150, 2200)
LENSES_A_POWER = 9
CONSUMABLES = {
    "KNIFE": ("Slit knife", "blades", "each", 0),
    "CRES": ("Crescent knife", "blades", "each", 0),
    "VISC": ("Viscoelastic", "viscoelastic", "each", 0),
    "GLOVE": ("Sterile gloves", "gloves", "pair", 0),
    "IODINE": ("Povidone-iodine", "fluids", "ml", 1),
    "VIT": ("Vitrector pack", "cassette", "each", 0),
    "SUT": ("Nylon suture", "sutures", "each", 0),
    "GOWN": ("Sterile gown", "drapes", "each", 0),
}
KITS = """procedure,category,kind,item,quantity,requirement
PHACO,any,lens,,1,
PHACO,any,always,KNIFE,1,
PHACO,any,always,VISC,1,
PHACO,any,always,GLOVE,2,
PHACO,any,always,IODINE,2.5,
PHACO,any,standby,VIT,1,rupture
PHACO,any,standby,SUT,1,rupture
PHACO,any,per-list,GOWN,4,
SICS,any,lens,,1,
SICS,any,always,CRES,1,
SICS,any,always,VISC,1,
SICS,any,always,GLOVE,2,
SICS,any,always,IODINE,2.5,
SICS,any,per-list,GOWN,4,
"""
STAFF = """staff,name,role
KE,Ken Keeper,keeper
NU,Nora Nurse,nurse
NV,Nina Nurse,nurse
"""
PLACES = """place,name,kind
STORE,Main store,store
OT1,Theatre 1,theatre
OT2,Theatre 2,theatre
"""


def power_of(case: str) -> int:
    """The power of a case's lens: neighbours on a list have different ones."""
    return POWERS[int(case[1:]) % len(POWERS)]


def lens_of(case: str) -> str:
    """The item that is a case's lens."""
    return f"RINGL{power_text(power_of(case))}"


def gtin(item: str) -> str:
    """The number on an item's pack."""
    codes = [*CONSUMABLES, *(f"RINGL{power_text(power)}" for power in POWERS)]
    figures = f"0952{codes.index(item):09d}"
    return figures + check_digit(figures)


def outer(item: str) -> str:
    """The number on a box of ten."""
    figures = "1" + gtin(item)[1:-1]
    return figures + check_digit(figures)


def lens_scan(item: str, serial: str) -> str:
    """What a lens's symbol says."""
    return f"]d201{gtin(item)}1729013121{serial}"


def pack_scan(item: str, lot: str, expiry: str = "280131") -> str:
    """What a consumable's symbol says."""
    return f"]d201{gtin(item)}17{expiry}10{lot}"


def _items() -> str:
    rows = ["item,name,class,unit,unit_places,lens_model,power,serial"]
    rows += [f"{code},{name},{of},{unit},{places},,,no"
             for code, (name, of, unit, places) in CONSUMABLES.items()]  # fmt: skip
    for power in map(power_text, POWERS):
        rows.append(f"RINGL{power},Lens RINGL {power},lens,each,0,RINGL,{power},yes")
    return "\n".join(rows) + "\n"


def _pack_sizes() -> str:
    codes = [*CONSUMABLES, *(f"RINGL{power_text(power)}" for power in POWERS)]
    rows = [f"{gtin(code)},{code},each,{100 if code == 'IODINE' else 1}" for code in codes]
    return "\n".join(["identifier,item,level,units", *rows, f"{outer('VISC')},VISC,outer,10\n"])


def _lists() -> str:
    rows = ["list,day,theatre,part,case,position,patient,eye,procedure,category,lens_model,power"]
    for code, theatre in LISTS.items():
        for position, case in enumerate(CASES[code], start=1):
            category = "free" if position % 3 == 0 else "paid"
            rows.append(
                f"{code},{DAY},{theatre},morning,{case},{position},P-{case},right,PHACO,"
                f"{category},RINGL,{power_text(power_of(case))}"
            )
    rows.append("SUN1,2027-02-28,OT1,morning,Y01,1,P-Y01,left,PHACO,paid,RINGL,+20.00\n")
    return "\n".join(rows)


def _opening() -> str:
    """Two lots of each consumable in each theatre, a third in the store; lenses by serial."""
    rows = ["item,place,quantity,lot,serial,expiry,received,total,terms"]
    for code in CONSUMABLES:
        many = 100 if code in ("GLOVE", "IODINE") else 30
        for n, place in enumerate(("OT1", "OT2", "STORE"), start=1):
            total = f"{many * (n + 7)}.{n}7"
            rows.append(f"{code},{place},{many},{code}-{n},,2028-01-31,2027-01-10,{total},bought")
    for power in map(power_text, POWERS):
        for n in range(1, LENSES_A_POWER + 1):
            serial = f"{power[1:3]}{power[4:]}{n:02d}"
            rows.append(f"RINGL{power},STORE,1,L{power[1:3]}{power[4:]},{serial},2029-01-31,"
                        f"2027-01-10,24{n}.3{n},bought")  # fmt: skip
    return "\n".join(rows) + "\n"


def day_site(folder: Path) -> Desk:
    """A demonstration book of that site: it has its own day, so that no clock is asked about."""
    desk = Desk(folder, DAY)
    founding = Founding("Long Day", "INR", "Asia/Kolkata", demonstration_day=DAY, book_id="d" * 32)
    found_book(desk.path, founding, Signature("MA", MOVED_IN, f"{MOVED_IN}T02:00:00Z", MOVED_IN))
    files = {
        "suppliers": "supplier,name\nACME,Acme Supplies\n", "places": PLACES, "staff": STAFF,
        "items": _items(), "pack-sizes": _pack_sizes(), "kits": KITS, "lists": _lists(),
        "opening-stock": _opening(),
    }  # fmt: skip
    for kind, text in files.items():
        desk.ok(f"import {kind} {desk.file(f'{kind}.csv', text)} --by MA -y", today=MOVED_IN)
    return desk
