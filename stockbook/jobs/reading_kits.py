"""Reading kits, their versions and differences, and the machines that kits follow."""

from collections import defaultdict
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from stockbook.domain import texts
from stockbook.domain.amounts import quantity_from_text
from stockbook.domain.days import day_from_text
from stockbook.domain.facts import Item, Kit, KitLine, Machine
from stockbook.domain.kit_versions import ANY, version_code
from stockbook.domain.kits import LINE_KINDS, kit_code
from stockbook.domain.rows import Row
from stockbook.errors import InputError
from stockbook.jobs.reading import Reading, optional
from stockbook.ledger.facts import codes
from stockbook.ledger.settings import categories
from stockbook.ledger.stock import lens_models, places_of_kind

NOTHING = ("0", "0.0", "0.00", "0.000")

Of = tuple[str, str, str | None, str | None]
"""Procedure, category, surgeon and first day: one version of a kit."""


def read_kits(reading: Reading) -> None:
    """Kits by procedure and category, whole or as differences, from their first days on."""
    known = (*(category.code for category in categories(reading.db)), ANY)
    models = lens_models(reading.db)
    lines: dict[Of, dict[str, KitLine]] = defaultdict(dict)
    bases = _bases(reading)
    for row in reading.sheet.rows:
        values = reading.row(
            row,
            procedure=lambda t: texts.code(t, "procedure"),
            category=lambda t: texts.one_of(t, known, "category"),
            surgeon=optional(lambda t: texts.code(t, "surgeon")),
            first_day=optional(lambda t: day_from_text(t, "first_day")),
            kind=lambda t: texts.one_of(t, LINE_KINDS, "kind"),
            item=optional(reading.item),
        )
        if not values:
            continue
        of = tuple(values[name] for name in ("procedure", "category", "surgeon", "first_day"))
        line = _kit_line(reading, row, values, models, differs=_differs(of, bases))  # type: ignore[arg-type]
        if line:
            _add_line(reading, row, lines[of], line)  # type: ignore[index]
    for (procedure, category, surgeon, first_day), found in lines.items():
        code = version_code(kit_code(procedure, category, surgeon), first_day)
        made = Kit(code, procedure, category, surgeon, tuple(found.values()), first_day)
        reading.facts.append(made)
    _check_bases(reading, bases)


def _bases(reading: Reading) -> set[str]:
    """The kits without a surgeon that the book or the file has, in whatever version."""
    here = {
        kit_code(row.get("procedure").upper(), row.get("category").lower())
        for row in reading.sheet.rows if not row.get("surgeon")
    }  # fmt: skip
    return here | {code.partition("@")[0] for code in codes(reading.db, Kit)}


def _differs(of: Of, bases: set[str]) -> bool:
    """Whether a kit holds differences: a surgeon's, or a category's from a base for any."""
    procedure, category, surgeon, _ = of
    return surgeon is not None or (category != ANY and kit_code(procedure, ANY) in bases)


def _requirement(kind: str, models: set[str]) -> Callable[[str], str | None]:
    """What the column *requirement* holds beside a kind of line."""

    def parse(text: str) -> str | None:
        if kind == "when" and not text:
            raise InputError("requirement: wanted a word with a line of kind when")
        if kind in ("when", "standby") and text:
            return texts.word(text, "requirement")
        if kind == "with-lens":
            return texts.one_of(
                text, tuple(sorted(m.lower() for m in models)), "requirement"
            ).upper()
        if kind == "with-machine":
            return texts.item_code(text, "requirement")
        if text:
            raise InputError(f"requirement: found {text!r}, wanted none with a line of kind {kind}")
        return None

    return parse


def _kit_line(
    reading: Reading, row: Row, values: dict[str, Any], models: set[str], *, differs: bool
) -> KitLine | None:
    item: Item | None = values["item"]
    kind = values["kind"]
    if (item is None) != (kind == "lens"):
        wanted = "none on the lens line" if item else "an item"
        reading.faults.add(row, "item", f"item: wanted {wanted}")
        return None
    before = len(reading.faults.found)
    requirement = reading.faults.cell(row, "requirement", _requirement(kind, models))
    places = item.unit_places if item else 0
    quantity = 0 if differs and row.get("quantity") in NOTHING else reading.faults.cell(
        row, "quantity", lambda text: quantity_from_text(text, places)
    )  # fmt: skip
    if quantity is None or len(reading.faults.found) > before:
        return None
    return KitLine(kind, (item.code,) if item else (), quantity, requirement)


def _add_line(reading: Reading, row: Row, lines: dict[str, KitLine], line: KitLine) -> None:
    """Rows of one line number are the alternatives of one *one-of* line, in order."""
    number = row.get("line") or f"row {row.number}"
    before = lines.get(number)
    if before is None:
        lines[number] = line
    elif line.kind == before.kind == "one-of" and line.quantity == before.quantity:
        lines[number] = replace(before, items=(*before.items, *line.items))
    else:
        reading.faults.add(row, "line", "line: wanted another number; only one-of lines share one")


def _check_bases(reading: Reading, bases: set[str]) -> None:
    """A surgeon's differences need a kit they differ from; for any category, any kit will do."""
    for row in reading.sheet.rows:
        procedure, category = row.get("procedure").upper(), row.get("category").lower()
        wanted = {kit_code(procedure, category), kit_code(procedure, ANY)}
        some = category == ANY and any(base.startswith(f"{procedure}/") for base in bases)
        if row.get("surgeon") and not some and not wanted & bases:
            words = f"surgeon: wanted differences of a kit; no {kit_code(procedure, category)}"
            reading.faults.add(row, "surgeon", words)


def read_machines(reading: Reading) -> None:
    """Which model of machine stands in which theatre, from which day and through which."""
    theatres = tuple(place.code.lower() for place in places_of_kind(reading.db, "theatre"))
    for row in reading.sheet.rows:
        values: dict[str, Any] | None = reading.row(
            row,
            theatre=lambda t: texts.one_of(t, theatres, "theatre").upper(),
            model=lambda t: texts.item_code(t, "model"),
            first_day=lambda t: day_from_text(t, "first_day"),
            last_day=optional(lambda t: day_from_text(t, "last_day")),
        )
        if not values:
            continue
        code = version_code(f"{values['theatre']}/{values['model']}", values["first_day"])
        if not reading.once(row, "first_day", code):
            continue
        reading.keep(values, reading.known(Machine, code), last_day="last_day")
        if values["last_day"] and values["last_day"] < values["first_day"]:
            reading.faults.add(row, "last_day", "last_day: wanted the first day or a later one")
        reading.facts.append(
            Machine(code, values["model"], values["theatre"], values["first_day"],
                    values["last_day"])
        )  # fmt: skip
