"""What is checked of a planned case against its kit and the site's lenses."""

import sqlite3

from stockbook.domain.days import day_from_text
from stockbook.domain.facts import Case, Item
from stockbook.domain.kit_versions import sourced
from stockbook.domain.kits import requirements_of
from stockbook.domain.rows import Row
from stockbook.jobs.kits_in_force import KitAsked, layers_of
from stockbook.jobs.reading import Reading
from stockbook.ledger.facts import all_of


def check_kit(reading: Reading, row: Row, case: Case) -> None:
    """Every requirement has a line in the kit, and no power is finer than the site's lenses.

    A case without a kit is let pass: lists may be brought in before kits.
    """
    unknown = _unknown_needs(reading.db, case, day_from_text(row.values["day"], "day"))
    if unknown:
        reading.faults.add(
            row, "needs", f"needs: wanted words of its kit; no line for {', '.join(unknown)}"
        )
    check_power(reading, row, case)


def check_power(reading: Reading, row: Row, case: Case) -> None:
    """No power is finer than the site's lenses of that model."""
    if case.power is not None and case.power % 50 and not _has_quarters(reading.db, case):
        reading.faults.add(
            row, "power", f"power: wanted half dioptres; no {case.lens_model} here has quarters"
        )


def _unknown_needs(db: sqlite3.Connection, case: Case, day: str) -> list[str]:
    """Words that no line of the case's kit answers on its list's day, which may be a new list."""
    if not case.needs or not case.procedure or not case.category:
        return []
    layers = layers_of(db, KitAsked(case.procedure, case.category, case.surgeon, day))
    known = requirements_of([line for line, _ in sourced(layers)])
    return sorted(set(case.needs) - set(known)) if layers else []


def _has_quarters(db: sqlite3.Connection, case: Case) -> bool:
    items = all_of(db, Item, lens_model=case.lens_model)
    return any(item.power is not None and item.power % 50 for item in items)
