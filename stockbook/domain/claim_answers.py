"""Answers about claims: a sponsor's cases, a sample of them to verify, all sponsors."""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass

from stockbook.domain.claims import STATES, TO_CLAIM, SponsoredCase, StateSum
from stockbook.domain.codec import canonical
from stockbook.domain.finance_facts import ClaimedCase, Sponsor


@dataclass(frozen=True, slots=True)
class Sampled:
    """A case that is to be verified, with the digest by which it was drawn."""

    digest: str
    row: SponsoredCase


def sampled_text(book: str, sponsor: str, first: str, last: str, case: str) -> str:
    """What is digested for a case: JSON without spaces, as anyone can write it.

    >>> sampled_text("ab", "CAMP", "2027-02-01", "2027-02-28", "C1")
    '["ab","CAMP","2027-02-01","2027-02-28","C1"]'
    """
    return canonical([book, sponsor, first, last, case])


def sample(
    book: str, period: tuple[str, str], rows: Iterable[SponsoredCase], number: int
) -> tuple[Sampled, ...]:
    """So many of the cases, by the smallest SHA-256 (FIPS 180-4) of each one's text.

    Nobody chooses: the same book, sponsor and days give the same cases in whatever order they
    come, and a smaller sample is the beginning of a larger one.
    """
    drawn = [Sampled(_digest(book, period, row), row) for row in rows]
    return tuple(sorted(drawn, key=lambda one: (one.digest, one.row.case.code))[:number])


def _digest(book: str, period: tuple[str, str], row: SponsoredCase) -> str:
    text = sampled_text(book, row.sponsor, *period, row.case.code)
    return hashlib.sha256(text.encode()).hexdigest()


@dataclass(frozen=True, slots=True)
class ClaimsOfPeriod:
    """One sponsor's cases of the lists of some days, as they stand today."""

    sponsor: str
    terms: Sponsor | None
    first_day: str
    last_day: str
    today: str
    rows: tuple[SponsoredCase, ...]
    book_id: str
    last_entry: int
    checksum: str
    sample: tuple[Sampled, ...] | None = None
    """The cases drawn for verification; none where no sample was asked for."""

    @property
    def claims(self) -> tuple[SponsoredCase, ...]:
        """The cases that can be claimed or were."""
        return tuple(row for row in self.rows if row.state in STATES)

    @property
    def others(self) -> tuple[SponsoredCase, ...]:
        """The cases that cannot be claimed of this sponsor as they stand."""
        return tuple(row for row in self.rows if row.state not in STATES)

    @property
    def late(self) -> tuple[SponsoredCase, ...]:
        """The unsent cases whose deadline has passed."""
        return tuple(
            row for row in self.rows if row.state == TO_CLAIM and row.days_late(self.today)
        )


@dataclass(frozen=True, slots=True)
class SponsorSums:
    """A sponsor with what is to claim, sent, reimbursed and declined, and cases not finished."""

    sponsor: str
    terms: Sponsor | None
    sums: tuple[StateSum, ...]
    not_yet: int


@dataclass(frozen=True, slots=True)
class AllSponsors:
    """Every sponsor, over some days or the whole book (none)."""

    sponsors: tuple[SponsorSums, ...]
    first_day: str | None
    last_day: str | None
    last_entry: int
    checksum: str


@dataclass(frozen=True, slots=True)
class ClaimDone:
    """A claim after something was recorded of it: the cases of it that this changed."""

    sponsor: str
    document: str
    changed: tuple[ClaimedCase, ...]
    entry: int
    already: bool = False

    @property
    def due(self) -> int:
        """What was claimed for these cases."""
        return sum(one.amount - one.deduction for one in self.changed)

    @property
    def paid(self) -> int:
        """What was reimbursed for them."""
        return sum(one.paid for one in self.changed)
