"""Staff codes shown, all or one; one made or changed by itself."""

import json

from desk import Desk

from jobs.pages import line_with
from stockbook.jobs.import_ import columns_of


def test_a_new_code_may_record_at_once_and_no_longer_when_inactive(desk: Desk) -> None:
    desk.ok("staff new KZ --role keeper --name 'Kay Zed' --by MA")
    desk.ok("move VISC 1 --from STORE --to OT1 --by KZ")
    desk.ok("staff change KZ --active no --by MA")
    assert "KZ is not in this book" in desk.refused("move VISC 1 --from STORE --to OT1 --by KZ", 2)
    assert desk.rows("SELECT role, active FROM staff_code WHERE code = 'KZ'") == [("keeper", 0)]


def test_a_name_stays_beside_the_chain(desk: Desk) -> None:
    desk.ok("staff new KZ --role keeper --name 'Kay Zed' --by MA")
    assert desk.rows("SELECT name FROM person WHERE code = 'KZ'") == [("Kay Zed",)]
    assert desk.rows("SELECT COUNT(*) FROM change WHERE body LIKE '%Zed%'") == [(0,)]


def test_nobody_shuts_themselves_out(desk: Desk) -> None:
    assert "your own code" in desk.refused("staff change MA --active no --by MA", 2)


def test_a_wrong_role_is_refused(desk: Desk) -> None:
    assert "keeper, nurse" in desk.refused("staff change KE --role boss --by MA", 2)


def test_staff_is_shown_all_and_one(desk: Desk) -> None:
    desk.ok("staff change KE --active no --by MA")
    page = desk.ok("staff show")
    assert line_with(page, "KE ") == "KE Ken Keeper keeper inactive"
    assert line_with(page, "NU ") == "NU Nora Nurse nurse"
    assert page.splitlines()[-1] == "6 staff codes, 1 of them inactive."
    assert line_with(desk.ok("staff show nu"), "May record") == (
        "May record issue, finish, list, case"
    )
    assert "nothing yet" in line_with(desk.ok("staff show AU"), "May record")
    assert "inactive" in line_with(desk.ok("staff show KE"), "May record")
    assert desk.refused("staff show NUU", 2) == "staff: NUU is not in this book. Near: NU.\n"


def test_the_data_of_staff_is_a_file_of_it(desk: Desk) -> None:
    assert desk.ok("staff show --csv").splitlines()[0] == ",".join(columns_of("staff"))
    (row,) = json.loads(desk.ok("staff show KE --json"))["staff"]["rows"]
    assert row == {"staff": "KE", "role": "keeper", "name": "Ken Keeper", "active": "yes"}
