"""One staff code made or changed by itself."""

from desk import Desk


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
