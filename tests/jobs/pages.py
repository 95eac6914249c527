"""Reading a printed page: the line that holds certain words."""

from desk import Desk


def line_with(page: str, *words: str) -> str:
    """The first line that holds all the words, blanks joined; it has to be there."""
    for line in page.splitlines():
        if all(word in line for word in words):
            return " ".join(line.split())
    raise AssertionError(f"no line with {words} in:\n{page}")


def cells(page: str, *words: str) -> list[str]:
    """The cells of that line."""
    return line_with(page, *words).split()


def value_at(desk: Desk, item: str, lot: str) -> int:
    """What a printed lot (or serial) of an item is worth on all shelves, in minor units."""
    rows = desk.rows(
        "SELECT COALESCE(SUM(on_hand.value), 0) FROM on_hand JOIN lot ON lot.code = on_hand.lot "
        "WHERE item = ? AND ? IN (number, serial)",
        item,
        lot,
    )
    return int(rows[0][0])


def moves(desk: Desk, entry: int | None = None) -> list[tuple]:
    """An entry's movements (the last entry's): lot number, quantity, value, from, to, reason."""
    return desk.rows(
        "SELECT lot.number, movement.quantity, value, from_place, to_place, reason FROM movement "
        "JOIN lot ON lot.code = movement.lot WHERE entry = ? ORDER BY line",
        entry or desk.last()[0],
    )
