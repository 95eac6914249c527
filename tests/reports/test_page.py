"""The printed page: whole, self-contained, escaped, the same every time, on the paper asked for."""

import builtins
import re
from dataclasses import dataclass, replace
from html.parser import HTMLParser
from pathlib import Path

import pytest
from desk import Desk
from hypothesis import given
from hypothesis import strategies as st

from stockbook.domain.answers import Site
from stockbook.domain.money import Currency
from stockbook.reports import tables
from stockbook.reports.charts import Bar, BarChart, can_draw
from stockbook.reports.page import printed
from stockbook.reports.page_style import PAPERS, quoted, room
from stockbook.reports.page_tables import MARGIN, is_wide, millimetres, split, table_html
from stockbook.reports.parts import HeadedTable

HOSTILE = '</style><script>alert(1)</script> "quoted" \\ & <b>'
SITE = Site("Small Site", Currency("INR", 2), demonstration=False, people={}, book="b00k")


@dataclass(frozen=True)
class Stands:
    last_entry: int = 9
    checksum: str = "c0ffee"


class Read(HTMLParser):
    """The rows of every table, the tags, and the text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tables: list[list[list[str]]] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.cell: str | None = None
        self.text = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag == "table":
            self.tables.append([])
        elif tag == "tr":
            self.tables[-1].append([])
        elif tag in ("td", "th"):
            self.cell = ""

    def handle_endtag(self, tag: str) -> None:
        if tag in ("td", "th"):
            self.tables[-1][-1].append(self.cell or "")
            self.cell = None

    def handle_data(self, data: str) -> None:
        self.text += data
        if self.cell is not None:
            self.cell += data


CELLS = st.text(alphabet=st.characters(exclude_categories=["Cc", "Cs"]), max_size=60)


@st.composite
def headed(draw: st.DrawFn) -> HeadedTable:
    columns = draw(st.integers(1, 30))
    sides = draw(st.lists(st.booleans(), min_size=columns, max_size=columns))
    row = st.lists(CELLS, min_size=columns, max_size=columns).map(tuple)
    headers = draw(row)
    rows = draw(st.lists(row, max_size=4))
    return HeadedTable(headers, tuple(rows), tuple(sides), "Caption")


@given(table=headed(), paper=st.sampled_from(sorted(PAPERS)), landscape=st.booleans())
def test_a_table_in_parts_has_every_column_once_and_the_first_in_each(
    table: HeadedTable, paper: str, *, landscape: bool
) -> None:
    width = room(paper, margin=MARGIN, landscape=landscape)
    pieces = list(split(table, width))
    assert all(piece.headers[0] == table.headers[0] for piece in pieces)
    again = [header for piece in pieces for header in piece.headers[1:]]
    assert again == list(table.headers[1:])
    for number, row in enumerate(table.rows):
        assert [c for piece in pieces for c in piece.rows[number][1:]] == list(row[1:])
        assert all(piece.rows[number][0] == row[0] for piece in pieces)


@given(headed())
def test_every_text_of_a_table_stands_in_it_unchanged(table: HeadedTable) -> None:
    (found,) = Read(table_html(table, 10_000)).tables
    wanted = [list(row) for row in table.rows]
    assert found[len(found) - len(wanted) :] == wanted
    if any(table.headers):
        assert found[0] == list(table.headers)


def test_a_table_turns_the_sheet_before_it_is_split() -> None:
    narrow = HeadedTable(("A", "B"), (("x", "1,000.00"),), (False, True), "c")
    wide = HeadedTable(("A", *"BCDEFGHI"), (("x", *["1,234,567.89"] * 8),), (False, *[True] * 8))
    assert not is_wide(narrow, "a4")
    assert is_wide(wide, "a4")
    turned = room("a4", margin=MARGIN, landscape=True)
    assert millimetres([12] * 9, dense=False) < turned
    assert table_html(wide, turned).count("<table") == 1
    assert table_html(wide, 120).count("<table") == 2
    assert "(part 2 of 2)" in table_html(wide, 120)


@given(st.text(alphabet=st.characters(exclude_categories=["Cs"])))
def test_a_text_in_the_style_can_end_neither_its_string_nor_the_style(text: str) -> None:
    found = quoted(text)
    assert re.fullmatch(r'"(?:[^"\\<>\n\r\f&]|\\[0-9a-f]+ )*"', found)
    again = re.sub(r"\\([0-9a-f]+) ", lambda m: chr(int(m[1], 16)), found[1:-1])
    assert again == text


def report() -> str:
    rows = [["VISC", "9"], [HOSTILE, "1"]]
    return "\n".join([
        tables.heading(f"Stock {HOSTILE}", SITE), tables.table(("Item", "Units"), rows, "Units"),
        f"Words {HOSTILE}",
    ])  # fmt: skip


def test_whatever_is_in_a_name_it_stays_text() -> None:
    text = printed(report, replace(SITE, name=HOSTILE), Stands())
    page = Read(text)
    assert {tag for tag, _ in page.tags} & {"script", "b"} == set()
    assert text.count("</style>") == 1
    assert HOSTILE in page.text
    assert [HOSTILE, "1"] in page.tables[0]


def test_the_page_says_whose_and_from_which_state_and_is_the_same_every_time() -> None:
    text = printed(report, SITE, Stands())
    assert "Book as after entry 9, checksum c0ffee." in text
    assert "Book b00k" in text
    assert "DEMONSTRATION" not in text
    assert "DEMONSTRATION, invented data" in printed(
        report, replace(SITE, demonstration=True), Stands()
    )
    assert text == printed(report, SITE, Stands())
    again = printed(lambda: f"{report()}\nLast entry 9, checksum c0ffee", SITE, Stands())
    assert again == text, "what the head says is not said again"


CHART = BarChart("Stock <now>", "", (Bar("VISC", 3, "3"), Bar("a & b", 1, "1")), scaled=False)


def test_two_pictures_on_a_page_share_no_name_and_have_their_words() -> None:
    assert can_draw()
    page = Read(printed(report, SITE, Stands(), lambda: [CHART, CHART]))
    names = [a["id"] for _, a in page.tags if "id" in a]
    assert len(names) == len(set(names))
    pictures = [a for tag, a in page.tags if tag == "svg"]
    assert [a["role"] for a in pictures] == ["img", "img"]
    for picture in pictures:
        for name in str(picture["aria-labelledby"]).split():
            assert name in names
    assert page.text.count("VISC: 3; a & b: 1.") == 2
    used = {
        word for _, a in page.tags for value in a.values()
        for word in re.findall(r"url\(#([^)]+)\)|^#(.+)$", value or "")
    }  # fmt: skip
    assert all((first or second) in names for first, second in used)


def test_a_picture_names_nothing_outside_the_page() -> None:
    text = printed(report, SITE, Stands(), lambda: [CHART])
    assert re.findall(r"https?:|url\((?!#)|@import|xmlns", text) == []
    assert text.count("<style") == 1


def test_without_the_library_a_line_says_what_draws_them(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("importlib.util.find_spec", lambda name: None)
    real = builtins.__import__

    def without(name: str, *given: object, **named: object) -> object:
        if name.startswith("matplotlib"):
            raise ImportError(name)
        return real(name, *given, **named)

    monkeypatch.setattr(builtins, "__import__", without)
    text = printed(report, SITE, Stands(), lambda: [CHART])
    assert "<svg" not in text
    assert "need the extra &#x27;charts&#x27;" in text
    assert "VISC" in text


@pytest.mark.parametrize(
    ("more", "size"), [("", "A4"), ("--paper letter", "letter"), ("--paper A4", "A4")]
)
def test_the_paper_is_the_site_s_or_the_one_that_was_asked_for(
    desk: Desk, tmp_path: Path, more: str, size: str
) -> None:
    file = tmp_path / "page.html"
    desk.ok(f"valuation show -o {file} {more}")
    assert f"size: {size}" in file.read_text(encoding="utf-8")


def test_a_site_may_print_on_letter_everything_that_it_prints(desk: Desk, tmp_path: Path) -> None:
    desk.ok("book settings paper Letter --by MA")
    for command in ("valuation show", "ready L1"):
        file = tmp_path / "page.html"
        assert desk.run(f"{command} -o {file}").code in (0, 6)
        assert "@page { size: letter; margin" in file.read_text(encoding="utf-8")
    desk.ok(f"valuation show --paper a4 -o {file}")
    assert "size: A4;" in file.read_text(encoding="utf-8")


def test_other_paper_and_paper_for_nothing_are_refused(desk: Desk, tmp_path: Path) -> None:
    file = tmp_path / "page.html"
    said = desk.refused(f"valuation show -o {file} --paper a3", 2)
    assert "'a3'" in said
    assert "a4, letter" in said
    assert not file.exists()
    for form in ("", "--json", f"-o {tmp_path / 'x.csv'}"):
        assert "-o FILE.html" in desk.refused(f"valuation show --paper a4 {form}", 2)
    assert "a4, letter" in desk.refused("book settings paper a5 --by MA", 2)
