"""Which kit holds for a case: versions by their first day, differences laid over a base."""

from collections.abc import Collection, Sequence

from stockbook.domain.facts import Kit, KitLine, Machine
from stockbook.domain.kits import Sourced, kit_code, laid_over

ANY = "any"
"""The category word of a base kit: what every category's kit differs from."""


def version_code(code: str, first_day: str | None) -> str:
    """The code of a kit's version.

    >>> version_code("PHACO/paid", "2027-03-01"), version_code("PHACO/paid", None)
    ('PHACO/paid@2027-03-01', 'PHACO/paid')
    """
    return f"{code}@{first_day}" if first_day else code


def unversioned(code: str) -> str:
    """The code of a kit without its version."""
    return code.partition("@")[0]


def layer_codes(procedure: str, category: str, surgeon: str | None) -> list[str]:
    """The kits that make up a case's kit, each laid over the ones before it."""
    surgeons = (None, surgeon) if surgeon else (None,)
    return [kit_code(procedure, one, who) for who in surgeons for one in (ANY, category)]


def sourced(layers: Sequence[Kit]) -> list[Sourced]:
    """The lines of a base and of the differences laid over it in turn, each with its kit's code."""
    lines: list[Sourced] = []
    for kit in layers:
        lines = laid_over(lines, kit.lines, kit.code)
    return lines


def standing(machines: Sequence[Machine], day: str) -> set[str]:
    """The models that stand somewhere on a day: from their first day through their last."""
    return {m.model for m in machines if m.first_day <= day <= (m.last_day or day)}


def followed(lines: Sequence[KitLine]) -> list[str]:
    """The models of machines that lines follow."""
    return sorted({str(line.requirement) for line in lines if line.kind == "with-machine"})


def fits(line: KitLine, lens_model: str | None, machines: Collection[str]) -> bool:
    """Whether a line is about a case with this lens model in a theatre with these machines.

    A companion follows its lens or its machine; a line *per list* is the list's, not the case's.
    """
    if line.kind == "with-lens":
        return line.requirement == lens_model
    if line.kind == "with-machine":
        return line.requirement in machines
    return line.kind != "per-list"
