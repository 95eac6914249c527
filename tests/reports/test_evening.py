"""The evening page: complete, self-contained, escaped; every symbol on it reads as its code."""

import base64
import io
import re
from dataclasses import replace
from functools import cache
from html.parser import HTMLParser

import pytest
from desk import Desk
from extras import needed
from jobs.shelves import give
from ledger.books import opened

from stockbook.domain.facts import Item
from stockbook.domain.own_codes import ACTS
from stockbook.jobs.ready import ready_lists
from stockbook.jobs.site import site_of
from stockbook.reports import evening, symbols


@cache
def read(picture: bytes) -> list[str]:
    """What a reader sees on an image."""
    image = needed("PIL.Image").open(io.BytesIO(picture)).convert("L")
    return [found.text for found in needed("zxingcpp").read_barcodes(image)]


class Page(HTMLParser):
    """Tags, their attributes and the text of a page."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""
        self.open: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in ("meta", "img", "br"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text += f" {data}"

    def images(self) -> list[dict[str, str | None]]:
        return [attributes for tag, attributes in self.tags if tag == "img"]


def written(desk: Desk, asked: str = "L1") -> str:
    """The page as the command writes it."""
    path = desk.folder / "evening.html"
    answer = desk.run(["ready", asked, "-o", str(path)])
    assert answer.code in (0, 6), answer.err
    return path.read_text(encoding="utf-8")


def test_the_page_stands_alone_and_nothing_on_it_runs(desk: Desk) -> None:
    text = written(desk)
    page = Page(text)
    assert text.startswith("<!DOCTYPE html>")
    assert page.open == []
    assert {tag for tag, _ in page.tags} & {"script", "link", "iframe", "object", "a"} == set()
    sources = [a["src"] or "" for a in page.images()]
    assert all(source.startswith("data:image/png;base64,") for source in sources)
    assert [a for _, a in page.tags for name in a if name.startswith("on")] == []
    assert re.findall(r"https?://|url\(|@import", text) == []
    assert "size: A4" in text


def test_the_page_says_what_it_is_and_from_which_state_of_the_book(desk: Desk) -> None:
    text = Page(written(desk)).text
    number, checksum = desk.last()
    assert "a stock aid, not a clinical record" in text
    assert "Local rules and the signed lens plan hold" in text
    assert f"Book as after entry {number}, checksum {checksum}." in text
    assert "printed 2027-03-01" in text
    assert "DEMONSTRATION" not in text


def test_a_demonstration_says_so(desk: Desk) -> None:
    with opened(desk.path) as book:
        found, site = ready_lists(book, "L1", desk.today), site_of(book)
    pages = [evening.evening_page(found, replace(site, demonstration=d)) for d in (True, False)]
    assert ["DEMONSTRATION, invented data" in page for page in pages] == [True, False]


def test_every_sheet_says_it_for_itself_for_they_are_cut_apart(desk: Desk) -> None:
    page = Page(written(desk))
    sheets = sum(tag == "section" for tag, _ in page.tags)
    assert sheets == 4 + 3
    assert page.text.count("Book as after entry 9") == sheets
    assert page.text.count("not a clinical record") == sheets + 1


def test_each_case_has_a_strip_and_a_form_with_its_own_lens_and_eye(desk: Desk) -> None:
    page = Page(written(desk))
    for case, patient, eye, lens in (
        ("C1", "P-1", "RIGHT EYE", "RINGL +21.50"), ("C2", "P-2", "LEFT EYE", "RINGL +21.00"),
        ("C3", "P-3", "LEFT EYE", "FLATL +21.50"),
    ):  # fmt: skip
        assert f"Paper form: case {case}" in page.text
        strips = page.text.count(patient)
        assert strips >= 2
        assert eye in page.text
        assert lens in page.text
    assert page.text.count("Second identifier:") == 6
    assert "R1 / S1 in STORE" in page.text
    assert "R1 / S2 in STORE" in page.text, "the spare of +21.50"
    assert "VISC or VISC-B" in page.text
    assert "Special dye" in page.text


def test_the_form_has_boxes_for_every_end_and_blank_lines_for_extras(desk: Desk) -> None:
    page = Page(written(desk))
    for words in ("Used", "Opened, not used", "Returned", "Dropped", "Extra: item", "signature"):
        assert words in page.text
    boxes = sum(a.get("class") == "box" for _, a in page.tags)
    assert boxes > 4 * 3 * 4


def test_what_is_fetched_for_the_whole_list_stands_together(desk: Desk) -> None:
    text = written(desk)
    day = r"<span class=\"day\">2028-01</span>"
    row = re.search(rf"<td>KNIFE</td><td>[^<]*</td><td>K1</td><td>{day}</td><td>3</td>", text)
    assert row is not None
    first = text.index("<h3>OT1</h3>")
    assert first < text.index("<h3>STORE</h3>")


def test_an_issued_case_s_form_shows_what_lies_on_the_trolley(desk: Desk) -> None:
    desk.ok("issue C1 --by NU")
    text = Page(written(desk)).text
    assert "R1 / S1 in trolley/OT1" in text


def codes_on(page: Page) -> list[str]:
    return [str(a["alt"]) for a in page.images()]


def test_every_symbol_reads_back_as_its_code(desk: Desk) -> None:
    needed("segno")
    page = Page(written(desk))
    images = page.images()
    for attributes in images:
        head, _, data = str(attributes["src"]).partition(",")
        assert head == "data:image/png;base64"
        assert read(base64.b64decode(data)) == [attributes["alt"]]
    codes = set(codes_on(page))
    assert {"CASE/C1", "CASE/C2", "CASE/C3"} <= codes
    assert {f"ACT/{act}" for act in ACTS} <= codes
    assert {"SHELF/OT1/KNIFE", "SHELF/STORE/RINGL+21.50"} <= codes
    lots = {f"LOT/{code}" for (code,) in desk.rows("SELECT code FROM lot WHERE number = 'K1'")}
    assert lots <= codes
    assert page.text.count("CASE/C1") >= 2, "the text stands beside the symbol"


def test_a_lot_s_code_is_the_number_of_the_lot_on_that_line(desk: Desk) -> None:
    text = written(desk)
    ((code,),) = desk.rows("SELECT code FROM lot WHERE number = 'I1'")
    line = next(r for r in re.findall(r"<tr>.*?</tr>", text) if "I1" in r and "LOT/" in r)
    assert f"LOT/{code}<" in line


def test_without_the_extra_codes_are_text_and_the_page_says_so(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    with_symbols = Page(written(desk))
    monkeypatch.setattr("importlib.util.find_spec", lambda name: None)
    page = Page(written(desk))
    assert page.images() == []
    assert symbols.WITHOUT in page.text
    assert symbols.WITHOUT not in with_symbols.text
    assert all(code in page.text for code in codes_on(with_symbols))


HOSTILE = "<script>alert(1)</script> & \"quoted\" 'name' </td>"


def test_names_and_references_are_text_whatever_they_hold(desk: Desk) -> None:
    give(desk, Item("KNIFE", HOSTILE, "blades", "each", 0))
    with opened(desk.path) as book:
        found, site = ready_lists(book, "L1", desk.today), site_of(book)
    first, *rest = found.cases
    case = replace(
        first.case, patient=HOSTILE, surgeon=HOSTILE, needs=(HOSTILE,), procedure=HOSTILE, eye="<b>"
    )
    waiting = replace(first.waiting, case=case, unknown=HOSTILE)
    hostile = replace(found, cases=(replace(first, waiting=waiting), *rest), asked=HOSTILE,
                      labels={("OT1", "KNIFE"): HOSTILE}, left_out=(HOSTILE,))  # fmt: skip
    text = evening.evening_page(hostile, replace(site, name=HOSTILE, demonstration=True))
    page = Page(text)
    assert page.open == []
    assert "script" not in {tag for tag, _ in page.tags}
    assert "b" not in {tag for tag, _ in page.tags}
    assert page.text.count(HOSTILE) >= 8
