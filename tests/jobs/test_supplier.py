"""Suppliers shown, all or one; one made or changed by itself."""

import json

from desk import Desk

from jobs.pages import line_with
from stockbook.jobs.import_ import columns_of


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


def test_suppliers_are_shown_all_and_one(desk: Desk) -> None:
    page = desk.ok("supplier show")
    assert line_with(page, "CART") == "CART Cart and Son"
    assert page.splitlines()[-1] == "3 suppliers."
    one = desk.ok("supplier show acme")
    assert line_with(one, "Name") == "Name Acme Supplies"
    assert line_with(one, "Place") == "Place supplier/ACME"
    said = desk.refused("supplier show ACM", 2)
    assert said == "supplier: ACM is not in this book. Near: ACME.\n"


def test_the_data_of_suppliers_is_a_file_of_them(desk: Desk) -> None:
    first, *rows = desk.ok("supplier show --csv").splitlines()
    assert first == ",".join(columns_of("suppliers"))
    assert rows == ["ACME,Acme Supplies", "CART,Cart and Son", "LENSCO,Lens Company"]
    (row,) = json.loads(desk.ok("supplier show ACME --json"))["suppliers"]["rows"]
    assert row == {"supplier": "ACME", "name": "Acme Supplies"}
