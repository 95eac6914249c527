"""What a sponsor is asked for a period's cases: each with its lenses, amount and state."""

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from stockbook.domain.case_changes import FINISHED
from stockbook.domain.codec import canonical
from stockbook.domain.days import days_after, days_between
from stockbook.domain.facts import Case, Item, Lot
from stockbook.domain.finance_facts import ClaimedCase, Sponsor

NOT_YET, TO_CLAIM, ELSEWHERE = "not yet claimable", "to claim", "with another sponsor"
SENT, REIMBURSED, DECLINED, WITHDRAWN = "sent", "reimbursed", "declined", "withdrawn"
STATES = (TO_CLAIM, SENT, REIMBURSED, DECLINED)
"""What is summed, in the order in which a claim goes."""

IN_KIND = "in-kind"
NEAR_DAYS = 7
"""So long before its deadline a case that is not claimed is named on `today`."""


@dataclass(frozen=True, slots=True)
class UsedLens:
    """Whole lenses of a lot that a case used; not `seen`: nobody scanned the lot."""

    item: Item
    lot: Lot
    count: int
    seen: bool = True

    @property
    def number(self) -> str:
        """The serial as printed, or the lot where there is none."""
        return self.lot.serial or self.lot.number

    @property
    def text(self) -> str:
        """Item and serial (or lot), as a claim keeps them."""
        several = f" ({self.count})" if self.count > 1 else ""
        return f"{self.item.code} {self.number}{several}"


def deduction_of(terms: Sponsor, lenses: Iterable[UsedLens]) -> int:
    """What is taken off for lenses given in kind; never more than the amount it is taken from.

    The amount has to be stated.
    """
    given = sum(lens.count for lens in lenses if lens.lot.terms == IN_KIND)
    return min(terms.amount or 0, terms.deduction * given)


@dataclass(frozen=True, slots=True)
class SponsoredCase:
    """A case as one sponsor sees it: its list's day, where it stands, what was claimed so far.

    `claims` are those that were not withdrawn, of whichever sponsor; `terms` are what the book
    says of the sponsor, none where a case names a code that nobody has described.
    """

    sponsor: str
    terms: Sponsor | None
    case: Case
    day: str
    stands: str
    lenses: tuple[UsedLens, ...] = ()
    claims: tuple[ClaimedCase, ...] = ()

    @property
    def standing(self) -> ClaimedCase | None:
        """The claim that was not declined; there is one at most."""
        return next((one for one in self.claims if one.state != DECLINED), None)

    @property
    def claim(self) -> ClaimedCase | None:
        """This sponsor's claim that counts: the standing one, else the one declined last."""
        own = [one for one in self.claims if one.sponsor == self.sponsor]
        own.sort(key=lambda c: (c.state != DECLINED, c.sent_on, c.settled_on or "", c.document))
        return own[-1] if own else None

    @property
    def state(self) -> str:
        """Where the case stands between the house and this sponsor."""
        if self.standing is not None and self.standing.sponsor != self.sponsor:
            return ELSEWHERE
        if self.claim is not None:
            return self.claim.state
        return TO_CLAIM if self.stands == FINISHED else NOT_YET

    @property
    def can_be_verified(self) -> bool:
        """Whether it is a finished case that this sponsor is or was to pay for."""
        return self.state in STATES and self.stands == FINISHED

    @property
    def can_be_sent_again(self) -> bool:
        """Whether it was declined, and is still a finished case of this sponsor."""
        return (
            self.state == DECLINED and self.stands == FINISHED and self.case.sponsor == self.sponsor
        )

    @property
    def amount(self) -> int | None:
        """What the sponsor pays a case: as it was sent, else as is stated now; none: not stated."""
        if self.claim is not None:
            return self.claim.amount
        return self.terms.amount if self.terms else None

    @property
    def deduction(self) -> int | None:
        """What is taken off for lenses given in kind; none where no amount is stated."""
        if self.claim is not None:
            return self.claim.deduction
        if self.terms is None or self.terms.amount is None:
            return None
        return deduction_of(self.terms, self.lenses)

    @property
    def due(self) -> int | None:
        """Amount less deduction; none where no amount is stated."""
        if self.amount is None or self.deduction is None:
            return None
        return self.amount - self.deduction

    @property
    def lens_seen(self) -> bool:
        """Whether somebody saw which lenses it used."""
        return all(lens.seen for lens in self.lenses)

    @property
    def paid(self) -> int:
        """What was reimbursed."""
        return self.claim.paid if self.claim else 0

    @property
    def deadline(self) -> str | None:
        """The last day on which it can be claimed; none where no days are stated."""
        if self.terms is None or self.terms.days is None:
            return None
        return days_after(self.day, self.terms.days)

    def days_late(self, today: str) -> int:
        """How long after its deadline it was sent, or lies unsent today; 0 in time."""
        sent_on = self.claim.sent_on if self.claim else today
        return max(0, days_between(self.deadline, sent_on)) if self.deadline else 0

    @property
    def changes(self) -> tuple[str, ...]:
        """What of the case is not as it was sent, in words; nothing once it was declined."""
        claim = self.claim
        if claim is None or claim.state == DECLINED:
            return ()
        if self.stands != FINISHED:
            return (f"it is {self.stands} now, not finished",)
        lenses = ", ".join(lens.text for lens in self.lenses)
        parts = (
            ("sponsor", claim.sponsor, self.case.sponsor),
            ("category", claim.category, self.case.category),
            ("lens", ", ".join(claim.lenses), lenses),
        )
        return tuple(
            f"{what} was {was or 'none'}, is {now or 'none'}"
            for what, was, now in parts
            if was != now
        )

    def claimed(self, document: str, sent_on: str) -> ClaimedCase:
        """The case as it stands, in a claim; its amount has to be stated."""
        terms = self.terms or Sponsor(self.sponsor, self.sponsor)
        texts = tuple(lens.text for lens in self.lenses)
        return ClaimedCase(
            f"{document}/{self.case.code}", self.sponsor, document, self.case.code, sent_on,
            terms.amount or 0, deduction_of(terms, self.lenses), self.case.category, texts,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class StateSum:
    """The cases of one state together; amounts are none where one of them has none stated."""

    state: str
    cases: int
    amount: int | None
    deduction: int | None
    due: int | None
    paid: int


def state_sums(rows: Sequence[SponsoredCase]) -> tuple[StateSum, ...]:
    """What is to claim, sent, reimbursed and declined, in that order."""
    return tuple(_sum(state, [row for row in rows if row.state == state]) for state in STATES)


def _sum(state: str, rows: Sequence[SponsoredCase]) -> StateSum:
    return StateSum(
        state, len(rows), _whole([row.amount for row in rows]),
        _whole([row.deduction for row in rows]), _whole([row.due for row in rows]),
        sum(row.paid for row in rows),
    )  # fmt: skip


def _whole(amounts: Sequence[int | None]) -> int | None:
    """All of them together, or none where one is not stated.

    >>> _whole([1, 2]), _whole([1, None]), _whole([])
    (3, None, 0)
    """
    stated = [amount for amount in amounts if amount is not None]
    return sum(stated) if len(stated) == len(amounts) else None


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
