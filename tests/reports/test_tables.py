"""Plain tables, bars and headings, alike in every report."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockbook.domain.answers import Site
from stockbook.domain.money import Currency
from stockbook.reports.tables import BAR, bars, fitted, heading, plural, table


def site(*, demonstration: bool = False) -> Site:
    return Site("Small Site", Currency("INR", 2), demonstration, {})


def test_a_heading_names_the_site_and_a_demonstration_says_so() -> None:
    assert "Small Site" in heading("Stock", site())
    assert "DEMONSTRATION" not in heading("Stock", site())
    assert "DEMONSTRATION, invented data" in heading("Stock", site(demonstration=True))


def test_named_columns_are_set_to_the_right_and_texts_to_the_left() -> None:
    lines = table(("Item", "Units"), [("A", "2"), ("LONG", "10")], "Units").splitlines()
    assert lines[2].startswith("A ")
    assert lines[2].endswith(" 2")
    assert lines[3].endswith("10")


@pytest.mark.parametrize("text", ["0012", "1e5", "+21.00", "2027-01", "1,234.50", "007.10", "nan"])
def test_no_cell_is_ever_read_as_a_number(text: str) -> None:
    """A lot number such as 1e5 or 0012 is shown as it is printed."""
    assert table(("Lot",), [(text,)]).splitlines()[2].strip() == text


def test_an_empty_table_keeps_its_headers_and_nothing_is_an_empty_cell() -> None:
    assert table(("Item", "Lot"), []).splitlines()[0].split() == ["Item", "Lot"]
    assert "None" not in table(("Item", "Lot"), [("A", None)])


@pytest.mark.parametrize(("amount", "length"), [(0, 0), (1, 1), (50, 20), (99, BAR), (100, BAR)])
def test_a_bar_is_in_proportion_and_something_is_never_nothing(amount: int, length: int) -> None:
    lines = bars([("a", 100, "x"), ("b", amount, "y")]).splitlines()
    assert lines[0].count("#") == BAR
    assert lines[1].count("#") == length


def test_bars_of_nothing_are_no_fault() -> None:
    assert bars([]) == ""
    assert "#" not in bars([("a", 0, "0.00")])


@pytest.mark.parametrize(
    ("count", "word", "said"),
    [
        (0, "row", "0 rows"),
        (1, "entry", "1 entry"),
        (2, "entry", "2 entries"),
        (2, "case", "2 cases"),
    ],
)
def test_a_count_agrees_with_its_noun(count: int, word: str, said: str) -> None:
    assert plural(count, word) == said


# Letters, figures, a combining mark, a wide character; never a hyphen, which draws the rule.
WORDS = st.text("aB7.é\u0301\u0940漢/", min_size=1, max_size=9)
CELLS = st.one_of(st.just(""), WORDS, st.lists(WORDS, min_size=1, max_size=6).map(" ".join))


@st.composite
def tables(draw: st.DrawFn) -> tuple[list[str], list[list[str]], str]:
    """Headers of their own names, rows, and the columns that are set to the right."""
    count = draw(st.integers(1, 6))
    headers = [f"{words} {n}".strip() for n, words in enumerate(draw(_some(CELLS, count)))]
    rows = draw(st.lists(_some(CELLS, count), min_size=1, max_size=5))
    return headers, rows, ",".join(h for h in headers if draw(st.booleans()))


def _some(cells: st.SearchStrategy[str], count: int) -> st.SearchStrategy[list[str]]:
    return st.lists(cells, min_size=count, max_size=count)


def split_at_spaces(lines: list[str]) -> list[str]:
    return [word for line in lines for word in line.split(" ") if word]


def grid(page: str) -> list[list[str]] | None:
    """The words of each column, header first; none where rows are blocks."""
    lines = page.split("\n")
    rule = next((line for line in lines if line and set(line) <= {"-", " "}), None)
    if rule is None:
        return None
    edges = [n for n in range(len(rule)) if rule[n] == "-" and rule[n - 1 : n] != "-"]
    ends = [*edges[1:], None]
    drawn = [line for line in lines if line != rule]
    return [
        split_at_spaces([line[start:end] for line in drawn])
        for start, end in zip(edges, ends, strict=True)
    ]


@given(tables(), st.integers(1, 90))
def test_no_line_is_longer_than_the_screen_unless_a_word_is(
    of: tuple[list[str], list[list[str]], str], columns: int
) -> None:
    for line in fitted(lambda: table(*of), columns).split("\n"):
        assert len(line) <= columns or " " not in line


@given(tables(), st.integers(1, 90))
def test_every_word_of_every_cell_is_still_there_in_order(
    of: tuple[list[str], list[list[str]], str], columns: int
) -> None:
    headers, rows, _ = of
    page = fitted(lambda: table(*of), columns)
    in_columns = grid(page)
    if in_columns is not None:
        assert in_columns == [split_at_spaces(list(c)) for c in zip(headers, *rows, strict=True)]
    else:
        fields = [(f"{h}:", cell) for row in rows for h, cell in zip(headers, row, strict=True)]
        said = [word for head, cell in fields if cell for word in split_at_spaces([head, cell])]
        assert split_at_spaces(page.split("\n")) == said


@given(tables(), st.integers(0, 30))
def test_a_screen_as_wide_as_the_table_shows_it_as_a_pipe_gets_it(
    of: tuple[list[str], list[list[str]], str], more: int
) -> None:
    page = table(*of)
    columns = max(len(line) for line in page.split("\n")) + more
    assert fitted(lambda: table(*of), columns) == page


NAMED = ("Item", "Name", "Lot", "Units"), [
    ("BSS-500", "Balanced salt solution 500 ml bottle", "N27 B03", "2.5 ml"),
    ("VISC-COH", "Cohesive viscoelastic", "V12A", "1"),
], "Units"  # fmt: skip


def test_a_name_is_broken_over_lines_and_lots_and_amounts_stay_whole() -> None:
    assert fitted(lambda: table(*NAMED), 45).split("\n") == [
        "Item      Name                Lot       Units",
        "--------  ------------------  -------  ------",
        "BSS-500   Balanced salt       N27 B03  2.5 ml",
        "          solution 500 ml",
        "          bottle",
        "VISC-COH  Cohesive            V12A          1",
        "          viscoelastic",
    ]


def test_where_not_even_that_fits_a_row_is_a_block() -> None:
    assert fitted(lambda: table(*NAMED), 30).split("\n") == [
        "Item:  BSS-500",
        "Name:  Balanced salt solution",
        "       500 ml bottle",
        "Lot:   N27 B03",
        "Units: 2.5 ml",
        "",
        "Item:  VISC-COH",
        "Name:  Cohesive viscoelastic",
        "Lot:   V12A",
        "Units: 1",
        "",
    ]


def test_a_word_that_needs_the_whole_line_stands_below_its_header() -> None:
    rows = [("VISC-COH", "Cohesive viscoelastic")]
    page = fitted(lambda: table(("Item", "What it is called"), rows), 14)
    assert page.split("\n")[1:] == [
        "VISC-COH", "What it is", "called:", "Cohesive", "viscoelastic", "",
    ]  # fmt: skip


def test_an_empty_table_keeps_its_headers_on_a_narrow_screen() -> None:
    headers = ("Item", "Not to be used", "Lot")
    assert fitted(lambda: table(headers, []), 12).split() == " ".join(headers).split()


@pytest.mark.parametrize("columns", [10, 25, 40])
def test_the_line_under_a_heading_is_no_longer_than_the_screen(columns: int) -> None:
    page = fitted(lambda: heading("Stock on hand", site(demonstration=True)), columns)
    *words, rule = page.split("\n")
    assert set(rule) == {"="}
    assert len(rule) <= columns
    assert " ".join(words) == "Stock on hand Small Site. DEMONSTRATION, invented data"


def test_bars_are_shorter_on_a_narrow_screen_and_in_proportion() -> None:
    lines = fitted(lambda: bars([("2027-03", 100, "1.00"), ("2027-04", 50, "0.50")]), 34)
    assert [line.count("#") for line in lines.split("\n")] == [20, 10]
    assert max(map(len, lines.split("\n"))) == 34


def test_a_page_made_after_one_for_a_screen_is_as_wide_as_ever() -> None:
    with pytest.raises(ZeroDivisionError):
        fitted(lambda: str(1 // 0), 10)
    assert len(table(*NAMED).split("\n")[1]) > 60
