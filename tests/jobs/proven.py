"""What has to hold after whatever was recorded."""

from desk import Desk


def proven(desk: Desk) -> None:
    """The chain is sound, every place adds up, and no unit lies on a trolley without its case."""
    assert "The book is sound" in desk.ok("book verify")
    assert "The proof holds." in desk.ok("cost --month 2027-03")


def on_trolleys(desk: Desk) -> list[tuple]:
    """What lies on any trolley."""
    return desk.rows("SELECT place, lot, quantity FROM on_hand WHERE place LIKE 'trolley/%'")


def of_case(desk: Desk, case: str) -> dict[tuple[str, str], tuple[int, int]]:
    """Steps and value of what a case has, by place and printed lot (or serial)."""
    rows = desk.rows(
        "SELECT place, COALESCE(serial, number), case_balance.quantity, case_balance.value "
        "FROM case_balance JOIN lot ON lot.code = lot WHERE case_code = ?",
        case,
    )
    return {(place, lot): (quantity, value) for place, lot, quantity, value in rows}
