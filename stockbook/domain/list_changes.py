"""What a new operating list changes: the book's cases and the file's compared, case by case."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from stockbook.domain.facts import Case, OperatingList
from stockbook.domain.importing import Alteration, alterations

PLACE_FIELDS = frozenset({"list", "position", "cancelled"})
"""Fields of a case that say where it stands; all others say what is done."""


@dataclass(frozen=True, slots=True)
class Scheduled:
    """A case with the day and theatre of its list."""

    case: Case
    day: str
    theatre: str


@dataclass(frozen=True, slots=True)
class Shift:
    """A case as the book has it and as the file has it."""

    was: Scheduled
    now: Scheduled


@dataclass(frozen=True, slots=True)
class Kept:
    """A case that the file changes and the book leaves as it is, and why."""

    case: str
    why: str


@dataclass(frozen=True, slots=True)
class ListChanges:
    """Cases that are new, taken back, gone, moved, re-sequenced, altered; and those kept."""

    added: tuple[Scheduled, ...] = ()
    again: tuple[Scheduled, ...] = ()
    gone: tuple[Scheduled, ...] = ()
    moved: tuple[Shift, ...] = ()
    resequenced: tuple[Shift, ...] = ()
    altered: tuple[Alteration, ...] = ()
    lists: tuple[Alteration, ...] = ()

    @property
    def none(self) -> bool:
        """Whether the book is already as in the file."""
        return self == ListChanges()


def compare(
    book: Mapping[str, Scheduled], file: Mapping[str, Scheduled], lists: Iterable[Alteration] = ()
) -> ListChanges:
    """What differs, in the file's order; cases gone are those of the book that are not in it.

    A case that is cancelled on both sides is no difference.
    """
    known = [(book[code], now) for code, now in file.items() if code in book]
    shifts = [Shift(was, now) for was, now in known if not now.case.cancelled]
    stay = [shift for shift in shifts if not shift.was.case.cancelled]
    gone = (one for code, one in book.items() if code not in file and not one.case.cancelled)
    return ListChanges(
        added=tuple(now for code, now in file.items() if code not in book),
        again=tuple(shift.now for shift in shifts if shift.was.case.cancelled),
        gone=tuple(gone),
        moved=tuple(shift for shift in shifts if _where(shift.was) != _where(shift.now)),
        resequenced=tuple(shift for shift in stay if _is_resequenced(shift)),
        altered=tuple(a for shift in shifts for a in _altered(shift)),
        lists=tuple(lists),
    )


def _where(one: Scheduled) -> tuple[str, str, str]:
    return one.case.list, one.day, one.theatre


def _is_resequenced(shift: Shift) -> bool:
    same_list = shift.was.case.list == shift.now.case.list
    return same_list and shift.was.case.position != shift.now.case.position


def _altered(shift: Shift) -> list[Alteration]:
    found = alterations(shift.was.case, shift.now.case, 0)
    return [one for one in found if one.field not in PLACE_FIELDS]


def cases_after(book: Mapping[str, Scheduled], file: Mapping[str, Scheduled]) -> dict[str, Case]:
    """Every case as it is once the file is taken: what is gone is cancelled, never deleted."""
    after = {code: replace(one.case, cancelled=True) for code, one in book.items()}
    return after | {code: one.case for code, one in file.items()}


@dataclass(frozen=True, slots=True)
class MissingLens:
    """A case, its lens in words, and why it gets none."""

    case: str
    lens: str
    why: str


@dataclass(frozen=True, slots=True)
class Consequences:
    """What the changes do to lenses: cases without one, lenses freed, spares lost."""

    missing: tuple[MissingLens, ...] = ()
    freed: tuple[str, ...] = ()
    spare_lost: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Taken:
    """What became of a list's file; `waiting` says that a person has to agree first."""

    file: str
    rows: int
    entry: int | None
    changes: ListChanges
    kept: tuple[Kept, ...] = ()
    consequences: Consequences = Consequences()
    waiting: bool = False
    unread: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ListView:
    """A list and its cases in order, each with where it stands."""

    list: OperatingList
    cases: tuple[tuple[Case, str], ...]
    common: str = ""
    """Where its common use stands, once any was issued."""

    def count(self, state: str) -> int:
        """How many of its cases stand there."""
        return sum(found == state for _, found in self.cases)
