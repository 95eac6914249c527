"""What a list used in common, shared over its cases by a stated key: in reports alone."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

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


def shares_of(
    wholes: Mapping[str, int], cases: Mapping[str, Sequence[tuple[str, str]]]
) -> dict[str, int]:
    """By category, the parts of what lists used in common; `cases` are codes with categories.

    What a list used that no case shares stays common.
    """
    sums: dict[str, int] = {}
    for code, whole in wholes.items():
        sharing = cases.get(code, ())
        parts = shared(whole, [case for case, _ in sharing])
        for case, category in sharing:
            sums[category] = sums.get(category, 0) + parts[case]
    return sums
