"""Two symbols of one pack become one scan; only then is judged what belongs together.

Associations: GS1 Syntax Dictionary (`req`, `ex`), for the identifiers that a pack of ours may bear.
"""

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Any

from stockbook.domain.scan_facts import NAMES, Element, Scan
from stockbook.domain.scan_refusals import refusal

_OF_ITEM = (("01",), ("02",), ("8006",), ("8026",))
_ITEM = "01, 02, 8006 or 8026"
_NEEDS: dict[str, tuple[tuple[tuple[str, ...], ...], str]] = {
    "02": ((("37",),), "37"),
    **dict.fromkeys(("10", "11", "13", "15", "16", "20", "240", "241"), (_OF_ITEM, _ITEM)),
    "12": ((("8020",),), "8020"),
    "17": ((*_OF_ITEM, ("255",)), "01, 02, 255, 8006 or 8026"),
    "21": ((("01",), ("8006",)), "01 or 8006"),
    "22": ((("01",),), "01"),
    "235": ((("01",),), "01"),
    "250": ((("01", "21"), ("8006", "21")), "01+21"),
    "30": ((("01",), ("02",)), "01 or 02"),
    "37": ((("00", "02"), ("00", "8026")), "00+02 or 00+8026"),
    "7003": ((("01",), ("02",), ("8006",), ("8026",)), _ITEM),
    "8008": ((("01",), ("02",), ("8006",), ("8026",)), _ITEM),
    **{str(ai): ((("01",),), "01") for ai in range(710, 718)},
}
"""For each AI the sets of which one has to be there, and the words for it."""

_EXCLUDED = (("01", "02"), ("01", "37"), ("21", "235"))
_SENT = ("raw", "scheme", "kind", "symbology", "elements", "warn")
_CARRIED = tuple(name for name in NAMES if name not in _SENT)


def judged(scan: Scan) -> Scan:
    """The scan, whose elements may stand together and have all they need; refused by name."""
    if scan.elements:
        ais = tuple([ai for ai, _ in scan.elements])
        if scan.gtin14 and "01" not in ais and "8006" not in ais:
            ais = ("01", *ais)  # a number alone on the pack's other symbol says the same
        if len(set(ais)) < len(ais):
            _refuse_repeated(scan.elements)
        _refuse_company(ais)
    return scan


@lru_cache(maxsize=1024)
def _refuse_company(ais: tuple[str, ...]) -> None:
    """None excludes another one, and each has what it needs."""
    present = set(ais)
    for pair in _EXCLUDED:
        if present.issuperset(pair):
            raise refusal("AI_EXCLUDED", pair=list(pair))
    for ai in ais:
        need = _NEEDS.get(ai)
        if need and not any(present.issuperset(these) for these in need[0]):
            raise refusal("AI_REQUIRES", ai=ai, needs=need[1])


def _refuse_repeated(elements: Sequence[Element]) -> None:
    """A repeated AI has the same value each time."""
    values: dict[str, str] = {}
    for ai, value in elements:
        if values.setdefault(ai, value) != value and ai != "/":
            raise refusal("AI_REPEATED_DIFFERENT", ai=ai)


def merged(scans: Sequence[Scan]) -> Scan:
    """All symbols of one pack as one scan, judged; each says the same or something new."""
    first, *others = scans
    whole = first
    for other in others:
        whole = _joined(whole, other)
    return judged(whole)


def _joined(one: Scan, other: Scan) -> Scan:
    """Two symbols as one; where both are HIBC, the link is the product's check character."""
    if "own" in (one.scheme, other.scheme):
        raise refusal("SYMBOLS_DISAGREE", field="scheme", values="a code of this site is no pack's")
    new = tuple(e for e in other.elements if e not in one.elements)
    elements = (*one.elements, *new)
    _refuse_repeated(elements)
    _check_link(one, other)
    said: dict[str, Any] = {name: _same(name, one, other) for name in _CARRIED}
    scheme = "gs1" if "gs1" in (one.scheme, other.scheme) else one.scheme
    both = "concatenated" if scheme == "hibc" else "elements"
    kind = one.kind if one.kind == other.kind else both
    warn = tuple(dict.fromkeys((*one.warn, *other.warn)))
    raw = f"{one.raw}\n{other.raw}"
    whole = replace(one, raw=raw, kind=kind, elements=elements, warn=warn, **said)
    return replace(whole, scheme=scheme, symbology=one.symbology or other.symbology)


def _check_link(one: Scan, other: Scan) -> None:
    """A secondary HIBC symbol names the check character of its own primary one."""
    for first, second in ((one, other), (other, one)):
        if first.kind == "secondary" and second.kind == "primary" and first.link != second.check:
            raise refusal("HIBC_LINK_MISMATCH", link=first.link, check=second.check)


def _same(name: str, one: Scan, other: Scan) -> object:
    """The value of the symbol that has one; two that differ are refused."""
    first, second = getattr(one, name), getattr(other, name)
    if first in (None, ()) or second in (None, ()):
        return second if first in (None, ()) else first
    if name in ("check", "link", "hidden_serial", "expiry_precision"):
        return first
    if first != second:
        raise refusal("SYMBOLS_DISAGREE", field=name, values=f"{first}, {second}")
    return first
