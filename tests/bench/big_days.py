"""What happens at an invented busy site, day by day: deliveries, lists, issues, finishes."""

import random
from collections import Counter, deque
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from stockbook.domain.amounts import value_of_part
from stockbook.domain.entries import MovementRow
from stockbook.domain.facts import (
    Case,
    Fact,
    Item,
    Kit,
    KitLine,
    Lot,
    OperatingList,
    Place,
    StaffCode,
    Supplier,
)
from stockbook.domain.kits import kit_code
from stockbook.domain.lenses import power_text
from stockbook.domain.places import (
    place_of_supplier,
    places_of_site,
    supplier_place,
    trolley_place,
    used_place,
    waste_place,
)

FIRST_DAY = "2023-01-02"
THEATRES = ("OT1", "OT2", "OT3", "OT4")
SUPPLIERS = ("SA", "SB", "SC", "SD", "SE")
MODELS = ("LENA", "LENB", "LENC", "LEND", "LENE")
BY_SERIAL = MODELS[:2]
CATEGORIES = ("free", "paid")
PROCEDURES = ("PHACO", "SICS", "TORIC", "COMBI")
IN_EVERY_KIT, IN_ONE_KIT = 5, 6
HOT_LOT, OTHER_LOT, LENS_LOT = 2000, 250, 10
SHELF_DAYS = 730
STORE = "STORE"


@dataclass(frozen=True, slots=True)
class Size:
    """How large a book: at least so many movements, so many cases a day, so many items."""

    movements: int
    cases_a_day: int = 80
    consumables: int = 95
    powers: int = 41


@dataclass(frozen=True, slots=True)
class Happened:
    """An entry before it is chained: its kind, day and person, its key, document and lines."""

    kind: str
    day: str
    by: str
    key: str
    document: str | None
    moves: Sequence[MovementRow] = ()
    facts: Sequence[Fact] = ()


class Site:
    """The items, kits and places of the invented site."""

    def __init__(self, size: Size) -> None:
        """Everything follows from the size."""
        self.size = size
        self.consumables = [f"ITEM{n:03d}" for n in range(size.consumables)]
        self.lenses = {
            f"{model}{power_text(power)}": (model, power)
            for model in MODELS
            for power in range(1000, 1000 + 50 * size.powers, 50)
        }
        self.items = [*self.consumables, *self.lenses]
        self.kits = {
            kit_code(procedure, category): self._needs(n)
            for n, (procedure, category) in enumerate(
                (p, c) for p in PROCEDURES for c in CATEGORIES
            )
        }
        self.supplier = {item: SUPPLIERS[n % 5] for n, item in enumerate(self.items)}
        self.lot_size = {
            item: LENS_LOT if item in self.lenses else OTHER_LOT for item in self.items
        } | dict.fromkeys(self.consumables[:IN_EVERY_KIT], HOT_LOT)

    def _needs(self, kit: int) -> list[str]:
        others = self.consumables[IN_EVERY_KIT:]
        own = [others[(kit * IN_ONE_KIT + n) % len(others)] for n in range(IN_ONE_KIT)]
        return [*self.consumables[:IN_EVERY_KIT], *dict.fromkeys(own)]

    def facts(self) -> Iterator[Fact]:
        """What a new book has to know before anything moves."""
        yield from (StaffCode("KE", "keeper"), StaffCode("NU", "nurse"))
        for code in SUPPLIERS:
            yield from (Supplier(code, f"Supplier {code}"), place_of_supplier(code, code))
        yield Place(STORE, "Store", "store")
        for code in THEATRES:
            yield from places_of_site(code, f"Theatre {code}", "theatre")
        for n, code in enumerate(self.consumables):
            yield Item(code, f"Consumable {n}", f"class-{n % 8}", "each", 0)
        for code, (model, power) in self.lenses.items():
            yield Item(code, f"Lens {code}", "lens", "each", 0, model, power, model in BY_SERIAL)
        for code, items in self.kits.items():
            procedure, category = code.split("/")
            needs = [KitLine("always", (item,), 1) for item in items]
            yield Kit(code, procedure, category, None, (KitLine("lens", (), 1), *needs))


@dataclass
class Shelf:
    """The store: for each item its lots in the order of their expiry, as [lot, units, value]."""

    lots: dict[str, deque[list[int]]] = field(default_factory=dict)

    def units(self, item: str) -> int:
        """How much lies there of an item."""
        return sum(row[1] for row in self.lots.get(item, ()))

    def put(self, item: str, lot: int, units: int, value: int) -> None:
        """A new lot lies behind those that were there."""
        self.lots.setdefault(item, deque()).append([lot, units, value])

    def take(self, item: str) -> tuple[int, int]:
        """One unit of the first lot leaves with its part of the value (rule 4)."""
        row = self.lots[item][0]
        value = value_of_part(row[2], row[1], 1)
        row[1] -= 1
        row[2] -= value
        if not row[1]:
            self.lots[item].popleft()
        return row[0], value

    def back(self, item: str, lot: int, value: int) -> None:
        """A unit lies with its lot again, or first when none of its lot was left."""
        found = next((row for row in self.lots[item] if row[0] == lot), None)
        if found is None:
            self.lots[item].appendleft([lot, 1, value])
        else:
            found[1] += 1
            found[2] += value


class Days:
    """The site's days in order; `shelf`, `ended` and `staged` are where everything is by then."""

    def __init__(self, size: Size) -> None:
        """Nothing has happened; the same size gives the same days."""
        self.site = Site(size)
        self.shelf = Shelf()
        self.ended: list[tuple[str, str, int, int, int]] = []
        self.staged: list[tuple[str, str, int, int, int]] = []
        self.lots = self.cases = self.moved = 0
        self._dice = random.Random(1)  # noqa: S311 invented days, no secret

    def entries(self) -> Iterator[Happened]:
        """Working days until enough has moved, then a day whose lists are planned and no more."""
        day, enough = date.fromisoformat(FIRST_DAY), self.site.size.movements
        while self.moved < enough:
            yield from self._counted(self._day(day.isoformat()))
            day += timedelta(days=3 if day.weekday() == 4 else 1)
        planned, plan = self._lists(day.isoformat())
        yield from self._counted(self._deliveries(day.isoformat(), planned))
        yield from self._counted([plan])
        yield from self._counted([self._issue(planned[0], day.isoformat(), last=True)])

    def _counted(self, entries: Iterable[Happened]) -> Iterator[Happened]:
        for entry in entries:
            self.moved += len(entry.moves)
            yield entry

    def _day(self, day: str) -> Iterator[Happened]:
        cases, plan = self._lists(day)
        yield from self._deliveries(day, cases)
        yield plan
        for case in cases:
            issued = self._issue(case, day)
            yield issued
            yield self._finish(case, issued)

    def _lists(self, day: str) -> tuple[list[Case], Happened]:
        """The cases of the day's lists, and the entry that plans them."""
        count = self.site.size.cases_a_day
        cases = [self._case(day, n * len(THEATRES) // count, n) for n in range(count)]
        lists = [OperatingList(f"{day}-{t}", day, t, "all") for t in THEATRES]
        facts = (*lists, *cases)
        return cases, Happened("facts", day, "MA", f"import/lists/{day}", f"{day}.csv", (), facts)

    def _case(self, day: str, theatre: int, position: int) -> Case:
        self.cases += 1
        code = self._dice.choice(list(self.site.lenses))
        model, power = self.site.lenses[code]
        return Case(
            f"C{self.cases:06d}", f"{day}-{THEATRES[theatre]}", position + 1, "patient",
            f"P-{self.cases:06d}", ("left", "right")[self.cases % 2],
            self._dice.choice(PROCEDURES), self._dice.choice(CATEGORIES), None, None, model, power,
        )  # fmt: skip

    def needs(self, case: Case) -> list[str]:
        """The items of a case's kit, its lens first."""
        lens = f"{case.lens_model}{power_text(case.power or 0)}"
        return [lens, *self.site.kits[kit_code(case.procedure or "", case.category or "")]]

    def _deliveries(self, day: str, cases: Sequence[Case]) -> Iterator[Happened]:
        """An entry for each supplier who fills what the day's lists would drain."""
        wanted = Counter(item for case in cases for item in self.needs(case))
        if not self.lots:
            wanted.update(dict.fromkeys(self.site.items, 1))
        short: dict[str, list[str]] = {}
        for item, units in sorted(wanted.items()):
            if self.shelf.units(item) < units + 2:
                short.setdefault(self.site.supplier[item], []).append(item)
        for supplier, items in sorted(short.items()):
            yield self._delivery(day, supplier, items, wanted)

    def _delivery(
        self, day: str, supplier: str, items: list[str], wanted: Counter[str]
    ) -> Happened:
        lots = [lot for item in items for lot in self._new_lots(item, day, supplier, wanted[item])]
        origin = supplier_place(supplier)
        moves: list[MovementRow] = [
            (lot.code, lot.quantity, lot.price or 0, origin, STORE, None, None, 1) for lot in lots
        ]
        note = f"N-{day}"
        key = f"receive/{supplier}/{note}/0"
        return Happened("delivery", day, "KE", key, note, moves, lots)

    def _new_lots(self, item: str, day: str, supplier: str, wanted: int) -> Iterator[Lot]:
        """One lot, or as many as there are serials; every tenth consumable is a gift."""
        size = self.site.lot_size[item]
        size = max(size, wanted + 2)
        serial = self.site.lenses.get(item, ("",))[0] in BY_SERIAL
        expires = (date.fromisoformat(day) + timedelta(days=SHELF_DAYS)).isoformat()
        number = f"{item}-{self.lots + 1}"
        for _ in range(size if serial else 1):
            self.lots += 1
            units = 1 if serial else size
            price = None if item.endswith("9") else units * 100 + self._dice.randrange(50 * units)
            self.shelf.put(item, self.lots, units, price or 0)
            yield Lot(
                self.lots, item, number, f"S{self.lots}" if serial else None, expires, "day", day,
                supplier, "bought" if price else "donated", units, f"N-{day}", price,
                units if price else None, shadow_value=0 if price else 100 * units,
            )  # fmt: skip

    def _issue(self, case: Case, day: str, *, last: bool = False) -> Happened:
        """One unit of every item of the kit onto the trolley; the lens is seen."""
        trolley = trolley_place(case.list[len(day) + 1 :])
        moves: list[MovementRow] = []
        for n, item in enumerate(self.needs(case)):
            lot, value = self.shelf.take(item)
            moves.append((lot, 1, value, STORE, trolley, case.code, None, int(n == 0)))
        if last:
            self.staged = [(case.code, trolley, lot, 1, value) for lot, _, value, *_ in moves]
        return Happened("issue", day, "NU", f"issue/{case.code}/0", case.code, moves)

    def _finish(self, case: Case, issued: Happened) -> Happened:
        """Of every twentieth case one unit is wasted, of every other twentieth one comes back."""
        number = int(case.code[1:])
        used, waste = used_place(case.category), waste_place(case.category)
        moves: list[MovementRow] = []
        for n, (lot, units, value, _, trolley, code, _, seen) in enumerate(issued.moves):
            to, reason = used, None
            if n == 1 and number % 20 == 0:
                to, reason = waste, "dropped"
            elif n == 1 and number % 20 == 10:
                to = STORE
                self.shelf.back(self.needs(case)[n], lot, value)
            if to != STORE:
                self.ended.append((case.code, to, lot, units, value))
            moves.append((lot, units, value, trolley, to, code, reason, seen))
        return Happened("finish", issued.day, "NU", f"finish/{code}/0", code, moves)
