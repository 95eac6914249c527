"""Every page of finance in a real browser: nothing sticks out, is cut, is fetched or is unnamed.

All pages of both sites are opened and printed by one browser, once; each check then looks at what
came out.
"""

import io
import re
from dataclasses import dataclass
from html import escape, unescape
from pathlib import Path
from typing import Any

import pytest
from chromium import chromium, running
from desk import Desk, small_site
from extras import needed

from reports.printed_site import CLASSES, LOTS, NAME, item, large_site, lot
from stockbook.reports.page_style import PAPERS, room
from stockbook.reports.page_tables import MARGIN

PAGES = {
    "cost": "cost --month 2027-03",
    "per": "cost --month 2027-03 --per surgeon",
    "per-class": "cost --month 2027-03 --per category",
    "methods": "cost --month 2027-03 --method fifo --method average",
    "trend": "cost --trend",
    "case": "cost C3",
    "value": "valuation show --method fifo --method average",
    "idle": "valuation idle --days 10",
    "prices": "valuation prices",
    "unmatched": "invoice",
    "statement": "period show --open 2027-03",
    "closings": "period show",
    "sponsors": "claims show",
    "claims": "claims show CAMP --month 2027-03",
    "sample": "claims show CAMP --month 2027-03 --sample 1",
    "what-if": "what-if --month 2027-03 --tariff paid 9000 --new-tariff paid 9500 --fixed 50000",
}
"""Every command of finance that has a page to print."""
SITES = ("small", "large")
LETTER = ("statement", "value")
"""These are printed on Letter from the large site, all others on A4."""
POINTS_PER_MM = 72 / 25.4

LOOK = """(() => {
  const seen = (e) => e.getClientRects().length > 0;
  const light = (c) => {
    const [r, g, b] = c.match(/[\\d.]+/g).slice(0, 3).map(Number).map((v) => v / 255)
      .map((v) => v <= 0.03928 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const ground = (e) => {
    for (; e; e = e.parentElement) {
      const c = getComputedStyle(e).backgroundColor;
      if (!/rgba\\(.*, 0\\)|transparent/.test(c)) return c;
    }
    return 'rgb(255, 255, 255)';
  };
  const contrast = (e) => {
    const drawn = e.closest('svg') && getComputedStyle(e).fill;
    const [a, b] = [light(drawn || getComputedStyle(e).color), light(ground(e))]
      .sort((x, y) => y - x);
    return (a + 0.05) / (b + 0.05);
  };
  const texts = [...document.body.querySelectorAll('*')].filter((e) => seen(e)
    && [...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim()));
  const inside = (e) => e.scrollWidth <= e.clientWidth + 1;
  return {
    wide: [document.documentElement.scrollWidth, document.documentElement.clientWidth],
    cut: [...document.querySelectorAll('td, th')].filter((e) => !inside(e))
      .map((e) => e.textContent),
    heights: [...document.querySelectorAll('figure')].map((e) => e.offsetHeight / 96 * 25.4),
    outside: [...document.querySelectorAll('svg')].flatMap((s) => {
      const b = s.getBoundingClientRect();
      return [...s.querySelectorAll('text')].filter((t) => {
        const c = t.getBoundingClientRect();
        return c.left < b.left - 1 || c.right > b.right + 1 || c.top < b.top - 1
          || c.bottom > b.bottom + 1;
      }).map((t) => t.textContent);
    }),
    faint: texts.filter((e) => contrast(e) < 4.5).map((e) => e.textContent),
    lang: document.documentElement.lang,
    title: document.title,
    headings: [...document.querySelectorAll('h1, h2, h3, h4')].map((e) => Number(e.tagName[1])),
    tables: [...document.querySelectorAll('table')].map((t) => ({
      caption: t.caption ? t.caption.textContent.trim() : '',
      scopes: [...t.querySelectorAll('th')].map((e) => e.scope),
      heads: [...t.querySelectorAll('thead th')].length,
      columns: Math.max(...[...t.rows].map((r) => r.cells.length)),
      rows: [...t.tBodies[0].rows].map((r) => [...r.cells].map((c) => c.textContent)),
    })),
    pictures: [...document.querySelectorAll('svg')].map((s) => ({
      role: s.getAttribute('role'),
      names: s.getAttribute('aria-labelledby').split(' ')
        .map((n) => document.getElementById(n).textContent.trim()),
    })),
    names: [...document.querySelectorAll('[id]')].map((e) => e.id),
    running: document.querySelectorAll('script, iframe, object, embed, link, a').length,
  };
})()"""


@dataclass(frozen=True)
class Printed:
    """One page: its text, what the browser saw, what it asked for, and the sheets it printed."""

    text: str
    seen: dict[str, Any]
    asked_for: list[str]
    sheets: list[Any]
    paper: str
    words: list[str]
    """Each sheet's text without blanks: where a line breaks is the browser's affair."""


@pytest.fixture(scope="module")
def printed(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Printed]:
    """Every page of both sites, opened and printed once."""
    chromium()
    reader = needed("pypdf").PdfReader
    folder = tmp_path_factory.mktemp("printed")
    found = {}
    with running(folder / "browser") as browser:
        for site, desk in _desks(folder).items():
            for name, command in PAGES.items():
                paper = "letter" if (site, name) in {("large", n) for n in LETTER} else "a4"
                path = folder / f"{site}-{name}.html"
                desk.ok(f"{command} -o {path} --paper {paper}")
                text = path.read_text(encoding="utf-8")
                page = browser.open(path)
                page.wide(room(paper, margin=MARGIN, landscape="landscape" in text))
                seen, sheets = page.ask(LOOK), list(reader(io.BytesIO(page.pdf())).pages)
                words = [re.sub(r"\s", "", sheet.extract_text()) for sheet in sheets]
                asked = page.asked_for
                found[f"{site}-{name}"] = Printed(text, seen, asked, sheets, paper, words)
    return found


def _desks(folder: Path) -> dict[str, Desk]:
    (folder / "small").mkdir()
    (folder / "large").mkdir()
    small = small_site(folder / "small")
    small.ok("receive ACME --note N1 --line KNIFE 10 K9 2029-01 55.00 --by KE")
    small.ok("finish C3 --as-kit --by NU")
    small.ok("finish C1 --as-kit --by NU")
    small.ok("period close --from 2027-02-01 --to 2027-02-28 --by FI -y")
    return {"small": small, "large": large_site(folder / "large")}


ALL = [f"{site}-{name}" for site in SITES for name in PAGES]


@pytest.mark.parametrize("name", ALL)
def test_nothing_sticks_out_of_the_sheet_or_of_its_cell(
    printed: dict[str, Printed], name: str
) -> None:
    seen = printed[name].seen
    asked, given = seen["wide"]
    assert asked <= given
    assert (seen["cut"], seen["outside"]) == ([], [])


@pytest.mark.parametrize("name", ALL)
def test_the_sheets_are_of_the_paper_that_was_asked_for(
    printed: dict[str, Printed], name: str
) -> None:
    page = printed[name]
    size = PAPERS[page.paper]
    wanted = [size.width * POINTS_PER_MM, size.height * POINTS_PER_MM]
    for sheet in page.sheets:
        found = [float(sheet.mediabox.width), float(sheet.mediabox.height)]
        turned = "landscape" in page.text
        assert found == pytest.approx(wanted[::-1] if turned else wanted, abs=2)


@pytest.mark.parametrize("name", ALL)
def test_a_picture_is_no_higher_than_a_sheet(printed: dict[str, Printed], name: str) -> None:
    page = printed[name]
    high = room(page.paper, margin=MARGIN, landscape="landscape" not in page.text)
    assert all(10 < height < high for height in page.seen["heights"])


@pytest.mark.parametrize("name", ALL)
def test_every_sheet_says_what_it_is_from_which_entry_and_its_number(
    printed: dict[str, Printed], name: str
) -> None:
    page = printed[name]
    words = page.words
    title = re.sub(r"\s", "", page.seen["title"])
    for number, sheet in enumerate(words, start=1):
        assert title in sheet
        assert re.search(r"Bookasafterentry\d+,checksum[0-9a-f]{64}\.", sheet)
        assert f"Page{number}of{len(words)}" in sheet
    if name.startswith("large"):
        assert all(re.sub(r"\s", "", NAME) in sheet for sheet in words)


@pytest.mark.parametrize("name", ALL)
def test_no_row_is_cut_and_each_sheet_has_the_headers_of_its_rows(
    printed: dict[str, Printed], name: str
) -> None:
    """All texts of a row stand on one sheet, and its table's headers with them."""
    page = printed[name]
    words = page.words
    for table in page.seen["tables"]:
        rows = [[re.sub(r"\s", "", cell) for cell in row] for row in table["rows"]]
        head = [re.sub(r"\s", "", text) for text in _headers(page.text, table["caption"])]
        for row in rows:
            whole = [sheet for sheet in words if all(text in sheet for text in (*row, *head))]
            assert whole, (table["caption"], row)
        first = re.sub(r"\s", "", table["caption"]), *head, *rows[0]
        assert [sheet for sheet in words if all(text in sheet for text in first)], first


def _headers(text: str, caption: str) -> list[str]:
    """The headers of the table of a caption, as they stand in the file."""
    start = text.index(f"<caption>{escape(caption)}</caption>")
    head = text[start : text.index("<tbody>", start)]
    return [unescape(one) for one in re.findall(r"<th[^>]*>([^<]*)</th>", head)]


@pytest.mark.parametrize("name", ALL)
def test_nothing_outside_is_named_or_asked_for_and_nothing_runs(
    printed: dict[str, Printed], name: str
) -> None:
    page = printed[name]
    assert [address.rpartition("/")[2] for address in page.asked_for] == [f"{name}.html"]
    assert page.seen["running"] == 0
    assert re.findall(r"https?:|url\((?!#)|@import|\son[a-z]+=", page.text) == []


@pytest.mark.parametrize("name", ALL)
def test_it_can_be_read_without_seeing_it(printed: dict[str, Printed], name: str) -> None:
    seen = printed[name].seen
    assert seen["lang"] == "en"
    assert seen["headings"][0] == 1
    assert seen["headings"].count(1) == 1
    pairs = zip(seen["headings"], seen["headings"][1:], strict=False)
    assert all(deeper <= before + 1 for before, deeper in pairs)
    assert len(seen["names"]) == len(set(seen["names"]))
    for table in seen["tables"]:
        assert table["caption"]
        assert set(table["scopes"]) <= {"col", "row"}
        assert table["heads"] >= table["columns"] - 1
    for picture in seen["pictures"]:
        assert picture["role"] == "img"
        assert all(picture["names"])


@pytest.mark.parametrize("name", ALL)
def test_what_is_written_stands_out_from_its_ground(printed: dict[str, Printed], name: str) -> None:
    assert printed[name].seen["faint"] == []


def test_a_table_of_hundreds_of_rows_goes_over_many_sheets_and_loses_none(
    printed: dict[str, Printed],
) -> None:
    for name in ("large-idle", "large-value"):
        page = printed[name]
        assert len(page.sheets) >= 6
        whole = "".join(page.words)
        kept = range(CLASSES, LOTS) if name == "large-idle" else range(LOTS)
        assert [n for n in kept if item(n) not in whole] == []
    idle = "".join(printed["large-idle"].words)
    assert [n for n in range(CLASSES, LOTS) if lot(n) not in idle] == []


def test_pages_that_should_have_pictures_have_them(printed: dict[str, Printed]) -> None:
    counted = {name: len(printed[name].seen["pictures"]) for name in ALL}
    assert counted["large-cost"] == 3
    assert counted["large-statement"] == 2
    assert counted["small-cost"] >= 2
    for name in ("per", "trend", "case", "value"):
        assert counted[f"large-{name}"] == 1, name
