"""The plan of one case: read as a row of a list's file, and what may still change of it."""

import sqlite3
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import replace

from stockbook.domain.entries import Signature
from stockbook.domain.facts import Case, Lot
from stockbook.domain.kits import Need, needs_of, wants_lens
from stockbook.domain.lenses import power_text
from stockbook.domain.picking import Wish, terms_against
from stockbook.domain.places import trolley_place
from stockbook.domain.rows import Faults, Row, Sheet
from stockbook.errors import InputError, Refused
from stockbook.jobs.finding import known_list
from stockbook.jobs.import_kinds import KINDS
from stockbook.jobs.one_fact import check_faults
from stockbook.jobs.plan_checks import check_kit, check_power
from stockbook.jobs.preparing import kit_of, lens_of, list_of
from stockbook.jobs.reading import Reading
from stockbook.jobs.reading_lists import read_plan
from stockbook.ledger.cases import case_rows, kinds_recorded
from stockbook.ledger.stock import lots_by_code

EMPTIED_BY = "none"
"""What is typed to leave an optional field empty."""

_OPTIONAL = frozenset({"sponsor", "surgeon", "lens_model", "power", "needs", "sponsor_number"})


def planned(
    db: sqlite3.Connection, sign: Signature, code: str, given: Mapping[str, str],
    known: Case | None, *, done: bool = False,
) -> Case:  # fmt: skip
    """The case with what is given (column and text, as in a list's file); the rest as it was.

    Of a case that is `done` the words of its kit are no matter: nothing is issued to it any more.
    """
    typed = {
        column: "" if text == EMPTIED_BY and column in _OPTIONAL else text
        for column, text in given.items()
    }
    row = {**(_row(known) if known else {}), **typed, "case": code}
    _check_complete(row)
    of = known_list(db, row["list"])
    row |= {"list": of.code, "day": of.day, "theatre": of.theatre, "part": of.part}
    sheet = Sheet("case", tuple(row), (Row(1, row),))
    reading = Reading(db, sheet, Faults(sheet), sign)
    read_plan(reading, check_power if done else check_kit)
    check_faults(reading)
    made = next(fact for fact in reading.facts if isinstance(fact, Case))
    words = tuple(dict.fromkeys(row.get("needs", "").split()))
    return replace(made, needs=words, cancelled=bool(known and known.cancelled))


def _row(case: Case) -> dict[str, str]:
    """A case as the row of a list's file."""
    return {
        "list": case.list, "position": str(case.position), "patient": case.patient or "",
        "eye": case.eye or "", "procedure": case.procedure or "", "category": case.category or "",
        "sponsor": case.sponsor or "", "surgeon": case.surgeon or "",
        "lens_model": case.lens_model or "",
        "power": "" if case.power is None else power_text(case.power),
        "needs": " ".join(case.needs), "sponsor_number": case.sponsor_number or "",
    }  # fmt: skip


def _check_complete(row: Mapping[str, str]) -> None:
    wanted = [c for c in KINDS["lists"].required if c not in ("day", "theatre", "case")]
    missing = [f"--{column}" for column in wanted if not row.get(column)]
    if missing:
        raise InputError(f"case {row['case']}: give also {', '.join(missing)}.")


def check_staged(db: sqlite3.Connection, was: Case, now: Case) -> None:
    """A case whose kit is on the trolley changes only in what leaves that kit right."""
    entry = kinds_recorded(db, was.code).get("issue", 0)
    trolley = trolley_place(list_of(db, was).theatre)
    staged = f"case {was.code}: its kit is on {trolley} (entry {entry})"
    if list_of(db, was).theatre != list_of(db, now).theatre:
        raise Refused(
            f"{staged}. To operate in another theatre bring it back first: "
            f"'case cancel {was.code}', then 'case change {was.code} --again --list LIST'."
        )
    if kit_needs(db, was) != kit_needs(db, now):
        raise Refused(
            f"{staged} and would be wrong. Use 'case convert {was.code} PROCEDURE', "
            f"'issue {was.code} --with WORD', or 'case cancel {was.code}' and issue anew."
        )
    against = against_terms(lots_of_case(db, was.code), now)
    if against and (was.category, was.sponsor) != (now.category, now.sponsor):
        raise Refused(
            f"{staged} and {against[0]}. Give it back first: 'case cancel {was.code}', or finish "
            "the case with another --lot."
        )


def kit_needs(db: sqlite3.Connection, case: Case) -> Counter[Need] | None:
    """What the case's kit asks for; none where there is no kit or its lens is not known."""
    try:
        kit = kit_of(db, case)
        lens = lens_of(db, case).code if wants_lens(kit.lines) else ""
    except (Refused, InputError):
        return None
    return Counter(needs_of(kit.lines, case.needs, lens))


def lots_of_case(db: sqlite3.Connection, code: str) -> list[Lot]:
    """Every lot that lies on the trolley for a case, or that it used or wasted."""
    lots = lots_by_code(db, {row.lot for row in case_rows(db, code)})
    return [lots[code] for code in sorted(lots)]


def against_terms(lots: Iterable[Lot], case: Case) -> list[str]:
    """What the terms of these lots have against the case's category and sponsor, in words."""
    wish = Wish("", (), case.category, case.sponsor)
    found = ((lot, terms_against(lot, wish)) for lot in lots)
    return [f"{lot.item} lot {lot.number} is {why}" for lot, why in found if why]
