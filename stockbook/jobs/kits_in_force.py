"""The kit that holds for a case: its versions on the list's day, its companions in its theatre."""

import sqlite3
from dataclasses import dataclass

from stockbook.domain.facts import Case, Kit, KitLine, Machine, OperatingList
from stockbook.domain.kit_versions import (
    ANY,
    fits,
    followed,
    layer_codes,
    sourced,
    standing,
    unversioned,
)
from stockbook.domain.kits import Sourced, kit_code
from stockbook.errors import InputError, NoMachine, Refused
from stockbook.ledger.facts import all_of, find
from stockbook.ledger.kits import kit_on


@dataclass(frozen=True, slots=True)
class KitAsked:
    """Whose kit, and for which day."""

    procedure: str
    category: str
    surgeon: str | None
    day: str


def list_of(db: sqlite3.Connection, case: Case) -> OperatingList:
    """The case's list."""
    found = find(db, OperatingList, case.list)
    if found is None:
        raise InputError(f"case {case.code}: its list {case.list} is not in this book.")
    return found


def layers_of(db: sqlite3.Connection, asked: KitAsked) -> list[Kit]:
    """The kits in force that make up one, the base first; none when there is no base."""
    codes = layer_codes(asked.procedure, asked.category, asked.surgeon)
    found = [kit for code in codes if (kit := kit_on(db, code, asked.day))]
    bases = {kit_code(asked.procedure, one) for one in (ANY, asked.category)}
    return found if any(unversioned(kit.code) in bases for kit in found) else []


def asked_for(db: sqlite3.Connection, case: Case) -> KitAsked:
    """What a case asks of the kits."""
    if not case.procedure or not case.category:
        raise Refused(f"case {case.code} has no procedure or category, so it has no kit.")
    return KitAsked(case.procedure, case.category, case.surgeon, list_of(db, case).day)


def whole_kit(db: sqlite3.Connection, case: Case) -> list[Sourced]:
    """Every line of a case's kit on its list's day, for whatever lens and machine."""
    asked = asked_for(db, case)
    layers = layers_of(db, asked)
    if not layers:
        code = kit_code(asked.procedure, asked.category)
        raise Refused(f"case {case.code}: there is no kit {code} on {asked.day}. Import it first.")
    return sourced(layers)


def fitting_lines(db: sqlite3.Connection, case: Case) -> list[Sourced]:
    """The lines of a case's kit that its lens and the machine in its theatre call for."""
    lines = whole_kit(db, case)
    models = machines_for(db, case, [line for line, _ in lines])
    return [one for one in lines if fits(one[0], case.lens_model, models)]


def machines_for(db: sqlite3.Connection, case: Case, lines: list[KitLine]) -> set[str]:
    """The machines that stand in the case's theatre on its day; one has to, if lines follow any."""
    wanted = followed(lines)
    if not wanted:
        return set()
    planned = list_of(db, case)
    there = standing(all_of(db, Machine, theatre=planned.theatre), planned.day)
    if not there & set(wanted):
        raise NoMachine(
            f"case {case.code}: its kit has lines that follow a machine ({', '.join(wanted)}), and "
            f"none of them stands in {planned.theatre} on {planned.day}. Say which does: import "
            "machines."
        )
    return there
