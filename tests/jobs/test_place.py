"""Places shown, all or one; one made or changed by itself."""

import json

import pytest
from desk import Desk

from jobs.pages import line_with
from stockbook.jobs.import_ import columns_of


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
        ("new 1e-05 --name Shed --kind store", 2, "1E-05 is a number to a spreadsheet"),
        ("change supplier/ACME --name X", 2, "capitals"),
    ],
)
def test_a_wrong_place_is_refused(desk: Desk, line: str, code: int, words: str) -> None:
    assert words in desk.refused(f"place {line} --by MA", code)


def test_all_places_are_shown_with_their_kind_and_number(desk: Desk) -> None:
    desk.ok("place new SHED --name Shed --kind store --storage-class cold --closed yes --by MA")
    page = desk.ok("place show")
    assert line_with(page, "SHED") == "SHED Shed store cold closed"
    assert line_with(page, "STORE") == "STORE Main store store"
    assert line_with(page, "trolley/OT1") == "trolley/OT1 trolley of Theatre 1 trolley"
    assert "5 places, 1 of them closed; " in page.splitlines()[-1]


def test_one_place_is_shown(desk: Desk) -> None:
    page = desk.ok("place show ot1")
    assert line_with(page, "Kind") == "Kind theatre"
    assert line_with(page, "Trolley") == "Trolley trolley/OT1"
    assert line_with(desk.ok("place show trolley/OT1"), "Theatre  ") == "Theatre OT1"
    desk.ok("place change QUAR --closed yes --by MA")
    assert line_with(desk.ok("place show QUAR"), "Closed ").startswith("Closed yes")


def test_a_place_that_is_unknown_gets_the_near_ones(desk: Desk) -> None:
    said = desk.refused("place show STOR", 2)
    assert said == "place: STOR is not in this book. Near: STORE.\n"
    assert "capitals" in desk.refused("place show trolley/OT9", 2)


def test_the_data_of_places_is_a_file_of_those_that_a_site_makes(desk: Desk) -> None:
    first, *rows = desk.ok("place show --csv").splitlines()
    assert first == ",".join(columns_of("places"))
    assert [row.partition(",")[0] for row in rows] == ["OT1", "OT2", "QUAR", "STORE"]
    (row,) = json.loads(desk.ok("place show OT1 --json"))["places"]["rows"]
    assert row == {
        "place": "OT1", "name": "Theatre 1", "kind": "theatre", "storage_class": None,
        "closed": "no",
    }  # fmt: skip
