"""Labels as a page to print: shelves, lots, strips of cases, the card of theatre codes."""

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import TYPE_CHECKING

from stockbook.domain.answers import Site
from stockbook.domain.facts import Case, Item
from stockbook.domain.labels import (
    Card,
    CaseStrip,
    CaseStrips,
    LotLabel,
    LotLabels,
    Printed,
    ShelfLabel,
    ShelfLabels,
)
from stockbook.domain.lenses import power_text
from stockbook.domain.own_codes import ACTS, own_code
from stockbook.reports.amounts import amount, lot_name
from stockbook.reports.evening import AID, card
from stockbook.reports.evening_cases import who
from stockbook.reports.evening_style import STYLE
from stockbook.reports.html import Safe, el, page
from stockbook.reports.page_style import style
from stockbook.reports.symbols import WITHOUT, can_draw, symbol
from stockbook.reports.tables import heading, plural, table

if TYPE_CHECKING:
    from stockbook.reports.data import DataSheet

FIRST = "Take the soonest expiry first"
OWN = (
    "The symbols hold this site's own codes, for this book alone; they name no product to others. "
    "They do not replace what is printed on a pack: lot and expiry are read there."
)
_MORE = """
.labels { display: grid; grid-template-columns: repeat(3, minmax(0, 1fr)); gap: 3mm;
  margin: 2mm 0 4mm; }
.label { display: flex; gap: 2mm; align-items: center; border: 1pt solid #000; padding: 2mm;
  break-inside: avoid; min-height: 32mm; overflow-wrap: anywhere; }
.label > div { flex: 1 1 auto; }
.label strong { display: block; font-size: 11pt; }
.label p { margin: .4mm 0; font-size: 8.5pt; }
.label .big { font-size: 11pt; font-weight: bold; }
.label .symbol { width: 20mm; height: 20mm; }
.label .own { flex: 0 0 24mm; }
.label .code { max-width: 24mm; }
.warn { border: 1.5pt solid #000; padding: 1.5mm; font-weight: bold; }
"""


def _sheet(title: str, printed: Printed, site: Site, *content: str) -> str:
    """One self-contained page; its foot says what it is and from which state of the book."""
    note = () if can_draw() else (el("p", WITHOUT),)
    demo = (el("strong", "DEMONSTRATION, invented data. "),) if site.demonstration else ()
    made = (
        f" {site.name}, printed {printed.today}. Book as after entry {printed.last_entry}, "
        f"checksum {printed.checksum}."
    )
    foot = el("p", *demo, OWN, made, css="foot")
    return (
        page(
            title,
            style(site.paper, STYLE + _MORE),
            el("section", el("h1", title), *note, *content, foot),
        )
        + "\n"
    )


# Shelves


def shelf_sheet(found: ShelfLabels, site: Site) -> str:
    """The labels of each place together, in the order of walking."""
    parts = []
    for place, labels in groupby(found.labels, key=lambda one: one.place):
        parts += [el("h2", place), el("div", *map(_shelf, labels), css="labels")]
    return _sheet("Shelf labels", found.printed, site, *parts)


def _shelf(one: ShelfLabel) -> Safe:
    lines = [el("strong", one.item.code), el("p", one.item.name), *_lens(one.item)]
    where = f"{one.place} {one.words}".strip()
    lines += [el("p", where), *(el("p", words) for words in level_words(one)), el("p", FIRST)]
    return el("div", el("div", *lines), symbol(one.code), css="label")


def level_words(one: ShelfLabel) -> list[str]:
    """What the place keeps of the item, in words."""
    level = one.level
    words = [f"Keep as: {one.item.storage_class}"] if one.item.storage_class else []
    if level is None:
        return words
    if level.lists:
        return [f"Enough for the next {plural(level.lists, 'list')}", *words]
    least, most = amount(one.item, level.keep_at_least), amount(one.item, level.fill_to)
    return [f"At least {least}, fill to {most}", *words]


def _lens(item: Item) -> Iterator[Safe]:
    if item.lens_model and item.power is not None:
        yield el("p", f"{item.lens_model} {power_text(item.power)}", css="big")


# Lots


def lot_sheet(found: LotLabels, site: Site) -> str:
    """Each lot's label so many times; what must not be used is said above them."""
    stopped = [
        el("p", f"{one.item.code} lot {lot_name(one.lot)}: MUST NOT BE USED, {one.stopped}.",
           css="warn")
        for one in found.labels if one.stopped
    ]  # fmt: skip
    labels = [_lot(one) for one in found.labels for _ in range(found.copies)]
    body = el("div", *labels, css="labels")
    return _sheet("Lot labels", found.printed, site, *stopped, body)


def _lot(one: LotLabel) -> Safe:
    lot = one.lot
    lines = [el("strong", one.item.code), el("p", one.item.name), *_lens(one.item)]
    lines.append(el("p", f"Lot {lot.number}"))
    if lot.serial is not None:
        lines.append(el("p", f"Serial {lot.serial}"))
    lines.append(el("p", expiry_words(one), css="big day"))
    return el("div", el("div", *lines), symbol(one.code), css="label")


def expiry_words(one: LotLabel) -> str:
    """The last day of use, always as a whole day that nobody can read otherwise."""
    return "No expiry" if one.lot.expiry_precision == "none" else f"Exp {one.lot.expires_on}"


# Cases and the card


def strip_sheet(found: CaseStrips, site: Site) -> str:
    """A strip a case, list by list; a whole list begins with its own symbol."""
    parts = [el("p", AID)]
    for code, strips in groupby(found.strips, key=lambda one: one.list.code):
        of_list = list(strips)
        one = of_list[0].list
        head = el("h2", f"List {code}, {one.day}, {one.theatre}, {one.part}")
        parts += [head, *([symbol(own_code("LIST", code))] if found.whole else [])]
        parts += [_strip(each) for each in of_list]
    if found.left_out:
        parts.append(el("p", f"Cancelled, without a strip: {', '.join(found.left_out)}."))
    return _sheet("Strips of cases", found.printed, site, *parts)


def _strip(one: CaseStrip) -> Safe:
    lines = [el("tr", el("th", name), el("td", words)) for name, words in _facts(one.case)]
    left = el("div", who(one.case), el("table", *lines, css="facts"), css="left")
    return el("div", left, symbol(one.code), css="strip")


def _facts(case: Case) -> list[tuple[str, str]]:
    facts = [
        ("Case", case.code),
        ("Operation", " ".join(word for word in (case.procedure, case.category) if word)),
        ("Lens", _lens_words(case)), ("Special", ", ".join(case.needs)),
        ("Surgeon", case.surgeon or ""),
    ]  # fmt: skip
    return [(name, words) for name, words in facts if words]


def _lens_words(case: Case) -> str:
    """The case's own model and power, as they were asked for."""
    if case.lens_model is None and case.power is None:
        return ""
    power = "?" if case.power is None else power_text(case.power)
    return f"{case.lens_model or 'model unknown'} {power}"


def card_sheet(found: Card, site: Site) -> str:
    """The card to be kept beside the trolley."""
    return _sheet("Card of theatre codes", found.printed, site, card(found.procedures))


# As text and as data, for those who print in another way


def labels_page(title: str, names: Sequence[str], rows: Sequence[tuple[str, ...]],
                site: Site) -> str:  # fmt: skip
    """What would be printed, label by label."""
    parts = [heading(title, site), table(names, rows), f"{plural(len(rows), 'label')}."]
    return "\n".join([*parts, "Print them with -o FILE.html."])


SHELF = ("Place", "Shelf", "Item", "Name", "Level", "Code")
LOT = ("Item", "Name", "Lot", "Serial", "Expiry", "Must not be used", "Code")
CASE = ("List", "No", "Case", "Operation", "Eye", "Lens", "Code")
CODE = ("Word", "Means", "Code")


def shelf_rows(found: ShelfLabels) -> list[tuple[str, ...]]:
    """A row a label."""
    return [
        (one.place, one.words, one.item.code, one.item.name, "; ".join(level_words(one)), one.code)
        for one in found.labels
    ]


def lot_rows(found: LotLabels) -> list[tuple[str, ...]]:
    """A row a label, copies included."""
    return [
        (one.item.code, one.item.name, one.lot.number, one.lot.serial or "", expiry_words(one),
         one.stopped or "", one.code)
        for one in found.labels for _ in range(found.copies)
    ]  # fmt: skip


def case_rows(found: CaseStrips) -> list[tuple[str, ...]]:
    """A row a strip; nothing of the patient beyond the eye."""
    return [
        (one.list.code, str(one.case.position or ""), one.case.code,
         dict(_facts(one.case)).get("Operation", ""), one.case.eye or "", _lens_words(one.case),
         one.code)
        for one in found.strips
    ]  # fmt: skip


def card_rows(found: Card) -> list[tuple[str, ...]]:
    """A row a code of the card."""
    return [
        *((act, words, own_code("ACT", act)) for act, words in ACTS.items()),
        *((one, "after CONVERT", own_code("KIT", one)) for one in found.procedures),
    ]


def labels_sheets(names: Sequence[str], rows: Sequence[tuple[str, ...]]) -> "list[DataSheet]":
    """The same rows as data, for a label printer."""
    from stockbook.reports.data import DataSheet, columns

    plain = columns(*(name.lower().replace(" ", "_") for name in names))
    return [DataSheet("labels", (), plain, tuple(rows))]
