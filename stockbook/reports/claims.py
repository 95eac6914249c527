"""How claims look: a sponsor's cases of some days, every sponsor, and what was recorded."""

from collections.abc import Iterable, Sequence
from functools import partial

from stockbook.domain.answers import Site
from stockbook.domain.claim_answers import (
    AllSponsors,
    ClaimDone,
    ClaimsOfPeriod,
    SponsorSums,
    sampled_text,
)
from stockbook.domain.claims import (
    DECLINED,
    ELSEWHERE,
    NOT_YET,
    REIMBURSED,
    TO_CLAIM,
    SponsoredCase,
    StateSum,
    state_sums,
)
from stockbook.domain.finance_facts import ClaimedCase, Sponsor
from stockbook.domain.lenses import power_text
from stockbook.domain.reasons import DECLINED_CLAIM
from stockbook.reports.tables import heading, plural, table

NOT_STATED = "no amount stated"
CAUTION = "The sponsor's own rules decide what is paid, until when and on which proof."
SHOWN_OF_DIGEST = 12


def claims_page(found: ClaimsOfPeriod, site: Site) -> str:
    """What was done, what is asked for it, what cannot be claimed yet, and the sums."""
    name = f"{found.sponsor} {found.terms.name}" if found.terms else found.sponsor
    days = f"lists {found.first_day} to {found.last_day}"
    parts = [heading(f"Claims of {name}, {days} ({site.money.code})", site)]
    parts.append(_terms_words(found.terms, found.sponsor, site))
    if not found.rows:
        parts.append(f"No case of {found.sponsor} is on a list of these days.")
    elif found.sample is not None:
        parts += _sample(found)
    else:
        parts += [*_claims(found, site), *_others(found), *_notes(found)]
    parts += ["", _foot(found.last_entry, found.checksum)]
    return "\n".join(parts)


def _terms_words(terms: Sponsor | None, code: str, site: Site) -> str:
    """What the sponsor pays, in a sentence."""
    if terms is None:
        return (
            f"The book does not describe {code}: {NOT_STATED}, no deadline. Add it with "
            "'stockbook sponsor new' or 'import sponsors FILE'."
        )
    pays = NOT_STATED if terms.amount is None else f"{site.money.text(terms.amount)} a case"
    if terms.deduction:
        pays += f", less {site.money.text(terms.deduction)} for each lens given in kind"
    until = "no deadline stated" if terms.days is None else f"{plural(terms.days, 'day')} to claim"
    return f"Stated: {pays}; {until}."


def _foot(last_entry: int, checksum: str) -> str:
    return f"Last entry {last_entry}, checksum {checksum}\n{CAUTION}"


def _claims(found: ClaimsOfPeriod, site: Site) -> list[str]:
    """Two tables of the same cases: for the sponsor's verifier, and for the accounts."""
    if not found.claims:
        return []
    return ["", _done_table(found.claims), "", _money_table(found, site), "",
            sums_table(state_sums(found.rows), site)]  # fmt: skip


def _done_table(rows: Iterable[SponsoredCase], digests: Sequence[str] = ()) -> str:
    """Which lens went into whose eye; in a sample with each case's digest before it."""
    rows = list(rows)
    numbers = any(row.case.sponsor_number for row in rows)
    names = ("Day", "Case", "Patient", *(("Their number",) if numbers else ()), "Eye", "Lens",
             "Serial or lot", "How known")  # fmt: skip
    cells = [_done_row(row, numbers=numbers) for row in rows]
    if not digests:
        return table(names, cells, caption="Cases and the lenses that they used")
    return table(
        ("SHA-256", *names),
        [(one, *row) for one, row in zip(digests, cells, strict=True)],
        caption="Cases to verify",
    )


def _done_row(row: SponsoredCase, *, numbers: bool) -> tuple[str, ...]:
    case = row.case
    number = (case.sponsor_number or "",) if numbers else ()
    return (row.day, case.code, case.patient or "", *number, case.eye or "", *_lens(row))


def _lens(row: SponsoredCase) -> tuple[str, str, str]:
    """Models with powers, serials (or lots), and whether seen, of what the case really used."""
    models = [f"{one.item.lens_model} {power_text(one.item.power or 0)}" for one in row.lenses]
    serials = [f"{one.number} ({one.count})" if one.count > 1 else one.number
               for one in row.lenses]  # fmt: skip
    known = ("seen" if row.lens_seen else "presumed") if row.lenses else ""
    return ", ".join(models) or "none used", ", ".join(serials), known


def _money_table(found: ClaimsOfPeriod, site: Site) -> str:
    known = partial(_known, site)
    rows = [
        (row.case.code, _money(site, row.amount), known(row.deduction), known(row.due),
         row.deadline or "", _state_words(row, found.today),
         row.claim.document if row.claim else "")
        for row in found.claims
    ]  # fmt: skip
    names = ("Case", "Amount", "Deduction", "Due", "Deadline", "State", "Document")
    return table(names, rows, "Amount,Deduction,Due", caption="What is asked for them")


def _money(site: Site, amount: int | None) -> str:
    return NOT_STATED if amount is None else site.money.text(amount)


def _state_words(row: SponsoredCase, today: str) -> str:
    """The state, since when, and whether it is or was late."""
    late = row.days_late(today)
    if row.claim is None:
        return f"to claim, LATE by {plural(late, 'day')}" if late else TO_CLAIM
    told = f"{row.state} {row.claim.settled_on or row.claim.sent_on}"
    return f"{told}, sent late" if late else told


def sums_table(sums: Sequence[StateSum], site: Site) -> str:
    """State by state: cases, amounts, deductions, what is due and what was paid."""
    rows = [
        (one.state, one.cases, _money(site, one.amount), _known(site, one.deduction),
         _known(site, one.due), site.money.text(one.paid))
        for one in sums if one.cases
    ]  # fmt: skip
    names = ("State", "Cases", "Amount", "Deduction", "Due", "Paid")
    return table(names, rows, "Cases,Amount,Deduction,Due,Paid", caption="State by state")


def _known(site: Site, amount: int | None) -> str:
    return "" if amount is None else site.money.text(amount)


def _others(found: ClaimsOfPeriod) -> list[str]:
    """Cases that cannot be claimed as they stand, with why."""
    if not found.others:
        return []
    rows = [(row.day, row.case.code, row.case.patient, _why_not(row)) for row in found.others]
    return ["", "Not claimable as they stand", table(("Day", "Case", "Patient", "Why"), rows)]


def _why_not(row: SponsoredCase) -> str:
    if row.state == ELSEWHERE and row.standing is not None:
        return f"{row.standing.state} in document {row.standing.document} of {row.standing.sponsor}"
    return f"{row.stands}, not finished"


def _notes(found: ClaimsOfPeriod) -> list[str]:
    """What needs a look: late cases, cases changed since they were sent, why some were declined."""
    notes = []
    if found.late:
        notes.append(f"LATE: the deadline of {plural(len(found.late), 'case')} has passed.")
    notes += [
        f"Changed since it was sent: {row.case.code}, {'; '.join(row.changes)}."
        for row in found.rows if row.changes
    ]  # fmt: skip
    notes += [
        f"Declined: {row.case.code}, {_reason(row.claim)}; 'claims sent' takes it again with "
        f"--again {row.case.code}."
        for row in found.rows if row.claim and row.state == DECLINED
    ]  # fmt: skip
    return ["", *notes] if notes else []


def _reason(claim: ClaimedCase) -> str:
    return DECLINED_CLAIM.get(claim.reason or "", claim.reason or "")


def _sample(found: ClaimsOfPeriod) -> list[str]:
    """The cases drawn, and the rule by which anyone draws the same ones."""
    drawn = found.sample or ()
    done = sum(row.can_be_verified for row in found.rows)
    text = sampled_text(found.book_id, found.sponsor, found.first_day, found.last_day, "CASE")
    digests = [one.digest[:SHOWN_OF_DIGEST] for one in drawn]
    rows = _done_table((one.row for one in drawn), digests)
    return [
        "", f"To verify: {len(drawn)} of {plural(done, 'finished case')}", rows, "",
        "Drawn so that anyone can draw them again: for each finished case the SHA-256 of the text",
        f"  {text}",
        "with the case's code for CASE; those with the smallest are verified.",
    ]  # fmt: skip


def sponsors_page(found: AllSponsors, site: Site) -> str:
    """Every sponsor: cases and amounts to claim, sent, reimbursed and declined."""
    days = f", lists {found.first_day} to {found.last_day}" if found.first_day else ""
    parts = [heading(f"Claims by sponsor{days} ({site.money.code})", site)]
    if not found.sponsors:
        parts.append("No sponsor is described and no case names one.")
    else:
        rows = [row for one in found.sponsors for row in _sponsor_rows(one, site)]
        names = ("Sponsor", "Name", "State", "Cases", "Due", "Paid")
        parts.append(table(names, rows, "Cases,Due,Paid", caption="Sponsor by sponsor"))
    unknown = [one.sponsor for one in found.sponsors if one.terms is None]
    if unknown:
        parts.append(
            f"Not described, so {NOT_STATED}: {', '.join(unknown)}. Add them with "
            "'stockbook sponsor new' or 'import sponsors FILE'."
        )
    return "\n".join([*parts, "", _foot(found.last_entry, found.checksum)])


def _sponsor_rows(one: SponsorSums, site: Site) -> list[tuple[object, ...]]:
    """A line for each state that has cases; one line at least."""
    name = one.terms.name if one.terms else ""
    rows: list[tuple[object, ...]] = [
        (one.sponsor, name, state.state, state.cases, _money(site, state.due),
         site.money.text(state.paid) if state.state == REIMBURSED else "")
        for state in one.sums if state.cases
    ]  # fmt: skip
    if one.not_yet:
        rows.append((one.sponsor, name, NOT_YET, one.not_yet, "", ""))
    return rows or [(one.sponsor, name, "no case", 0, "", "")]


def claim_done_page(done: ClaimDone, site: Site) -> str:
    """What a recording changed of a claim, case by case."""
    rows = [
        (one.case_code, one.category, ", ".join(one.lenses), site.money.text(one.amount),
         site.money.text(one.deduction), site.money.text(one.amount - one.deduction),
         site.money.text(one.paid) if one.state == REIMBURSED else "", one.state)
        for one in done.changed
    ]  # fmt: skip
    names = ("Case", "Category", "Lens", "Amount", "Deduction", "Due", "Paid", "State")
    return "\n".join([
        heading(f"Claim {done.document} to {done.sponsor} ({site.money.code})", site),
        table(names, rows, "Amount,Deduction,Due,Paid"),
        f"{plural(len(done.changed), 'case')}, due {site.money.text(done.due)}"
        + (f", paid {site.money.text(done.paid)}." if done.paid else "."),
        CAUTION,
    ])  # fmt: skip
