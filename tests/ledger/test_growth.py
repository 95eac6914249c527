"""Questions that must not grow with the book: what they read, and what is kept for them."""

import pytest
from desk import TODAY, Desk

from ledger.books import opened, tampering
from stockbook.domain.asking import AsOf
from stockbook.domain.facts import Case, Lot
from stockbook.domain.tracing import trace_lot
from stockbook.ledger import cases, claims, facts, history, kit_use, money, open_points, use
from stockbook.ledger.as_of import reading_as_of

SUMS = (
    "SELECT booked_on, from_place, to_place, SUM(value) FROM entry "
    "JOIN movement ON entry = number GROUP BY 1, 2, 3 HAVING SUM(value) <> 0 ORDER BY 1, 2, 3"
)


@pytest.fixture
def used(desk: Desk) -> Desk:
    """A case issued and finished, another one issued, a third one reversed."""
    desk.ok("issue C1 --by NU")
    desk.ok("finish C1 --as-kit --by NU")
    desk.ok("issue C2 --by NU", today="2027-03-02")
    desk.ok("issue C3 --by NU", today="2027-03-03")
    number, _ = desk.last()
    desk.ok(f"reverse {number} --reason wrong-case --by NU", today="2027-03-03")
    return desk


def test_the_sums_of_days_are_those_of_the_movements(used: Desk) -> None:
    assert used.rows("SELECT * FROM day_flow ORDER BY 1, 2, 3") == used.rows(SUMS) != []


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE day_flow SET value = value + 1 WHERE to_place = 'used/paid'",
        "DELETE FROM day_flow WHERE to_place = 'used/paid'",
        "INSERT INTO day_flow VALUES ('2027-01-01', 'STORE', 'OT1', 1)",
    ],
)
def test_a_sum_changed_by_another_hand_is_named(used: Desk, change: str) -> None:
    with tampering(used.path) as db:
        db.execute(change)
    answer = used.run("book verify")
    assert answer.code == 5
    assert "day_flow 2027-0" in answer.out


def test_sums_of_days_as_of_every_entry_are_those_of_its_movements(used: Desk) -> None:
    last, _ = used.last()
    with opened(used.path) as book:
        for number in range(1, last + 1):
            with reading_as_of(book, AsOf(TODAY, number)) as db:
                found = db.execute(
                    "SELECT booked_on, from_place, to_place, SUM(value) FROM day_flow "
                    "GROUP BY 1, 2, 3 HAVING SUM(value) <> 0 ORDER BY 1, 2, 3"
                ).fetchall()
                assert found == db.execute(SUMS).fetchall()


def test_no_question_of_a_month_a_lot_or_the_trolleys_reads_the_whole_book(used: Desk) -> None:
    with opened(used.path) as book:
        asked: list[str] = []
        book.db.set_trace_callback(asked.append)
        money.proof(book.db, "2027-03-01", "2027-03-31")
        money.first_used(book.db, {"C1"}, "2027-03-01", "2027-03-31")
        assert {row[0] for row in money.ended_items(book.db, "2027-03-01", "2027-03-31")} == {"C1"}
        history.moves_of_item(book.db, "KNIFE", [1])
        assert cases.unfinished(book.db) == ["C2"]
        book.db.set_trace_callback(None)
        plans = [row[3] for sql in asked for row in book.db.execute(f"EXPLAIN QUERY PLAN {sql}")]
    assert len(plans) > 10
    whole = ("SCAN movement", "SCAN case_balance", "movement_case (case_code>?)")
    assert not [plan for plan in plans if any(words in plan for words in whole)]
    assert all("INTEGER PRIMARY KEY" in plan for plan in plans if "SEARCH own" in plan)


def test_no_question_of_what_waits_of_a_patient_or_of_kits_reads_the_whole_book(
    used: Desk,
) -> None:
    """Nor does one begin with all entries that reverse nothing, which is nearly all of them."""
    with opened(used.path) as book:
        asked: list[str] = []
        book.db.set_trace_callback(asked.append)
        facts.all_of(book.db, Case, patient={"P-1", "P-2"})
        open_points.against_rules(book.db, "2027-02-01")
        open_points.unexplained_rescues(book.db)
        open_points.rescues_of_case(book.db, "C1")
        open_points.provisional_lots(book.db)
        open_points.found_at_use(book.db)
        cases.recorded_of_cases(book.db, ["C1", "C2"])
        assert kit_use.finished_cases(book.db, "2027-03-01", "2027-03-31")
        assert kit_use.flows_of_cases(book.db, "2027-03-01", "2027-03-31")
        use.recent_use(book.db, ["KNIFE"], "2027-03-31", 30)
        book.db.set_trace_callback(None)
        plans = [row[3] for sql in asked for row in book.db.execute(f"EXPLAIN QUERY PLAN {sql}")]
    assert len(plans) > 30
    small = ("SCAN entry USING INDEX entry_rescue", "SCAN lot USING INDEX lot_provisional")
    scans = [p for p in plans if p.startswith(("SCAN entry", "SCAN lot", "SCAN theatre_case"))]
    assert set(scans) == set(small)
    backwards = [plan for plan in plans if "(reverses=?)" in plan]
    assert all(plan.startswith("SEARCH back ") for plan in backwards)
    assert "SEARCH theatre_case USING INDEX theatre_case_patient (patient=?)" in plans
    assert "SEARCH entry USING INDEX entry_reason (reason=?)" in plans


def test_a_trace_needs_only_what_was_recorded_from_its_lot_on(used: Desk) -> None:
    used.ok("receive ACME --note N2 --line KNIFE 5 K99 2029-01 100.00 --by KE", today="2027-03-03")
    used.ok("issue C3 --by NU", today="2027-03-03")
    used.ok("finish C2 --as-kit --lot KNIFE K99 --by NU", today="2027-03-03")
    used.ok("finish C3 --as-kit --by NU", today="2027-03-03")
    with opened(used.path) as book, book.reading() as db:
        lots = facts.all_of(db, Lot, item="KNIFE")
        everything = history.moves_of_item(db, "KNIFE", [lot.code for lot in lots])
        shorter = 0
        for lot in lots:
            moves = history.moves_of_item(db, "KNIFE", [lot.code])
            assert trace_lot([lot], moves) == trace_lot([lot], everything)
            shorter += len(moves) < len(everything)
    assert shorter


@pytest.mark.parametrize("others", [0, facts.MOST_VALUES - 2, facts.MOST_VALUES + 5000])
def test_facts_of_any_number_of_codes_are_found_in_order(used: Desk, others: int) -> None:
    """One question of SQLite takes 32,766 values; a year of a large site has more cases."""
    wanted = {f"X{n}" for n in range(others)} | {"C3", "C1"}
    with opened(used.path) as book, book.reading() as db:
        found = facts.all_of(db, Case, code=wanted, kind="patient")
    assert [case.code for case in found] == ["C1", "C3"]


def test_no_question_of_claims_reads_all_cases_or_all_claims(used: Desk) -> None:
    with opened(used.path) as book:
        asked: list[str] = []
        book.db.set_trace_callback(asked.append)
        claims.cases_of_period(book.db, "CAMP", "2027-03-01", "2027-03-31")
        claims.cases_of_sponsor(book.db, "CAMP")
        claims.unclaimed_cases(book.db, "CAMP", "2027-03-31")
        claims.is_named(book.db, "CAMP")
        claims.lenses_used(book.db, ["C1", "C3"])
        claims.claims_of_cases(book.db, ["C1", "C3"])
        claims.claim_of_document(book.db, "D1")
        book.db.set_trace_callback(None)
        plans = [row[3] for sql in asked for row in book.db.execute(f"EXPLAIN QUERY PLAN {sql}")]
    assert len(plans) > 15
    scans = ("SCAN theatre_case", "SCAN case_balance", "SCAN lot")
    assert not [plan for plan in plans if plan.startswith(scans)]
    assert "SEARCH theatre_case USING INDEX theatre_case_sponsor (sponsor=?)" in plans
