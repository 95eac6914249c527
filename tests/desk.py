"""A desk for tests: one small invented site, its book, and the real commands with their answers."""

import contextlib
import io
import shlex
import sqlite3
from dataclasses import dataclass
from pathlib import Path

from stockbook.cli.context import Session
from stockbook.cli.main import invoke

TODAY = "2027-03-01"

SUPPLIERS = """supplier,name
ACME,Acme Supplies
CART,Cart and Son
LENSCO,Lens Company
"""
PLACES = """place,name,kind
STORE,Main store,store
OT1,Theatre 1,theatre
OT2,Theatre 2,theatre
QUAR,Quarantine shelf,quarantine
"""
STAFF = """staff,name,role
KE,Ken Keeper,keeper
NU,Nora Nurse,nurse
MA,Mara Manager,manager
MB,Milo Manager,manager
FI,Fina Finance,finance
AU,Aud Auditor,auditor
"""
ITEMS = """item,name,class,unit,unit_places,lens_model,power,serial,least_days_left,controlled
VISC,Viscoelastic,viscoelastic,each,0,,,no,0,no
VISC-B,Another viscoelastic,viscoelastic,each,0,,,no,0,no
DYE,Capsule dye,dye,each,0,,,no,1,no
KNIFE,Knife 2.2 mm,blades,each,0,,,no,0,no
IODINE,Povidone-iodine,fluids,ml,1,,,no,0,no
OPIATE,Strong drug,drugs,each,0,,,no,0,yes
CASS,Cassette,cassette,each,0,,,no,0,no
VIT,Vitrector pack,cassette,each,0,,,no,0,no
RINGL+21.00,Lens RINGL +21.00,lens,each,0,RINGL,+21.00,yes,0,no
RINGL+21.50,Lens RINGL +21.50,lens,each,0,RINGL,+21.50,yes,0,no
FLATL+21.00,Lens FLATL +21.00,lens,each,0,FLATL,+21.00,no,0,no
FLATL+21.50,Lens FLATL +21.50,lens,each,0,FLATL,+21.50,no,0,no
"""
PACK_SIZES = """identifier,item,level,units
09521101530001,VISC,each,1
19521101530008,VISC,outer,10
"""
KITS = """procedure,category,surgeon,line,kind,item,quantity,requirement
PHACO,paid,,1,lens,,1,
PHACO,paid,,2,always,KNIFE,1,
PHACO,paid,,3,always,IODINE,2.5,
PHACO,paid,,4,one-of,VISC,2,
PHACO,paid,,4,one-of,VISC-B,2,
PHACO,paid,,5,when,DYE,1,dye
PHACO,paid,,6,standby,VIT,1,
PHACO,paid,SB,1,always,KNIFE,0,
PHACO,paid,SB,2,always,CASS,1,
PHACO,free,,1,lens,,1,
PHACO,free,,2,always,KNIFE,1,
"""
LIST_KITS = """procedure,category,line,kind,item,quantity,requirement
PHACO,paid,1,lens,,1,
PHACO,paid,2,when,DYE,1,dye
PHACO,paid,3,per-list,IODINE,5.0,
PHACO,free,1,lens,,1,
PHACO,free,2,per-list,VISC,2,
"""
"""Kits with lines that a list uses in common."""

LISTS = """list,day,theatre,part,case,position,patient,eye,procedure,category,sponsor,surgeon,lens_model,power,needs
L1,2027-03-01,OT1,morning,C1,1,P-1,right,PHACO,paid,,SA,RINGL,+21.50,
L1,2027-03-01,OT1,morning,C2,2,P-2,left,PHACO,paid,,SA,RINGL,+21.00,dye
L1,2027-03-01,OT1,morning,C3,3,P-3,left,PHACO,free,CAMP,SA,FLATL,+21.50,
L2,2027-03-01,OT2,morning,C4,1,P-4,left,PHACO,paid,,SB,FLATL,+21.00,
L2,2027-03-01,OT2,morning,C5,2,P-5,right,PHACO,free,,SA,,,
"""  # noqa: E501 a row of a file
OPENING = """item,place,quantity,lot,serial,expiry,received,total,terms,shadow
VISC,OT1,1,V1,,2027-06,2027-01-10,100.00,bought,
VISC,STORE,9,V2,,2027-05-31,2027-01-10,900.00,bought,
VISC,STORE,5,V3,,2029-01,2026-11-01,650.00,bought,
VISC-B,STORE,6,W1,,2028-01,2027-01-10,300.00,bought,
DYE,STORE,3,D1,,2028-01,2027-01-10,100.00,bought,
DYE,STORE,2,D0,,2027-02-10,2026-01-10,50.00,bought,
KNIFE,OT1,3,K1,,2028-01,2027-01-10,100.00,bought,
KNIFE,STORE,5,K2,,2028-03,2027-01-10,,bought,
IODINE,OT1,20.5,I1,,2027-09,2027-01-10,41.00,bought,
OPIATE,STORE,4,O1,,2028-01,2027-01-10,80.00,bought,
VIT,OT1,1,T1,,2028-01,2027-01-10,500.00,bought,
RINGL+21.50,STORE,1,R1,S1,2029-01,2027-01-10,2400.00,bought,
RINGL+21.50,STORE,1,R1,S2,2029-01,2027-01-10,2400.00,bought,
RINGL+21.00,STORE,1,R2,S3,2029-01,2027-01-10,2400.00,bought,
FLATL+21.50,STORE,4,F1,,2029-01,2027-01-10,,donated,1200.00
FLATL+21.00,OT2,2,F2,,2029-01,2027-01-10,600.00,bought,
"""
SITE = {
    "suppliers": SUPPLIERS, "places": PLACES, "staff": STAFF, "items": ITEMS,
    "pack-sizes": PACK_SIZES, "kits": KITS, "lists": LISTS, "opening-stock": OPENING,
}  # fmt: skip


@dataclass(frozen=True)
class Answer:
    """What a command said and its exit code."""

    code: int
    out: str
    err: str


@dataclass
class Desk:
    """A book in a folder, and the commands given to it."""

    folder: Path
    today: str = TODAY
    name: str = "book.stockbook"

    @property
    def path(self) -> Path:
        return self.folder / self.name

    def run(self, line: str | list[str], *, today: str | None = None) -> Answer:
        """One command line; file names are taken from the desk's folder when they are there."""
        words = shlex.split(line) if isinstance(line, str) else line
        words = [str(self.folder / w) if (self.folder / w).is_file() else w for w in words]
        day = today or self.today
        surroundings = Session(book=str(self.path), today=day, recorded_at=f"{day}T08:00:00Z")
        out, err = io.StringIO(), io.StringIO()
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            code = invoke(words, surroundings)
        return Answer(code, out.getvalue(), err.getvalue())

    def ok(self, line: str | list[str], *, today: str | None = None) -> str:
        """A command that has to succeed; what it printed."""
        answer = self.run(line, today=today)
        assert answer.code == 0, f"{line}: exit {answer.code}\n{answer.out}\n{answer.err}"
        return answer.out

    def refused(self, line: str | list[str], code: int, *, today: str | None = None) -> str:
        """A command that has to be refused with a code, the book unchanged; what it said."""
        before = self.path.read_bytes() if self.path.is_file() else None
        answer = self.run(line, today=today)
        assert answer.code == code, f"{line}: exit {answer.code}\n{answer.out}\n{answer.err}"
        after = self.path.read_bytes() if self.path.is_file() else None
        assert before == after, f"{line}: refused, but the book changed"
        return answer.err

    def file(self, name: str, text: str) -> str:
        """A file in the desk's folder; its name."""
        (self.folder / name).write_text(text, encoding="utf-8", newline="")
        return name

    def rows(self, sql: str, *values: object) -> list[tuple]:
        """A question put straight to the file, for checking."""
        with contextlib.closing(sqlite3.connect(self.path)) as db:
            return db.execute(sql, values).fetchall()

    def last(self) -> tuple[int, str]:
        """Number and checksum of the last entry."""
        return self.rows("SELECT number, checksum FROM entry ORDER BY number DESC LIMIT 1")[0]

    def on_hand(self, item: str, place: str | None = None) -> dict[tuple[str, str], int]:
        """Finest steps on hand by place and printed lot (or serial)."""
        rows = self.rows(
            "SELECT place, COALESCE(serial, number), on_hand.quantity FROM on_hand "
            "JOIN lot ON lot.code = on_hand.lot WHERE item = ?",
            item,
        )
        return {(p, lot): quantity for p, lot, quantity in rows if place in (None, p)}


def new_desk(
    folder: Path, today: str = TODAY, *, founded: str = "2027-02-01", **names: str
) -> Desk:
    """A desk with an empty book: entry 1 alone."""
    desk = Desk(folder, today)
    words = {"site": "Small Site", "currency": "INR", "time-zone": "Asia/Kolkata"} | names
    line = ["book", "new", "--by", "MA"]
    for name, value in words.items():
        line += [f"--{name}", value]
    desk.ok(line, today=founded)
    return desk


def small_site(folder: Path) -> Desk:
    """A desk with the small site moved in on 2027-02-01."""
    desk = new_desk(folder)
    for kind, text in SITE.items():
        desk.ok(f"import {kind} {desk.file(f'{kind}.csv', text)} --by MA", today="2027-02-01")
    return desk
