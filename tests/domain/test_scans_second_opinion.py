"""A second reader, `biip`, says the same of every valid element string.

It takes the century from the clock, so the years here lie within both windows. Where ours differs
on purpose: see DEVELOPERS.md.
"""

from biip import ParseConfig
from biip.gs1_messages import GS1Message
from hypothesis import given, settings
from hypothesis import strategies as st
from scan_strategies import AS_OF, packs, string_of

from stockbook.domain.scan_elements import GS
from stockbook.domain.scans import read

DATES = {"11": "produced", "15": "best_before", "17": "expiry", "7003": "expiry"}


@settings(max_examples=1000)
@given(packs())
def test_another_reader_finds_the_same(elements: list[tuple[str, str]]) -> None:
    ais = [ai for ai, _ in elements]
    if {"17", "7003"} <= set(ais):  # two expiries: ours takes the earlier
        elements = [e for e in elements if e[0] != "7003"]
    if {"11", "8008"} <= set(ais):  # two days of production: ours takes the first
        elements = [e for e in elements if e[0] != "8008"]
    _same("]d2" + string_of(elements) + GS)


@settings(max_examples=300)
@given(st.permutations(["10LOT-7/a", "21S.1", "17271231", "11260101", "240X"]))
def test_another_reader_finds_the_same_whatever_the_order(parts: list[str]) -> None:
    _same("0109521101530001" + GS.join(parts))


def _same(text: str) -> None:
    """Elements, lot, serial and dates are alike."""
    scan = read(text, AS_OF)
    other = GS1Message.parse(text.removeprefix("]d2"), config=ParseConfig(separator_chars=[GS]))
    found = other.element_strings
    assert [(e.ai.ai, e.value) for e in found] == list(scan.elements)
    for ai, name in (("01", "gtin14"), ("10", "lot"), ("21", "serial"), ("22", "cpv")):
        element = found.get(ai=ai)
        assert getattr(scan, name) == (element.value if element else None)
    for ai, name in DATES.items():
        element = found.get(ai=ai)
        if element is not None and element.date is not None:
            assert str(getattr(scan, name))[:10] == element.date.isoformat()
