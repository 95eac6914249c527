"""The second eye: what the first one got, and what both would share on the same day.

Both eyes operated on one day are separate procedures: separate lots of fluids, dye and drugs, so
that one bad lot cannot harm both eyes.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from stockbook.domain.facts import Case, Item, Lot
from stockbook.domain.lenses import power_text

SEPARATE_CLASSES = ("fluids", "dye", "drugs")
"""The classes of which the second eye of a day gets other lots than the first."""


@dataclass(frozen=True, slots=True)
class FirstEye:
    """A case of the same patient's other eye, its day, and what it got of the separate classes."""

    case: Case
    day: str
    got: tuple[tuple[Item, Lot], ...]


def first_eye_words(first: FirstEye) -> str:
    """What the first eye got, in one line."""
    case = first.case
    lens = f"{case.lens_model} {power_text(case.power)}" if case.power is not None else "no lens"
    lots = ", ".join(f"{item.code} {lot.number}" for item, lot in first.got)
    words = f"Other eye: case {case.code}, {case.eye}, {first.day}, {lens}"
    return f"{words}; {lots}." if lots else f"{words}."


def shared_lots(first: FirstEye, day: str, lots: Collection[Lot]) -> list[str]:
    """A warning for each lot that both eyes would get on one day."""
    if first.day != day:
        return []
    got = {lot.code: item for item, lot in first.got}
    found = [lot for lot in lots if lot.code in got]
    return [
        f"{lot.item} lot {lot.number} went to the other eye today (case {first.case.code}); "
        "each eye gets its own lots."
        for lot in sorted(found, key=lambda lot: (lot.item, lot.code))
    ]


def is_other_eye(case: Case, other: Case) -> bool:
    """Whether another case is the same patient's other eye and took or takes place."""
    return (
        other.code != case.code
        and other.patient == case.patient
        and not other.cancelled
        and bool(case.eye and other.eye)
        and other.eye != case.eye
    )


def in_order(found: Sequence[FirstEye]) -> tuple[FirstEye, ...]:
    """The eyes done before, the last one first."""
    return tuple(sorted(found, key=lambda one: (one.day, one.case.code), reverse=True))
