"""A page taken apart for paper: its title, every table whole, the words between, in their order."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockbook.domain.answers import Site
from stockbook.domain.money import Currency
from stockbook.reports import tables
from stockbook.reports.parts import HeadedTable, Title, Words, taken_apart

SITE = Site("Small Site", Currency("INR", 2), demonstration=False, people={})
TEXTS = st.text(alphabet=st.characters(exclude_categories=["Cc", "Cs", "Zl", "Zp"]), max_size=12)


def table_of(rows: list[list[str]], **more: object) -> str:
    return tables.table(("Item", "Units"), rows, "Units", **more)  # type: ignore[arg-type]


def test_title_tables_and_words_come_out_in_their_order() -> None:
    def page() -> str:
        drawn = table_of([["VISC", "9"], ["All", "9"]], caption="What there is", sums=1)
        return "\n".join([tables.heading("Stock", SITE), "Before.", drawn, "", "After."])

    assert taken_apart(page) == [
        Title("Stock"), Words("Before."),
        HeadedTable(("Item", "Units"), (("VISC", "9"), ("All", "9")), (False, True),
                    "What there is", 1),
        Words("After."),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("above", "caption"),
    [("Received and not invoiced", "Received and not invoiced"), ("A sentence.", "Stock")],
)
def test_a_table_without_a_caption_has_the_words_above_it_or_the_title(
    above: str, caption: str
) -> None:
    parts = taken_apart(
        lambda: "\n".join([tables.heading("Stock", SITE), above, table_of([["VISC", "9"]])])
    )
    (found,) = [part for part in parts if isinstance(part, HeadedTable)]
    assert found.caption == caption
    assert (Words(above) in parts) is (above != caption)


def test_a_sentence_that_was_broken_over_lines_is_one_again() -> None:
    text = "By lot is the ledger\nas it is.\nanother line.\nLast entry 9"
    assert taken_apart(lambda: text) == [
        Words("By lot is the ledger as it is."), Words("another line."), Words("Last entry 9"),
    ]  # fmt: skip


def test_an_indented_line_stands_alone() -> None:
    assert taken_apart(lambda: "Of the text\n  a/b CASE\nwith the code.") == [
        Words("Of the text"), Words("a/b CASE"), Words("with the code."),
    ]  # fmt: skip


def test_facts_and_bars_become_tables() -> None:
    parts = taken_apart(lambda: tables.lines([("Name", "Drops"), ("None", None)]))
    assert [part.rows for part in parts if isinstance(part, HeadedTable)] == [(("Name", "Drops"),)]
    parts = taken_apart(lambda: tables.bars([("free", 3, "3 cases"), ("paid", 1, "1 case")]))
    assert [part.rows for part in parts if isinstance(part, HeadedTable)] == [
        (("free", "3 cases"), ("paid", "1 case"))
    ]


@given(st.lists(st.lists(TEXTS, min_size=2, max_size=2), max_size=6))
def test_every_cell_is_kept_as_it_is(rows: list[list[str]]) -> None:
    parts = taken_apart(lambda: "\n".join([table_of(rows, caption="x"), table_of(rows)]))
    kept = [part.rows for part in parts if isinstance(part, HeadedTable)]
    assert kept == [tuple(map(tuple, rows))] * 2


def test_afterwards_and_after_a_fault_tables_are_drawn_again() -> None:
    def fails() -> str:
        raise ValueError("no page")

    drawn = table_of([["VISC", "9"]])
    taken_apart(lambda: table_of([["VISC", "9"]]))
    with pytest.raises(ValueError, match="no page"):
        taken_apart(fails)
    assert table_of([["VISC", "9"]]) == drawn
