"""A strip and a paper form for each case: the fallback when there is no power."""

from collections.abc import Iterator

from stockbook.domain.facts import Case
from stockbook.domain.own_codes import own_code
from stockbook.domain.picking import Draw
from stockbook.domain.ready import COMMON, KIT, STANDBY, Ready, ReadyCase
from stockbook.reports.amounts import amount, expiry, lot_name
from stockbook.reports.html import Safe, el, joined, rows
from stockbook.reports.ready import lens_draws, lens_words, name, operation, state
from stockbook.reports.symbols import symbol

ENDS = ("Used", "Opened, not used", "Returned", "Dropped")
EXTRAS = 5
BLANK = "\u00a0"


def strip(one: ReadyCase, found: Ready) -> Safe:
    """One case to cut out: who, which eye, which lens, what stands beside."""
    lines = [el("tr", el("th", name), el("td", words)) for name, words in _facts(one, found)]
    left = el("div", who(one.case), el("table", *lines, css="facts"), css="left")
    return el("div", left, symbol(own_code("CASE", one.case.code)), css="strip")


def who(case: Case) -> Safe:
    """Whose strip it is: place on the list, reference, eye, room for the second identifier."""
    return el(
        "div",
        el("span", f"{case.list} / {case.position}", css="place"),
        el("strong", case.patient or "no reference", css="reference"),
        el("strong", f"{case.eye.upper()} EYE" if case.eye else "EYE UNKNOWN", css="eye"),
        el("span", "Second identifier:", el("span", BLANK, css="line"), css="second"),
        css="who",
    )


def _facts(one: ReadyCase, found: Ready) -> Iterator[tuple[str, str]]:
    """What stands on a strip, as far as there is any."""
    lens = ", ".join(f"{lot_name(d.lot)} in {d.place}" for d in lens_draws(one, found))
    spare = ", ".join(f"{lot_name(row.lot)} in {row.place}" for row in one.beside)
    facts = {
        "Operation": operation(one),
        "Lens": lens_words(one) or one.waiting.unknown or "none",
        "Presumed": lens,
        "Spare": spare,
        "Alternatives": "; ".join(_alternatives(one)),
        "Standby": "; ".join(_standby(one, found)),
        "Special": ", ".join(one.case.needs),
        "Surgeon": one.case.surgeon or "",
        "State": state(one, found),
    }
    yield from ((name, words) for name, words in facts.items() if words)


def _alternatives(one: ReadyCase) -> Iterator[str]:
    for need in one.waiting.needs:
        if len(need.items) > 1 and not need.standby:
            yield " or ".join(need.items)


def _standby(one: ReadyCase, found: Ready) -> Iterator[str]:
    for need in one.waiting.needs:
        if need.standby:
            units = amount(found.items[need.items[0]], need.quantity)
            yield f"{' or '.join(need.items)} {units}"


def form(one: ReadyCase, found: Ready) -> Safe:
    """The sheet on which a case is recorded by hand, line by line, until it can be typed in."""
    names = ("Item", "Name", "Lot", "Expiry", "Units", *ENDS, "Code")
    top = el("tr", el("th", _title(one), colspan=str(len(names)), css="name"))
    lines = [_line(draw, found) for draw in one.kit] + list(_open_lines(one, found))
    head = el("h2", f"Paper form: {_named(one)}")
    code = symbol(own_code("CASE", one.case.code))
    strip_of = el("div", el("div", who(one.case), css="left"), code, css="strip")
    top_strip = () if one.is_common else (strip_of,)
    return joined(
        head, *top_strip,
        el("table", el("thead", top, rows([names], "th")), el("tbody", rows(lines)), css="form"),
        _extras(), _signatures(),
    )  # fmt: skip


def _title(one: ReadyCase) -> str:
    named = _named(one)
    words = (named[0].upper() + named[1:], one.case.patient, operation(one), lens_words(one))
    return ", ".join(word for word in words if word)


def _named(one: ReadyCase) -> str:
    return name(one) if one.is_common else f"case {one.case.code}"


def _line(draw: Draw, found: Ready) -> tuple[str, ...]:
    item = found.items[draw.lot.item]
    return (
        item.code, item.name, lot_name(draw.lot), expiry(draw.lot), amount(item, draw.quantity),
        *_boxes(), symbol(own_code("LOT", str(draw.lot.code))),
    )  # fmt: skip


def _boxes() -> tuple[str, ...]:
    return (el("span", css="box"),) * len(ENDS)


def _open_lines(one: ReadyCase, found: Ready) -> Iterator[tuple[str, ...]]:
    """What the kit wants and no lot stands for yet, and what is only in the room."""
    for kind, gap in one.missing():
        if kind in (KIT, COMMON):
            item = found.items[gap.item]
            units = amount(item, gap.short)
            yield (item.code, f"{item.name} (missing)", BLANK, BLANK, units, *_boxes(), BLANK)
    for need in one.waiting.needs:
        if need.standby:
            item = found.items[need.items[0]]
            name = f"{item.name} ({STANDBY})"
            units = amount(item, need.quantity)
            yield (" or ".join(need.items), name, BLANK, BLANK, units, *_boxes(), BLANK)


def _extras() -> Safe:
    names = ("Extra: item", "Lot", "Expiry", "Units", "Used / opened / returned / dropped")
    blank = [(BLANK,) * len(names)] * EXTRAS
    head = el("thead", rows([names], "th"))
    return el("table", head, el("tbody", rows(blank)), css="extras")


def _signatures() -> Safe:
    names = ("Recorded by (staff code, signature)", "Day and time", "Typed in as entry")
    spans = [el("span", f"{name}:", el("span", BLANK, css="line"), css="second") for name in names]
    return el("p", *spans, css="signatures")
