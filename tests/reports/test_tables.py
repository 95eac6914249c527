"""Plain tables, bars and headings, alike in every report."""

import pytest

from stockbook.domain.answers import Site
from stockbook.domain.money import Currency
from stockbook.reports.tables import BAR, bars, heading, plural, table


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
