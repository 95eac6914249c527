"""What the tests of claims share: sponsors, a lens in kind, cases that can be claimed."""

import json

from desk import Desk

SPONSORS = """sponsor,name,amount,deduction,days
CAMP,Camp fund,12000.00,4500.00,30
FUND,Eye fund,9000.00,,
SOON,Not agreed yet,,,
"""
GIFT = """item,units,lot,expiry,terms,shadow,sponsors
FLATL+21.50,2,F9,2029-06,in-kind,900.00,CAMP
"""
MARCH = "--from 2027-03-01 --to 2027-03-31"
SEND = f"claims sent CAMP D1 {MARCH} -y --by FI"


def claimable(desk: Desk) -> Desk:
    """C1 (a bought lens) and C3 (a lens in kind) are finished for CAMP; C2 is planned for it."""
    desk.ok(f"import sponsors {desk.file('sponsors.csv', SPONSORS)} --by MA")
    desk.ok(f"receive CART --note G1 --lines {desk.file('gift.csv', GIFT)} --by KE")
    for case in ("C1", "C2"):
        desk.ok(f"case change {case} --sponsor CAMP --by NU")
    for line in ("issue C1", "finish C1 --as-kit", "issue C3",
                 "finish C3 --as-kit --lot FLATL+21.50 F9"):  # fmt: skip
        desk.ok(f"{line} --by NU")
    return desk


def shown(desk: Desk, sponsor: str = "CAMP", more: str = MARCH, **at: str) -> dict[str, dict]:
    """The rows of a sponsor's cases by case."""
    rows = json.loads(desk.ok(f"claims show {sponsor} {more} --json", **at))["claims"]["rows"]
    return {row["case"]: row for row in rows}


def states(desk: Desk, sponsor: str = "CAMP") -> dict[str, str]:
    return {case: row["state"] for case, row in shown(desk, sponsor).items()}


def facts(desk: Desk) -> list[tuple]:
    return desk.rows(
        "SELECT code, state, amount, deduction, paid, sent_on, settled_on, reason "
        "FROM claimed_case ORDER BY code"
    )
