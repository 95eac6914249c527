"""Claims as data: a row a case, a row a sponsor and state, and sponsors as a file to import."""

from stockbook.domain.claim_answers import AllSponsors, ClaimsOfPeriod, SponsorSums
from stockbook.domain.claims import NOT_YET, SponsoredCase
from stockbook.reports.data import DataSheet, columns

_CASE = (
    "list_day:day", "list", "case", "patient", "sponsor_number", "eye", "category", "lenses",
    "serials", "how_known", "amount:money", "deduction:money", "due:money", "deadline:day", "state",
    "days_late:count", "document", "sent_on:day", "settled_on:day", "paid:money", "reason",
    "stands", "changed",
)  # fmt: skip


def claims_sheets(found: ClaimsOfPeriod) -> list[DataSheet]:
    """A row a case, in the order of the lists; of a sample those drawn, with their digests."""
    about = (
        ("sponsor", found.sponsor), ("first_day", found.first_day), ("last_day", found.last_day),
        ("today", found.today), ("book", found.book_id), ("last_entry", str(found.last_entry)),
        ("checksum", found.checksum),
    )  # fmt: skip
    if found.sample is None:
        rows = tuple(_row(row, found.today) for row in found.rows)
        return [DataSheet("claims", about, columns(*_CASE), rows)]
    rows = tuple((one.digest, *_row(one.row, found.today)) for one in found.sample)
    return [DataSheet("sample", about, columns("sha_256", *_CASE), rows)]


def _row(row: SponsoredCase, today: str) -> tuple[object, ...]:
    case, claim = row.case, row.claim
    return (
        row.day, case.list, case.code, case.patient, case.sponsor_number, case.eye, case.category,
        ", ".join(one.item.code for one in row.lenses) or None,
        ", ".join(one.number for one in row.lenses) or None,
        ("seen" if row.lens_seen else "presumed") if row.lenses else None, row.amount,
        row.deduction, row.due, row.deadline, row.state, row.days_late(today),
        claim and claim.document, claim and claim.sent_on, claim and claim.settled_on,
        claim and claim.paid, claim and claim.reason, row.stands, "; ".join(row.changes) or None,
    )  # fmt: skip


def sponsors_sheets(found: AllSponsors) -> list[DataSheet]:
    """A row for each sponsor and state that has cases."""
    about = (
        ("first_day", found.first_day or ""), ("last_day", found.last_day or ""),
        ("last_entry", str(found.last_entry)), ("checksum", found.checksum),
    )  # fmt: skip
    names = columns(
        "sponsor", "name", "state", "cases:count", "amount:money", "deduction:money", "due:money",
        "paid:money",
    )  # fmt: skip
    rows = tuple(row for one in found.sponsors for row in _state_rows(one))
    return [DataSheet("sponsors", about, names, rows)]


def _state_rows(one: SponsorSums) -> list[tuple[object, ...]]:
    name = one.terms.name if one.terms else None
    rows: list[tuple[object, ...]] = [
        (one.sponsor, name, state.state, state.cases, state.amount, state.deduction, state.due,
         state.paid)
        for state in one.sums
    ]  # fmt: skip
    return [*rows, (one.sponsor, name, NOT_YET, one.not_yet, None, None, None, None)]
