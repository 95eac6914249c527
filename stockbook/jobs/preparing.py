"""What a case needs before a shelf is looked at: its kit, its wish, its theatre."""

import sqlite3
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from stockbook.domain import texts
from stockbook.domain.entries import Signature
from stockbook.domain.facts import Case, Item, Kit, OperatingList
from stockbook.domain.facts import Shelf as ShelfLabel
from stockbook.domain.kits import (
    Need,
    kit_code,
    needs_of,
    requirements_of,
    unknown_requirements,
    wants_lens,
)
from stockbook.domain.list_shares import LIST
from stockbook.domain.picking import Shelf, Wish, why_not_usable
from stockbook.errors import InputError, Refused
from stockbook.jobs.finding import known_item, lens_item, quantity_of, shown
from stockbook.jobs.kits_in_force import fitting_lines
from stockbook.jobs.kits_in_force import list_of as list_of
from stockbook.jobs.list_lines import lines_of_list
from stockbook.ledger.cases import times_cancelled
from stockbook.ledger.facts import all_of
from stockbook.ledger.posting import natural_key
from stockbook.ledger.stock import items_by_code, on_hand, places_of_kind, quarantines


@dataclass(frozen=True, slots=True)
class Prepared:
    """A case ready to be planned against a shelf."""

    case: Case
    day: str
    theatre: str
    needs: tuple[Need, ...]
    wish: Wish
    requirements: tuple[str, ...]
    kit: bool = True
    rest: bool = False
    items: Mapping[str, Item] = field(default_factory=dict)


class Shared:
    """What the cases of one transaction share, read once."""

    def __init__(self, db: sqlite3.Connection) -> None:
        """Read what every case needs; lists and items as they are asked for."""
        self._db = db
        self.stores = tuple(place.code for place in places_of_kind(db, "store"))
        self.quarantines = tuple(quarantines(db))
        self._lists: dict[str, OperatingList] = {}
        self._items: dict[str, Item] = {}
        self._kits: dict[tuple[str | None, ...], Kit] = {}
        self._lenses: dict[tuple[str | None, int | None], Item] = {}
        self._needs: dict[tuple[int, frozenset[str], str], list[Need]] = {}

    def kit_of(self, case: Case) -> Kit:
        """The case's kit as its list's day, its surgeon, its lens and its theatre's machine ask."""
        asked = (case.procedure, case.category, case.surgeon, case.list, case.lens_model)
        if asked not in self._kits:
            self._kits[asked] = kit_of(self._db, case)
        return self._kits[asked]

    def lens_of(self, case: Case) -> Item:
        """The item that is the case's own lens."""
        asked = (case.lens_model, case.power)
        if asked not in self._lenses:
            self._lenses[asked] = lens_of(self._db, case)
        return self._lenses[asked]

    def needs_of(self, kit: Kit, requirements: frozenset[str], lens: str) -> list[Need]:
        """What a kit asks for with these requirements and this lens."""
        asked = (id(kit), requirements, lens)
        if asked not in self._needs:
            self._needs[asked] = needs_of(kit.lines, requirements, lens)
        return self._needs[asked]

    def list_of(self, case: Case) -> OperatingList:
        """The case's list."""
        if case.list not in self._lists:
            self._lists[case.list] = list_of(self._db, case)
        return self._lists[case.list]

    def items(self, codes: Collection[str]) -> dict[str, Item]:
        """The items of these codes."""
        new = [code for code in codes if code not in self._items]
        if new:
            self._items |= items_by_code(self._db, new)
        return {code: self._items[code] for code in codes if code in self._items}


def prepare(
    db: sqlite3.Connection, signature: Signature, case: Case, requirements: Sequence[str], *,
    extras: Sequence[tuple[str, str]] = (), kit: bool = True, rest: bool = False,
    lens: bool = True, shared: Shared | None = None,
) -> Prepared:  # fmt: skip
    """The case's needs: its kit with requirements, what an earlier issue lacked, extras.

    With `lens` false its own lens is left out, for a question about a case that has none yet.
    """
    wanted = tuple(texts.word(r, "requirement") for r in requirements)
    shared = shared or Shared(db)
    needs = list(
        _kit_needs(db, case, wanted, shared, lens=lens) if kit else _added_needs(db, case, wanted)
    )
    if rest:
        needs += [Need((gap.item,), gap.quantity) for gap in case.missing]
    for text, amount in extras:
        item = known_item(db, text)
        needs.append(Need((item.code,), quantity_of(item, amount)))
    theatre = shared.list_of(case).theatre
    items = shared.items({item for need in needs for item in need.items})
    wish = wish_for(signature, case, theatre, items, shared)
    return Prepared(
        case, signature.happened_on, theatre, tuple(needs), wish, wanted, kit, rest, items
    )


def wish_for(
    signature: Signature, case: Case, theatre: str, items: Mapping[str, Item], shared: Shared
) -> Wish:
    """Picking for this case: its theatre first, then the stores, as at the day it happens."""
    least = {code: item.least_days_left for code, item in items.items()}
    day = signature.happened_on
    stopped = [one for one in shared.quarantines if one.started_on <= day]
    places = (*([theatre] if theatre else ()), *shared.stores)
    return Wish(day, places, case.category, case.sponsor, least, stopped)


def _kit_needs(
    db: sqlite3.Connection, case: Case, wanted: Sequence[str], shared: Shared, *, lens: bool
) -> list[Need]:
    if case.kind == LIST:
        return [Need(items, quantity) for items, quantity in lines_of_list(db, case.list)]
    kit = shared.kit_of(case)
    requirements = {*case.needs, *wanted}
    _check_requirements(case, kit, requirements)
    if not lens:
        lines = [line for line in kit.lines if line.kind != "lens"]
        return needs_of(lines, requirements, "")
    own = shared.lens_of(case).code if wants_lens(kit.lines) else ""
    return shared.needs_of(kit, frozenset(requirements), own)


def _added_needs(db: sqlite3.Connection, case: Case, wanted: Sequence[str]) -> list[Need]:
    """What requirements named after the kit's issue add to it."""
    added = [r for r in wanted if r not in case.needs]
    if not added:
        return []
    kit = kit_of(db, case)
    _check_requirements(case, kit, added)
    lines = [line for line in kit.lines if line.kind == "when"]
    return needs_of(lines, added, "")


def _check_requirements(case: Case, kit: Kit, requirements: Collection[str]) -> None:
    unknown = unknown_requirements(kit, requirements)
    if unknown:
        known = requirements_of(kit.lines)
        raise InputError(
            f"case {case.code}: kit {kit.code} has no line for {', '.join(unknown)}; "
            f"it knows: {', '.join(known) or 'no requirements'}."
        )


def kit_of(db: sqlite3.Connection, case: Case) -> Kit:
    """The case's kit as its list's day, its surgeon, its lens and its theatre's machine ask."""
    lines = fitting_lines(db, case)
    procedure, category = str(case.procedure), str(case.category)
    own = {source for _, source in lines}
    whose = case.surgeon if any(code.count("/") == 2 for code in own) else None
    return Kit(
        kit_code(procedure, category, whose), procedure, category, whose,
        tuple(line for line, _ in lines),
    )  # fmt: skip


def lens_of(db: sqlite3.Connection, case: Case) -> Item:
    """The item that is the case's own lens model at exactly its power."""
    if case.lens_model is None or case.power is None:
        raise Refused(
            f"case {case.code}: lens model or power unknown. Nothing was issued. "
            "Take them from the signed lens plan; Stockbook never chooses a lens."
        )
    return lens_item(db, case.lens_model, case.power)


def shelf_for(db: sqlite3.Connection, prepared: Sequence[Prepared]) -> Shelf:
    """All that lies on shelves of what these cases need (trolleys are somebody's)."""
    items = {item for p in prepared for need in p.needs for item in need.items}
    places = {p.code for p in places_of_kind(db, "store", "theatre", "quarantine")}
    return Shelf(on_hand(db, items=items, places=places))


def near_text(item: Item, shelf: Shelf, wish: Wish) -> str:
    """Where else there is some, and what lies in reach but must not be used."""
    found = []
    for row in shelf.rows(item.code):
        why = why_not_usable(row.lot, row.place, wish)
        amount = shown(item, row.quantity)
        if why:
            found.append(f"{amount} in {row.place} {why}")
        elif row.place not in wish.places:
            found.append(f"{amount} in {row.place}")
    return "; ".join(found) or "none anywhere"


def in_reach(prepared: Prepared) -> str:
    """The places a case is served from, in words."""
    return " and ".join(prepared.wish.places)


def shelf_labels(
    db: sqlite3.Connection, where: Iterable[tuple[str, str]]
) -> dict[tuple[str, str], str]:
    """The shelf labels of these places and items, as far as there are any."""
    codes = {f"{place}/{item}" for place, item in where}
    return {(s.place, s.item): s.label for s in all_of(db, ShelfLabel, code=sorted(codes))}


def is_served(case: Case) -> bool:
    """Whether a list's issue and finish are about this case: a patient's, not cancelled."""
    return case.kind == "patient" and not case.cancelled


def to_be_served(case: Case) -> Case:
    """The case, unless it is cancelled."""
    if case.cancelled:
        raise Refused(
            f"case {case.code} is cancelled. Take it back with 'case change {case.code} --again'."
        )
    return case


def case_key(db: sqlite3.Connection, act: str, case: str) -> str:
    """The natural key of a case's issue or finish; a case that was cancelled begins anew."""
    return natural_key(db, f"{act}/{case}", times_cancelled(db, case))
