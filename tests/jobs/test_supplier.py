"""One supplier made or changed by itself."""

from desk import Desk


def test_a_new_supplier_can_deliver_at_once(desk: Desk) -> None:
    desk.ok("supplier new NEWCO --name 'New Company' --by MA")
    desk.file("d.csv", "item,units,lot,expiry,total\nVISC,1,N1,2029-01,10.00\n")
    desk.ok("receive NEWCO --note 1 --lines d.csv --by KE")


def test_a_supplier_renamed_shows_its_old_and_new_name(desk: Desk) -> None:
    page = desk.ok("supplier change ACME --name 'Acme Limited' --by MA")
    assert "Acme Supplies" in page
    assert "Acme Limited" in page
    rows = desk.rows("SELECT name FROM place WHERE code = 'supplier/ACME'")
    assert rows == [("Acme Limited",)]


def test_a_wrong_supplier_is_refused(desk: Desk) -> None:
    assert "already" in desk.refused("supplier new ACME --name Acme --by MA", 3)
    assert "Near: ACME" in desk.refused("supplier change ACM --name Acme --by MA", 2)
    assert "lacks" not in desk.refused("supplier new X", 2)
