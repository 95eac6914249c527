"""What has no invoice yet, as data."""

import csv
import io

from desk import Desk


def test_a_provisional_price_is_yes_or_no_in_a_table(desk: Desk) -> None:
    lines = "--line VISC 1 LL 2029-01 1.00 --line CASS 1 C9 2029-01 -"
    desk.ok(f"receive ACME --note N1 {lines} --by KE")
    table = desk.ok("invoice --csv").split("\n\n")[0]
    rows = list(csv.DictReader(io.StringIO(table)))
    assert {row["lot"]: row["provisional"] for row in rows} == {"LL": "no", "C9": "yes"}
    target = desk.folder / "open.xlsx"
    desk.ok(["invoice", "-o", str(target)])
    from openpyxl import load_workbook

    sheet = load_workbook(target)["received_not_invoiced"]
    assert {row[4]: row[7] for row in sheet.iter_rows(min_row=2, values_only=True)} == {
        "LL": "no", "C9": "yes"
    }  # fmt: skip
