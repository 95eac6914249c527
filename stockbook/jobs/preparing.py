"""What a case needs before a shelf is looked at: its kit, its wish, its theatre."""

import sqlite3
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from stockbook.domain import texts
from stockbook.domain.entries import Signature
from stockbook.domain.facts import Case, Item, Kit
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
from stockbook.ledger.facts import all_of
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


def prepare(
    db: sqlite3.Connection, signature: Signature, case: Case, requirements: Sequence[str], *,
    extras: Sequence[tuple[str, str]] = (), kit: bool = True, rest: bool = False,
) -> Prepared:  # fmt: skip
    """The case's needs: its kit with requirements, what an earlier issue lacked, extras."""
    wanted = tuple(texts.word(r, "requirement") for r in requirements)
    needs = list(_kit_needs(db, case, wanted) if kit else _added_needs(db, case, wanted))
    if rest:
        needs += [Need((gap.item,), gap.quantity) for gap in case.missing]
    for text, amount in extras:
        item = known_item(db, text)
        needs.append(Need((item.code,), quantity_of(item, amount)))
    theatre = list_of(db, case).theatre
    items = items_by_code(db, {item for need in needs for item in need.items})
    wish = wish_for(db, signature, case, theatre, items)
    return Prepared(
        case, signature.happened_on, theatre, tuple(needs), wish, wanted, kit, rest, items
    )


def wish_for(
    db: sqlite3.Connection,
    signature: Signature,
    case: Case,
    theatre: str,
    items: Mapping[str, Item],
) -> Wish:
    """Picking for this case: its theatre first, then the stores, as at the day it happens."""
    stores = [place.code for place in places_of_kind(db, "store")]
    least = {code: item.least_days_left for code, item in items.items()}
    return Wish(
        signature.happened_on, (*([theatre] if theatre else ()), *stores), case.category,
        case.sponsor, least, quarantines(db),
    )  # fmt: skip


def _kit_needs(db: sqlite3.Connection, case: Case, wanted: Sequence[str]) -> list[Need]:
    if case.kind == LIST:
        return [Need(items, quantity) for items, quantity in lines_of_list(db, case.list)]
    kit = kit_of(db, case)
    requirements = {*case.needs, *wanted}
    _check_requirements(case, kit, requirements)
    lens = lens_of(db, case).code if wants_lens(kit.lines) else ""
    return needs_of(kit.lines, requirements, lens)


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
