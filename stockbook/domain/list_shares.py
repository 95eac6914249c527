"""What a list used in common, shared over its cases by a stated key: in reports alone."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from stockbook.domain.amounts import spread

LIST = "list"
"""The kind of a case that carries what its list used in common."""

SERVICE = "service"
"""The kind of a case that carries what a ward, a clinic, a wet lab used."""

BY_CASES = "cases"
KEYS = (BY_CASES,)
"""The keys that the setting `list_share` knows: equally over the cases that used anything."""


@dataclass(frozen=True, slots=True)
class ListShare:
    """A case's part of what its list used in common, in minor units."""

    list: str
    key: str
    whole: int
    cases: int
    part: int


def shared(whole: int, cases: Sequence[str]) -> dict[str, int]:
    """What a list used in common over its cases, equally, exact to the minor unit (rule 4).

    >>> shared(100, ["C1", "C2", "C3"])
    {'C1': 33, 'C2': 34, 'C3': 33}
    """
    return dict(zip(cases, spread(whole, [1] * len(cases)), strict=True))


class Part(NamedTuple):
    """A case's part of what its list used in common, in the category it was booked in."""

    list: str
    case: str
    category: str
    value: int


def parts_of(
    wholes: Mapping[str, int], cases: Mapping[str, Sequence[tuple[str, str]]]
) -> list[Part]:
    """Every case's part of what its list used; `cases` are codes with categories.

    What a list used that no case shares stays common.
    """
    found = []
    for code, whole in wholes.items():
        sharing = cases.get(code, ())
        parts = shared(whole, [case for case, _ in sharing])
        found += [Part(code, case, category, parts[case]) for case, category in sharing]
    return found


def shares_of(parts: Iterable[Part], name_of: Callable[[Part], str | None]) -> dict[str, int]:
    """By name, the parts of what lists used in common; what has no name is left out."""
    sums: dict[str, int] = {}
    for part in parts:
        name = name_of(part)
        if name is not None:
            sums[name] = sums.get(name, 0) + part.value
    return sums


def by_category(part: Part) -> str:
    """The category whose case takes a part."""
    return part.category
