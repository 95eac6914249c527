"""What a scanned act records of a sitting's current case: finished, cancelled, converted, rescued.

Each is an entry (or several) inside the transaction of the scan.
"""

import sqlite3
from collections.abc import Sequence
from dataclasses import replace

from stockbook.domain.amounts import plural
from stockbook.domain.case_changes import CancelAsked, ConvertAsked
from stockbook.domain.entries import Signature
from stockbook.domain.facts import Case
from stockbook.domain.finishing import Scanned
from stockbook.domain.kits import wants_lens
from stockbook.domain.records import FinishedCase
from stockbook.domain.sitting import FOR_NEXT, Reply, Said, Sitting
from stockbook.errors import InputError, Refused
from stockbook.jobs.case_cancel import cancel
from stockbook.jobs.case_convert import convert
from stockbook.jobs.finding import known_case, known_item, lens_item
from stockbook.jobs.finish import FinishAsked, finish_within
from stockbook.jobs.list_lines import open_list_case
from stockbook.jobs.preparing import is_served, kit_of
from stockbook.jobs.rescue import rescue
from stockbook.jobs.theatre_scans import check_lens, staged_of
from stockbook.ledger.cases import cases_of_list, kinds_recorded, last_of_case, recorded_of_cases
from stockbook.ledger.posting import Posting

Step = tuple[Sitting, Reply]


def current(db: sqlite3.Connection, sitting: Sitting) -> Case:
    """The current case, as long as nobody else finished, cancelled or moved it meanwhile."""
    if sitting.case is None:
        raise InputError("no case is current. Scan its strip first.")
    case = known_case(db, sitting.case)
    why = why_over(db, sitting, case)
    if why:
        waiting = len(sitting.of_case(case.code))
        then = f"UNDO drops its {plural(waiting, 'scan')}." if waiting else "Scan another strip."
        raise Refused(f"case {case.code} {why} meanwhile. {then}")
    return case


def why_over(db: sqlite3.Connection, sitting: Sitting, case: Case) -> str | None:
    """Why nothing more of a case is recorded at this sitting, in words; none if it may be."""
    if case.list != sitting.list:
        return f"is of list {case.list}, not of {sitting.list}"
    if case.cancelled:
        return "is cancelled"
    number = kinds_recorded(db, case.code).get("finish")
    return f"is finished (entry {number})" if number else None


def finish_current(post: Posting, signature: Signature, sitting: Sitting, _: Said) -> Step:
    """The current case is finished: what was not scanned was used as issued.

    With the last case of the list ends what the list used in common.
    """
    case = current(post.db, sitting)
    if sitting.act in FOR_NEXT:
        raise InputError(f"{sitting.act} waits for what it is about. Scan that, or UNDO.")
    units = sitting.of_case(case.code)
    _check_lens_still(post.db, case, units)
    if sitting.act != "NEXT" and _has_no_lens(post.db, case, units):
        words = f"{case.code} HAS NO LENS. Scan the lens; if none was implanted, NEXT once more."
        return sitting.waiting_for("NEXT"), Reply(words)
    done = [
        finish_within(post, signature, case, FinishAsked(scanned=units, early=True)),
        *_in_common(post, signature, sitting.list),
    ]
    words = " ".join(_finished(one) for one in done)
    warnings = [words for one in done for words in one.warnings]
    return sitting.recorded(case.code), Reply(" ".join([words, *warnings]))


def _finished(done: FinishedCase) -> str:
    return f"{done.case.code} finished, entry {done.entry}."


def _check_lens_still(db: sqlite3.Connection, case: Case, units: Sequence[Scanned]) -> None:
    """The lens that was scanned is still the planned one: a plan may change after the scan."""
    for item in {unit.item for unit in units if unit.what == "used"}:
        check_lens(db, case, known_item(db, item))


def _has_no_lens(db: sqlite3.Connection, case: Case, units: Sequence[Scanned]) -> bool:
    """Whether a case that was issued, and whose kit takes a lens, would end without any."""
    if case.lens_model is None or case.power is None:
        return False
    own = lens_item(db, case.lens_model, case.power)
    lenses = [unit for unit in units if unit.item == own.code]
    if any(unit.what == "used" for unit in lenses):
        return False
    if "issue" in kinds_recorded(db, case.code):
        there = sum(quantity for _, quantity in staged_of(db, case, own.code))
    else:
        there = 10**own.unit_places  # the kit that is issued first
    return there <= sum(unit.quantity for unit in lenses) and wants_lens(kit_of(db, case).lines)


def _in_common(post: Posting, signature: Signature, code: str) -> list[FinishedCase]:
    """With the last case of a list ends what it used in common, if any of them took place."""
    own = open_list_case(post.db, code)
    if own is None:
        return []
    cases = [case.code for case in cases_of_list(post.db, code) if is_served(case)]
    kinds = recorded_of_cases(post.db, cases).values()
    if not kinds or any("finish" not in recorded for recorded in kinds):
        return []
    return [finish_within(post, signature, own, FinishAsked(early=True))]


def cancel_current(post: Posting, signature: Signature, sitting: Sitting, _: Said) -> Step:
    """The current case is cancelled: packs that were scanned are waste, the rest goes back."""
    case = current(post.db, sitting)
    if sitting.act in FOR_NEXT:
        raise InputError(f"{sitting.act} waits for what it is about. Scan that, or UNDO.")
    units = tuple(
        replace(unit, what="cancelled") if unit.what == "used" else unit
        for unit in sitting.of_case(case.code)
    )
    wasted = sum(unit.what != "returned" for unit in units)
    done = cancel(post, replace(signature, reason=None), case, CancelAsked(scanned=units))
    words = f"{case.code} cancelled, entry {done.entry}; {plural(wasted, 'pack')} wasted."
    common = [_finished(one) for one in _in_common(post, signature, sitting.list)]
    return sitting.recorded(case.code), Reply(" ".join([words, *common, *done.warnings]))


def convert_current(post: Posting, signature: Signature, sitting: Sitting, what: Said) -> Step:
    """The current case is another procedure; what its kit needs besides lies on the trolley."""
    case = current(post.db, sitting)
    if sitting.act != "CONVERT":
        raise InputError(f"{what.word}: scan CONVERT before the kit of another procedure.")
    done = convert(post, replace(signature, reason=None), case, ConvertAsked(what.word))
    if done.entry is None:
        return sitting.at(case.code), Reply(f"{case.code} is {case.procedure} already.")
    words = [f"{case.code} is {done.case.procedure} now, entry {done.entry}.", *done.warnings]
    return sitting.at(case.code), Reply(" ".join(words), done.case)


def rescue_current(post: Posting, signature: Signature, sitting: Sitting, what: Said) -> Step:
    """The rescue kit lies on the current case's trolley; why is said later.

    A scanner that read twice issues one: a second kit is asked for once more.
    """
    case = current(post.db, sitting)
    before = last_of_case(post.db, case.code, "rescue")
    if before and sitting.act != "RESCUE":
        words = f"{case.code} has a rescue kit (entry {before}). Another one: RESCUE once more."
        return sitting.waiting_for("RESCUE"), Reply(words)
    done = rescue(post, replace(signature, reason=None), case, what.argument)
    short = [f"{row.item} short by {row.short}." for row in done.missing]
    words = f"Rescue kit of {case.code}, entry {done.entry}: RETURNED, then each unopened pack."
    after = sitting.at(case.code) if sitting.act == "RESCUE" else sitting
    return after, Reply(" ".join([words, *short]))
