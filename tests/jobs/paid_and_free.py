"""A site where paid cases bear a free one, and reading what a what-if says of it."""

import json

from desk import Desk

HEADER = "procedure,category,surgeon,line,kind,item,quantity,requirement,first_day\n"
KITS = (
    HEADER
    + """PHACO,free,,1,lens,,1,,2027-02-15
PHACO,free,,2,always,KNIFE,1,,2027-02-15
PHACO,free,,3,with-lens,VISC,3,RINGL,2027-02-15
PHACO,free,,4,with-lens,VISC-B,2,FLATL,2027-02-15
"""
)
BOUGHT = """item,place,quantity,lot,serial,expiry,received,total,terms
FLATL+21.50,STORE,4,F5,,2028-12,2027-01-10,1200.00,bought
"""
FOR_C4 = """item,place,quantity,lot,serial,expiry,received,total,terms
CASS,STORE,2,CA,,2028-12,2027-01-10,80.00,bought
IODINE,OT2,10,I2,,2027-09,2027-01-10,20.00,bought
"""
ASKED = "what-if --month 2027-03 --tariff paid 9000 --fixed 1000"


def worked_site(desk: Desk) -> Desk:
    """Two paid cases with RINGL, a free one with FLATL and its companion, all of them bought."""
    desk.ok(f"import kits {desk.file('k.csv', KITS)} --by MA -y")
    desk.ok(f"import opening-stock {desk.file('o.csv', BOUGHT)} --by MA -y", today="2027-02-20")
    for case in ("C1", "C2", "C3"):
        desk.ok(f"finish {case} --as-kit --by NU -y")
    return desk


def rows_of(desk: Desk, line: str) -> dict[tuple[str, str], dict[str, int | None]]:
    """Figures by name and category, in whole numbers."""
    found = json.loads(desk.ok(f"{line} --json"))
    return {
        (row["figure"], row["category"]): {
            name: row.get(f"{name}_minor", row.get(name)) for name in ("now", "what_if")
        }
        for sheet in ("what_if", "what_if_cases") for row in found[sheet]["rows"]
    }  # fmt: skip


def then(desk: Desk, line: str, figure: str, category: str = "") -> int | None:
    return rows_of(desk, line)[figure, category]["what_if"]


def now(desk: Desk, line: str, figure: str, category: str = "") -> int | None:
    return rows_of(desk, line)[figure, category]["now"]


def finish_c4(desk: Desk, more: str = "") -> None:
    """A paid case with FLATL, after its stock came."""
    desk.ok(f"import opening-stock {desk.file('c4.csv', FOR_C4)} --by MA -y", today="2027-02-20")
    desk.ok(f"finish C4 --as-kit {more} --by NU -y")
