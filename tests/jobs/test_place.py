"""One place made or changed by itself."""

import pytest
from desk import Desk


def test_a_new_theatre_comes_with_its_trolley(desk: Desk) -> None:
    desk.ok("place new OT3 --name 'Theatre 3' --kind theatre --by MA")
    rows = desk.rows("SELECT code, kind FROM place WHERE code LIKE '%OT3' ORDER BY code")
    assert rows == [("OT3", "theatre"), ("trolley/OT3", "trolley")]


def test_an_empty_place_can_be_closed_and_opened_again(desk: Desk) -> None:
    desk.ok("place new SHED --name Shed --kind store --by MA")
    desk.ok("place change SHED --closed yes --by MA")
    assert desk.rows("SELECT name, closed FROM place WHERE code = 'SHED'") == [("Shed", 1)]
    desk.refused("move VISC 1 --from STORE --to SHED --by KE", 2)
    desk.ok("place change SHED --closed no --by MA")
    desk.ok("move VISC 1 --from STORE --to SHED --by KE")
    assert "units lie there" in desk.refused("place change SHED --closed yes --by MA", 2)


def test_a_file_without_the_column_does_not_open_a_closed_place(desk: Desk) -> None:
    desk.ok("place change QUAR --closed yes --by MA")
    assert "nothing changed" in desk.ok("import places places.csv --by MA")
    assert desk.rows("SELECT closed FROM place WHERE code = 'QUAR'") == [(1,)]


@pytest.mark.parametrize(
    ("line", "code", "words"),
    [
        ("new STORE --name Store --kind store", 3, "in the book already"),
        ("new SHED --name Shed --kind attic", 2, "store, theatre, quarantine"),
        ("change STORE --kind theatre", 2, "as it was made"),
        ("change STOR --name Store", 2, "Near: STORE"),
        ("change supplier/ACME --name X", 2, "capitals"),
    ],
)
def test_a_wrong_place_is_refused(desk: Desk, line: str, code: int, words: str) -> None:
    assert words in desk.refused(f"place {line} --by MA", code)
