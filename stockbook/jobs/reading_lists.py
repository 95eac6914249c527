"""Reading operating lists and their cases."""

import re
from collections.abc import Callable
from typing import Any

from stockbook.domain import texts
from stockbook.domain.amounts import quantity_from_text
from stockbook.domain.days import day_from_text
from stockbook.domain.facts import Case, OperatingList
from stockbook.domain.lenses import power_from_text
from stockbook.domain.rows import Row
from stockbook.errors import InputError
from stockbook.jobs.plan_checks import check_kit
from stockbook.jobs.reading import Reading, optional
from stockbook.ledger.cases import kinds_recorded
from stockbook.ledger.settings import categories, setting
from stockbook.ledger.stock import lens_models, places_of_kind

EYES = ("right", "left")
PARTS = ("morning", "afternoon", "evening", "day")


def _category(reading: Reading) -> Any:
    known = tuple(category.code for category in categories(reading.db))
    return lambda text: texts.one_of(text, known, "category")


def _code(what: str) -> Any:
    return lambda text: texts.code(text, what)


def read_lists(reading: Reading) -> None:
    """Operating lists and their cases; a case that was issued keeps what its issue rested on."""
    read_plan(reading, check=_check_case)


def read_plan(reading: Reading, check: "Check | None" = None) -> None:
    """Operating lists and their cases; a patient is a reference of the site's pattern."""
    lists: dict[str, OperatingList] = {}
    theatres = {place.code for place in places_of_kind(reading.db, "theatre")}
    models = lens_models(reading.db)
    pattern = setting(reading.db, "reference_pattern")
    for row in reading.sheet.rows:
        values = reading.row(
            row,
            list=_code("list"),
            day=lambda t: day_from_text(t, "day"),
            theatre=lambda t: _known(t, theatres, "theatre"),
            part=lambda t: texts.one_of(t or "day", PARTS, "part"),
            case=_code("case"),
            position=lambda t: quantity_from_text(t, 0, "position"),
            patient=lambda t: reference(t, pattern),
            eye=lambda t: texts.one_of(t, EYES, "eye"),
            procedure=_code("procedure"),
            category=_category(reading),
            sponsor=optional(_code("sponsor")),
            surgeon=optional(_code("surgeon")),
            lens_model=optional(lambda t: _known(t, models, "lens_model")),
            power=optional(power_from_text),
            needs=lambda t: tuple(texts.word(w, "needs") for w in t.split()),
            sponsor_number=optional(lambda t: texts.clean_text(t, "sponsor_number", 40)),
        )
        if values and reading.once(row, "case", str(values["case"])):
            case = _add_case(reading, row, values, lists)
            if check:
                check(reading, row, case)
    reading.facts[:0] = list(lists.values())


def _known(text: str, known: set[str], what: str) -> str:
    code = texts.item_code(text, what)
    if code not in known:
        raise InputError(f"{what}: found {text!r}, wanted one of: {', '.join(sorted(known))}")
    return code


def reference(text: str, pattern: str) -> str:
    """A patient's reference of the site's pattern; the book has no field for a name."""
    clean = texts.required_text(text, "patient", 40)
    if re.fullmatch(pattern, clean) is None:
        raise InputError(f"patient: found {text!r}, wanted a reference like {pattern}")
    return clean


_CASE_COLUMNS = ("sponsor", "surgeon", "lens_model", "power", "needs", "sponsor_number")


def _add_case(
    reading: Reading, row: Row, values: dict[str, Any], lists: dict[str, OperatingList]
) -> Case:
    reading.keep(values, reading.known(OperatingList, values["list"]), part="part")
    made = OperatingList(values["list"], values["day"], values["theatre"], values["part"])
    before = lists.setdefault(made.code, made)
    if before != made:
        reading.faults.add(
            row, "list", f"list: wanted the day, theatre and part of its first row ({before.day}, "
            f"{before.theatre}, {before.part})",
        )  # fmt: skip
    known = reading.known(Case, values["case"])
    if known is not None and known.kind != "patient":
        reading.faults.add(
            row, "case", f"case: wanted another code; {known.code} is common use of a {known.kind}"
        )
    reading.keep(values, known, **{c: c for c in _CASE_COLUMNS})
    if (values["lens_model"] is None) != (values["power"] is None):
        reading.faults.add(row, "power", "power: wanted with lens_model, both or neither")
    fewer = known is not None and set(values["needs"]) < set(known.needs)
    if known is not None and fewer and kinds_recorded(reading.db, known.code):
        values["needs"] = known.needs  # requirements named at the issue stay
    case = Case(
        values["case"], made.code, values["position"], "patient", values["patient"],
        values["eye"], values["procedure"], values["category"], values["sponsor"],
        values["surgeon"], values["lens_model"], values["power"], values["needs"],
        known.missing if known else (), known.cancelled if known else False,
        known.minutes if known else None, values["sponsor_number"],
    )  # fmt: skip
    reading.facts.append(case)
    return case


Check = Callable[[Reading, Row, Case], None]
"""Looks at a case that was read, and adds what is wrong to the faults of its row."""


def _check_case(reading: Reading, row: Row, case: Case) -> None:
    """A new or altered case fits its kit and the site's lenses; one that was issued stays."""
    if reading.known(Case, case.code) != case:
        check_kit(reading, row, case)
        _check_begun(reading, row, case)


def _check_begun(reading: Reading, row: Row, case: Case) -> None:
    """A case that was issued keeps what its issue rested on."""
    known = reading.known(Case, case.code)
    if known is not None and known != case and kinds_recorded(reading.db, case.code):
        reading.faults.add(
            row, "case", "case: wanted unchanged; units were issued to it. Reverse the issue first"
        )
