"""The standard cost of every kind of case: the kit in force for it, at standard prices."""

import sqlite3
from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass, field

from stockbook.domain.facts import Case, Item, Kit, KitLine, OperatingList
from stockbook.domain.kit_versions import fits, followed, sourced
from stockbook.domain.kits import needs_of, wants_lens
from stockbook.domain.variance import Prices, Standard, UnitPrice, standard_of
from stockbook.errors import NoMachine
from stockbook.jobs.kits_in_force import KitAsked, layers_of, machines_for
from stockbook.ledger.facts import all_of, codes
from stockbook.ledger.variance import priced_lots


@dataclass
class Standards:
    """The standard of every kind of case, worked out once for each."""

    db: sqlite3.Connection
    prices: Prices
    lists: Mapping[str, OperatingList] = field(init=False)
    lenses: Mapping[tuple[str | None, int | None], str] = field(init=False)
    lens_items: frozenset[str] = field(init=False)
    _days: list[str] = field(init=False)
    _lines: dict[tuple[object, ...], tuple[KitLine, ...] | None] = field(default_factory=dict)
    _made: dict[tuple[object, ...], Standard | None] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """What all cases share is read once."""
        lenses = [item for item in all_of(self.db, Item) if item.lens_model is not None]
        self.lists = {one.code: one for one in all_of(self.db, OperatingList)}
        self.lenses = {(one.lens_model, one.power): one.code for one in reversed(lenses)}
        self.lens_items = frozenset(one.code for one in lenses)
        days = (code.partition("@")[2] for code in codes(self.db, Kit))
        self._days = sorted({day for day in days if day})

    @property
    def items(self) -> set[str]:
        """Every item of the standards that were asked for."""
        made = (one for one in self._made.values() if one is not None)
        return {item for one in made for line in one.lines for item, _ in line.quantities}

    def is_lens(self, item: str) -> bool:
        """Whether an item is a lens."""
        return item in self.lens_items

    def of(self, case: Case) -> Standard | None:
        """A case's standard; none where its kit, its lens or its machine is not known."""
        of = self.lists.get(case.list)
        if of is None or not case.procedure or not case.category:
            return None
        lines = self._lines_of(case, of)
        if lines is None:
            return None
        kind = (case.procedure, case.category, case.surgeon, bisect_right(self._days, of.day))
        there = (of.theatre, of.day) if followed(lines) else ()
        key = (*kind, case.lens_model, case.power, case.needs, there)
        if key not in self._made:
            self._made[key] = self._standard(case, lines)
        return self._made[key]

    def _lines_of(self, case: Case, of: OperatingList) -> tuple[KitLine, ...] | None:
        """Every line of the kit in force for a case: the same from one first day to the next."""
        kind = (case.procedure, case.category, case.surgeon, bisect_right(self._days, of.day))
        if kind not in self._lines:
            asked = KitAsked(str(case.procedure), str(case.category), case.surgeon, of.day)
            layers = layers_of(self.db, asked)
            self._lines[kind] = tuple(line for line, _ in sourced(layers)) if layers else None
        return self._lines[kind]

    def _standard(self, case: Case, lines: tuple[KitLine, ...]) -> Standard | None:
        try:
            models = machines_for(self.db, case, list(lines))
        except NoMachine:
            return None
        fitting = [line for line in lines if fits(line, case.lens_model, models)]
        lens = self.lenses.get((case.lens_model, case.power), "")
        if wants_lens(fitting) and not lens:
            return None
        return standard_of(needs_of(fitting, case.needs, lens), lens, self.prices)


def standard_prices(db: sqlite3.Connection, first_day: str, last_day: str) -> Prices:
    """By item its last price before the period; where there is none, its first price in it."""
    found: dict[str, UnitPrice] = {}
    for item, day, price, steps in priced_lots(db, last_day):
        if day < first_day or item not in found:
            found[item] = UnitPrice(price, steps)
    return found
