"""A book with one item on one shelf, kept by the real commands and read back from its file."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from desk import PLACES, STAFF, SUPPLIERS, Desk, new_desk

ITEM = "GOODS"
ITEMS = f"item,name,class\n{ITEM},Goods of the published case,consumables\n"
MINOR = 100
"""Minor units of the book's currency (USD, two decimals)."""


@dataclass(frozen=True)
class Use:
    """A case that uses so many units on a day."""

    case: str
    day: str
    quantity: int


@dataclass(frozen=True)
class Lot:
    """Units of one printed lot on the shelf when the book begins."""

    number: str
    received: str
    expiry: str
    quantity: int
    unit_cost: int = 1


class OneItemBook:
    """The shelf: deliveries and cases go in by command, figures come out of the ledger."""

    def __init__(self, folder: Path, first_day: str) -> None:
        self.desk: Desk = new_desk(folder, first_day, founded=first_day, currency="USD")
        for kind, text in (
            ("suppliers", SUPPLIERS), ("places", PLACES), ("staff", STAFF), ("items", ITEMS),
        ):  # fmt: skip
            self._import(kind, text, first_day)

    def _import(self, kind: str, text: str, day: str) -> None:
        self.desk.ok(f"import {kind} {self.desk.file(f'{kind}.csv', text)} --by MA -y", today=day)

    def open_with(self, lots: Sequence[Lot], day: str) -> None:
        """The opening stock lies in the store."""
        rows = [
            f"{ITEM},STORE,{lot.quantity},{lot.number},{lot.expiry},{lot.received},"
            f"{lot.quantity * lot.unit_cost}"
            for lot in lots
        ]
        header = "item,place,quantity,lot,expiry,received,total"
        self._import("opening-stock", "\n".join([header, *rows, ""]), day)

    def receive(self, day: str, quantity: int, lot: str, unit_price: int) -> None:
        """A delivery of one lot without an expiry."""
        line = f"{ITEM} {quantity} {lot} - {unit_price}"
        self.desk.ok(f"receive ACME --note N-{lot} --line {line} --by KE -y", today=day)

    def schedule(self, uses: Sequence[Use], day: str) -> None:
        """Each use is a case on a list of its day, with a kit of that many units."""
        kits = ["procedure,category,kind,item,quantity"]
        lists = ["list,day,theatre,case,position,patient,eye,procedure,category"]
        for use in uses:
            kits.append(f"KIT-{use.case},paid,always,{ITEM},{use.quantity}")
            lists.append(f"LIST-{use.case},{use.day},OT1,{use.case},1,P-1,left,KIT-{use.case},paid")
        self._import("kits", "\n".join([*kits, ""]), day)
        self._import("lists", "\n".join([*lists, ""]), day)

    def use(self, use: Use, lot: str | None = None) -> None:
        """The case has its kit, from the named lot or as picked, and used all of it."""
        named = f"--lot {ITEM} {lot}" if lot else ""
        self.desk.ok(f"issue {use.case} {named} --by NU -y", today=use.day)
        self.desk.ok(f"finish {use.case} --as-kit --by NU -y", today=use.day)

    def units_on_hand(self) -> int:
        """How many units lie anywhere."""
        return sum(self.desk.on_hand(ITEM).values())

    def layers(self) -> list[tuple[int, Fraction]]:
        """Units and value (in whole currency) on hand of each lot, in order of receipt."""
        rows = self.desk.rows("SELECT SUM(quantity), SUM(value) FROM on_hand GROUP BY lot")
        return [(quantity, Fraction(value, MINOR)) for quantity, value in rows]

    def used(self) -> tuple[int, Fraction]:
        """Units and value (in whole currency) that the cases used."""
        sql = "SELECT SUM(quantity), SUM(value) FROM movement WHERE to_place LIKE 'used/%'"
        ((quantity, value),) = self.desk.rows(sql)
        return quantity, Fraction(value, MINOR)

    def by_method(self, first: str, last: str, *methods: str) -> dict[str, dict[str, Fraction]]:
        """A period as `cost --method` gives it: figures in whole currency by method."""
        asked = " ".join(f"--method {method}" for method in methods)
        said = self.desk.ok(f"cost --from {first} --to {last} {asked} --json", today=last)
        rows = json.loads(said)["cost_by_method"]["rows"]
        names = ("opening", "received", "used", "differences", "closing")
        return {
            row["method"]: {name: Fraction(row[f"{name}_minor"], MINOR) for name in names}
            for row in rows
        }

    def used_by_month(self) -> dict[str, int]:
        """Units that cases used, by the month in which it happened, where there were any."""
        sql = """SELECT substr(happened_on, 1, 7) AS month, SUM(quantity)
                   FROM movement JOIN entry ON entry.number = movement.entry
                  WHERE to_place LIKE 'used/%' GROUP BY month"""
        return dict(self.desk.rows(sql))

    def received_by_month(self) -> dict[str, int]:
        """Units that suppliers delivered, by the month in which it happened."""
        sql = """SELECT substr(happened_on, 1, 7) AS month, SUM(quantity)
                   FROM movement JOIN entry ON entry.number = movement.entry
                  WHERE from_place LIKE 'supplier/%' GROUP BY month"""
        return dict(self.desk.rows(sql))

    def issued_lots(self) -> list[list[object]]:
        """Printed lot and units of every pick, in the order of picking."""
        sql = """SELECT lot.number, movement.quantity
                   FROM movement JOIN lot ON lot.code = movement.lot
                  WHERE to_place LIKE 'trolley/%' ORDER BY entry, line"""
        return [list(row) for row in self.desk.rows(sql)]

    def verify(self) -> None:
        """The book is sound: chain, facts and balances agree."""
        assert "The book is sound" in self.desk.ok("book verify")
