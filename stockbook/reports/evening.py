"""The evening page: what to fetch, a strip and a paper form per case, the card of codes."""

from collections.abc import Iterator, Sequence

from stockbook.domain.answers import Site
from stockbook.domain.levels import in_shelf_order
from stockbook.domain.own_codes import ACTS, own_code
from stockbook.domain.picking import Draw
from stockbook.domain.ready import Ready
from stockbook.reports.amounts import amount, expiry, lot_name
from stockbook.reports.evening_cases import form, strip
from stockbook.reports.evening_style import STYLE
from stockbook.reports.html import Safe, el, joined, page, rows
from stockbook.reports.page import demonstration, made_from
from stockbook.reports.page_style import style
from stockbook.reports.ready import (
    lens_draws,
    lens_words,
    name,
    nearest,
    notes,
    operation,
    state,
    title,
    verdict,
)
from stockbook.reports.symbols import WITHOUT, can_draw, symbol

AID = (
    "This is a stock aid, not a clinical record. Local rules and the signed lens plan hold: "
    "patient, eye, model, power and expiry are checked in the hand by the people responsible."
)


def evening_page(found: Ready, site: Site) -> str:
    """One document to print: black, nothing that runs, nothing from outside."""
    strips = (strip(one, found) for one in found.patients)
    sheets = [
        (_head(found, site), _cases(found), _missing(found), *_notes(found)),
        (el("h2", "To fetch, place by place"), *_picks(found)),
        (el("h2", "Strips, one per case"), *strips),
        *((form(one, found),) for one in found.cases),
        (card(found.procedures),),
    ]
    foot = _foot(found, site)
    parts = (el("section", *content, foot) for content in sheets)
    return page(f"{title(found)}: evening page", style(site.paper, STYLE), *parts) + "\n"


def _head(found: Ready, site: Site) -> Safe:
    lines = [el("h1", verdict(found)), el("p", f"{title(found)}. {site.name}", css="title")]
    if not can_draw():
        lines.append(el("p", WITHOUT))
    return joined(*lines, el("p", AID))


def _foot(found: Ready, site: Site) -> Safe:
    """What the page is and from which state of which book it was made."""
    made = f"{site.name}, printed {found.today}. {made_from(found)}"
    return el("p", *demonstration(site), AID, " ", made, css="foot")


def _cases(found: Ready) -> Safe:
    cells = [
        (
            one.case.list, str(one.case.position or ""), name(one), operation(one),
            one.case.eye or "", lens_words(one),
            ", ".join(f"{lot_name(d.lot)} in {d.place}" for d in lens_draws(one, found)),
            state(one, found),
        )
        for one in found.cases
    ]  # fmt: skip
    return _table(("List", "No", "Case", "Operation", "Eye", "Lens", "Lot", "Ready"), cells)


def _missing(found: Ready) -> Safe:
    if not found.lacks:
        return el("p", "Nothing is missing.")
    cells = [
        (
            lack.item, found.items[lack.item].name,
            *(amount(found.items[lack.item], n) for n in (lack.wanted, lack.usable, lack.short)),
            ", ".join(lack.cases), nearest(lack, found),
        )
        for lack in found.lacks
    ]  # fmt: skip
    headers = ("Item", "Name", "Wanted", "Usable", "Short", "Cases", "Nearest act")
    return joined(el("h2", "Missing in total"), _table(headers, cells))


def _notes(found: Ready) -> Iterator[Safe]:
    yield from (el("p", words) for words in notes(found))


def _picks(found: Ready) -> Iterator[Safe]:
    """For each place what is drawn there for all cases together, in the order of walking."""
    draws = _together(found)
    for place in dict.fromkeys(draw.place for draw in draws):
        cells = [_pick(draw, found) for draw in draws if draw.place == place]
        headers = ("Shelf", "Item", "Name", "Lot", "Expiry", "Units", "Fetched", "Shelf code")
        yield joined(el("h3", place), _table(headers, cells))
    if not draws:
        yield el("p", "Nothing is to be fetched.")


def _together(found: Ready) -> list[Draw]:
    """One draw for each place and lot, whoever it is for; what is issued lies ready already."""
    sums: dict[tuple[str, int], Draw] = {}
    for draw in (d for one in found.cases for d in one.draws):
        key = (draw.place, draw.lot.code)
        units = sums[key].quantity if key in sums else 0
        sums[key] = Draw(draw.place, draw.lot, units + draw.quantity, 0)
    return in_shelf_order(sums.values(), found.places, found.labels)


def _pick(draw: Draw, found: Ready) -> tuple[str, ...]:
    item = found.items[draw.lot.item]
    return (
        found.labels.get((draw.place, item.code), ""), item.code, item.name, lot_name(draw.lot),
        el("span", expiry(draw.lot), css="day"), amount(item, draw.quantity),
        el("span", css="box"),
        symbol(own_code("SHELF", draw.place, item.code)),
    )  # fmt: skip


def card(procedures: Sequence[str]) -> Safe:
    """The card of theatre codes: to be cut out and kept beside the trolley."""
    cards = [
        el("div", symbol(own_code("ACT", act)), el("strong", act), el("p", words), css="act")
        for act, words in ACTS.items()
    ] + [
        el("div", symbol(own_code("KIT", one)), el("strong", one), el("p", "after CONVERT"),
           css="act")
        for one in procedures
    ]  # fmt: skip
    return joined(el("h2", "Theatre codes"), el("div", *cards, css="card"))


def _table(headers: tuple[str, ...], cells: Sequence[tuple[str, ...]]) -> Safe:
    return el("table", el("thead", rows([headers], "th")), el("tbody", rows(cells)))
