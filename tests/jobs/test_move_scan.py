"""A move by scanner: what was scanned moves as if it had been typed, once, or not at all."""

import shutil
from pathlib import Path

import pytest
from desk import Answer, Desk
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from unpacking import sittings, typed_in

from jobs.pages import line_with, moves
from jobs.shelves import keep_as

V3 = "]d201095211015300011729013110V3"
"""A single one of lot V3, which lies in the store five times."""
BOX = "19521101530008"
"""An outer pack of ten; its symbol says no lot."""


def carry(
    desk: Desk, *lines: str, by: str = "KE", way: tuple[str, str] = ("STORE", "OT1"),
    more: str = "", today: str = "",
) -> Answer:  # fmt: skip
    """What is said to these lines; the input then ends."""
    return typed_in(desk, f"move --from {way[0]} --to {way[1]} --scan --by {by} {more}",
                    lines, today)  # fmt: skip


def carried(desk: Desk, *lines: str, by: str = "KE", more: str = "") -> str:
    """The same, where nothing is refused."""
    answer = carry(desk, *lines, by=by, more=more)
    assert answer.code == 0, f"{answer.out}\n{answer.err}"
    return answer.out + answer.err


def refused(desk: Desk, *lines: str, way: tuple[str, str] = ("STORE", "OT1")) -> str:
    """The same, where a line is refused: no entry, and the sitting as it was without that line."""
    before = desk.last(), desk.rows("SELECT place, lot, quantity FROM on_hand ORDER BY 1, 2")
    answer = carry(desk, *lines, way=way)
    assert answer.code == 2, f"{answer.out}\n{answer.err}"
    assert before == (
        desk.last(), desk.rows("SELECT place, lot, quantity FROM on_hand ORDER BY 1, 2")
    )  # fmt: skip
    return answer.out + answer.err


# As if typed


@pytest.fixture
def twins(desk: Desk, tmp_path: Path) -> tuple[Desk, Desk, Path]:
    kept = tmp_path / "kept.stockbook"
    shutil.copyfile(desk.path, kept)
    return desk, Desk(desk.folder, name="other.stockbook"), kept


THERE = {
    ("VISC", "V2"): 9, ("VISC", "V3"): 5, ("VISC-B", "W1"): 6, ("KNIFE", "K2"): 5,
    ("DYE", "D1"): 3, ("FLATL+21.50", "F1"): 4, ("RINGL+21.50", "S1"): 1,
    ("RINGL+21.50", "S2"): 1, ("RINGL+21.00", "S3"): 1,
}  # fmt: skip
"""What lies in the small site's store and may be used, by item and lot (or serial)."""
named = st.dictionaries(st.sampled_from(sorted(THERE)), st.floats(0.01, 1), max_size=6)
picked = st.dictionaries(st.sampled_from(["VISC", "KNIFE", "DYE"]), st.integers(1, 3), max_size=2)


def scans_of(lots: dict[tuple[str, str], int], rule: dict[str, int]) -> list[str]:
    """Each unit scanned by itself, the lots in turn; what the rule picks by its number."""
    units = [f"{item} {lot}" for (item, lot), most in lots.items() for _ in range(most)]
    words = units[::2] + units[1::2]
    return [line for item, n in rule.items() for line in (item, f"qty {n}")] + words


@given(shares=named, rule=picked)
@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_what_was_scanned_moves_as_if_it_was_typed(
    twins: tuple[Desk, Desk, Path], shares: dict[tuple[str, str], float], rule: dict[str, int]
) -> None:
    scanned, typed, kept = twins
    for book in twins[:2]:
        shutil.copyfile(kept, book.path)
    lots = {asked: max(1, int(THERE[asked] * share)) for asked, share in shares.items()}
    left = {i: sum(n - lots.get((j, lot), 0) for (j, lot), n in THERE.items() if i == j)
            for i in rule}  # fmt: skip
    rule = {item: n for item, n in rule.items() if n <= left[item]}
    if not lots and not rule:
        return
    carried(scanned, *scans_of(lots, rule), "record")
    want = []
    for (item, lot), n in lots.items():
        typed.ok(f"move {item} {n} --from STORE --to OT1 --lot {lot} --by KE")
        want += raw_moves(typed)
    for item, n in rule.items():
        typed.ok(f"move {item} {n} --from STORE --to OT1 --by KE")
        want += raw_moves(typed)
    assert sorted(raw_moves(scanned)) == sorted(want)
    everywhere = "SELECT place, lot, quantity, value FROM on_hand ORDER BY 1, 2"
    assert scanned.rows(everywhere) == typed.rows(everywhere)
    assert sittings(scanned) == 0


def raw_moves(desk: Desk) -> list[tuple]:
    """The last entry's movements: lot, quantity, value, from, to, seen."""
    return desk.rows(
        "SELECT lot, quantity, value, from_place, to_place, seen FROM movement WHERE entry = ?",
        desk.last()[0],
    )


def test_the_way_back_is_the_same_with_the_places_swapped(desk: Desk) -> None:
    everywhere = "SELECT place, lot, quantity, value FROM on_hand ORDER BY 1, 2"
    before = desk.rows(everywhere)
    scans = ("RINGL+21.50 S1", V3, V3, "record")
    carried(desk, *scans)
    assert desk.on_hand("RINGL+21.50", "OT1") == {("OT1", "S1"): 1}
    assert carry(desk, *scans, way=("OT1", "STORE")).code == 0
    assert desk.rows(everywhere) == before
    desk.ok("book verify")


# What is shown


def test_a_scan_is_one_line_of_what_goes_and_what_stays(desk: Desk) -> None:
    said = carried(desk, V3, V3, "qty 3", "undo", "leave").splitlines()
    assert "VISC Viscoelastic, 1; lot V3 expires 2029-01; 4 left in STORE" in said
    assert "VISC Viscoelastic, 4; lot V3 expires 2029-01; 1 left in STORE" in said
    assert (
        "Taken back; still moving: VISC Viscoelastic, 1; lot V3 expires 2029-01; 4 left in STORE"
    ) in said
    assert said[-1] == "Left."


def test_a_pack_without_its_lot_is_picked_by_the_rule_and_presumed(desk: Desk) -> None:
    said = carried(desk, BOX, "record")
    wanted = "VISC Viscoelastic, 10; 9 of lot V2 expires 2027-05-31; 1 of lot V3 expires 2029-01"
    assert f"{wanted}; presumed, no lot was read; 4 left in STORE" in said
    assert [m[:2] for m in moves(desk)] == [("V2", 9), ("V3", 1)]
    assert desk.rows("SELECT DISTINCT seen FROM movement WHERE entry = ?", desk.last()[0]) == [(0,)]


def test_what_is_presumed_never_takes_the_lot_in_the_hand(desk: Desk) -> None:
    """V2 is nine; ten are picked and two of V2 scanned: three of V3 go."""
    carried(desk, BOX, "VISC V2", "qty 2", "record")
    assert sorted((m[0], m[1]) for m in moves(desk)) == [("V2", 2), ("V2", 7), ("V3", 3)]


def test_several_lots_of_one_printed_number_go_soonest_expiry_first(desk: Desk) -> None:
    more = "item,place,quantity,lot,expiry,total\nVISC,STORE,2,V3,2028-01,200.00\n"
    desk.ok(f"import opening-stock {desk.file('more.csv', more)} --by MA")
    carried(desk, V3, "qty 3", "record")
    rows = desk.rows(
        "SELECT expires_on, movement.quantity FROM movement JOIN lot ON lot.code = lot "
        "WHERE entry = ? ORDER BY line",
        desk.last()[0],
    )
    assert rows == [("2028-01-31", 2), ("2029-01-31", 1)]


def test_the_page_says_what_went(desk: Desk) -> None:
    page = carried(desk, V3, "record", more="--reason refill")
    assert "Moved from STORE to OT1" in page
    assert line_with(page, "VISC", "130.00") == "VISC Viscoelastic V3 2029-01 1 130.00"
    assert desk.rows("SELECT reason FROM entry WHERE number = ?", desk.last()[0]) == [("refill",)]


def test_a_lots_own_label_is_a_scan_of_it(desk: Desk) -> None:
    code = desk.rows("SELECT code FROM lot WHERE serial = 'S2'")[0][0]
    carried(desk, f"LOT/{code}", "record")
    assert desk.on_hand("RINGL+21.50", "OT1") == {("OT1", "S2"): 1}


def test_a_storage_class_that_does_not_fit_is_a_warning(desk: Desk) -> None:
    keep_as(desk, "cold", item="VISC")
    said = carried(desk, V3, "record")
    assert "WARNING: VISC is to be kept cold; OT1 has no storage class." in said
    assert desk.on_hand("VISC", "OT1")["OT1", "V3"] == 1


# What is refused


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("VISC V9", "VISC lot V9 does not lie in STORE."),
        ("VISC V1", "VISC lot V1 does not lie in STORE."),
        ("DYE D0", "DYE lot D0 in STORE: expired 2027-02-10"),
        ("RINGL+21.50", "RINGL+21.50 is kept by serial: scan its serial, or type ITEM SERIAL."),
        ("RINGL+21.50 S1 more", "wanted ITEM LOT, or ITEM alone"),
        ("]d20109528888888882", "no item of this book has this identifier"),
        ("09521101530009", "check digit"),
        ("SHELF/STORE/VISC", "no pack. Scan what is on the pack, or its lot's label."),
        ("CASE/C1", "no pack."),
        ("STAFF/NU", "KE sits here. LEAVE first, then NU signs in."),
        ("undo", "nothing is left to take back."),
        ("qty 2", "no pack was read yet."),
        ("record", "nothing was scanned yet. LEAVE, to record nothing."),
        ("record now", "record: found 'now' after it, wanted nothing."),
    ],
)
def test_what_cannot_go_is_refused_by_name(desk: Desk, line: str, said: str) -> None:
    assert said in refused(desk, line)
    assert "Resumed" not in carried(desk)


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ((V3, "qty 6"), "VISC: 6 asked, 5 there"),
        ((V3, "qty 0"), "qty, in packs"),
        ((V3, "qty 1.5"), "qty, in packs"),
        ((V3,) * 6, "VISC: 6 asked, 5 there"),
        ((BOX, V3, V3, V3, V3, V3), "VISC: 10 asked, 9 there"),
        (("RINGL+21.50 S1",) * 2, "serial S1 was scanned before. One serial, one pack."),
        (("RINGL+21.50 S1", "qty 2"), "RINGL+21.50 is kept by serial: one scan, one pack."),
    ],
)
def test_no_more_goes_than_is_there(desk: Desk, lines: tuple[str, ...], said: str) -> None:
    assert said in refused(desk, *lines)
    answer = carry(desk, "record")
    assert answer.code == 0, answer.err
    assert desk.rows("SELECT MIN(quantity) FROM on_hand")[0][0] > 0


def test_what_is_in_quarantine_goes_to_the_quarantine_area_alone(desk: Desk) -> None:
    desk.ok("quarantine start --item VISC --lot V3 --reason cluster --by MA")
    said = refused(desk, V3)
    assert "VISC lot V3 in STORE: in quarantine" in said
    assert carry(desk, V3, "DYE D0", "record", way=("STORE", "QUAR")).code == 0
    assert desk.on_hand("VISC", "QUAR") == {("QUAR", "V3"): 1}
    assert desk.on_hand("DYE", "QUAR") == {("QUAR", "D0"): 1}


def test_what_left_meanwhile_is_told_and_can_be_taken_back(desk: Desk) -> None:
    carried(desk, V3, "RINGL+21.50 S1")
    desk.ok("move RINGL+21.50 1 --from STORE --to OT2 --lot S1 --by KE")
    before = desk.last()
    answer = carry(desk, "record")
    assert answer.code == 2
    assert "!! RINGL+21.50 lot S1 does not lie in STORE." in answer.out
    assert "RINGL+21.50 lot S1 does not lie in STORE." in answer.err
    assert desk.last() == before
    assert "Taken back: RINGL+21.50 S1." in carried(desk, "undo", "record")
    assert [m[:2] for m in moves(desk)] == [("V3", 1)]


@pytest.mark.parametrize(
    ("line", "code", "said"),
    [
        ("move --from STORE --scan --by KE", 2, "--scan goes with --from PLACE and --to PLACE"),
        ("move VISC 1 --from STORE --to OT1 --scan --by KE", 2, "--scan goes with"),
        ("move --fill OT1 --scan --by KE", 2, "--scan goes with"),
        ("move --from STORE --to OT1 --scan -n --by KE", 2, "--scan has no dry run"),
        ("move --from STORE --to STORE --scan --by KE", 2, "from and to are both STORE"),
        ("move --from STORE --to MOON --scan --by KE", 2, "MOON is no place"),
        ("move --from STORE --to OT1 --scan --separator x --by KE", 2, "separator"),
        ("move --from STORE --to OT1 --scan --by NU", 3, "move: NU is nurse"),
    ],
)
def test_a_command_that_does_not_fit_is_refused_before_a_scan(
    desk: Desk, line: str, code: int, said: str
) -> None:
    assert said in desk.refused(line, code)


# Once, and by whom


def test_nothing_moves_before_record_and_the_sitting_goes_on(desk: Desk) -> None:
    before = desk.last(), desk.on_hand("VISC")
    carried(desk, V3)
    assert (desk.last(), desk.on_hand("VISC"), sittings(desk)) == (*before, 1)
    said = carried(desk, V3, "record")
    assert "Resumed: begun by KE at 2027-03-01T08:00:00Z, 1 scan not recorded yet." in said
    assert [m[:2] for m in moves(desk)] == [("V3", 2)]
    assert sittings(desk) == 0


def test_each_way_is_a_sitting_of_its_own(desk: Desk) -> None:
    carried(desk, V3)
    assert carry(desk, "KNIFE K1", way=("OT1", "STORE")).code == 0
    assert sittings(desk) == 2
    carried(desk, "record")
    assert [m[0] for m in moves(desk)] == ["V3"]


def test_another_keeper_takes_it_over_after_a_question(desk: Desk) -> None:
    desk.ok("staff new KT --role keeper --by MA")
    carried(desk, V3)
    answer = carry(desk, by="KT")
    assert answer.code == 2
    assert "KE began this move at 2027-03-01T08:00:00Z; 1 scan not recorded." in answer.err
    carried(desk, "record", by="KT", more="-y")
    assert desk.rows("SELECT by FROM entry WHERE number = ?", desk.last()[0]) == [("KT",)]
