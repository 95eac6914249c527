"""Recording what was proposed: an order for each supplier, all or none."""

import sqlite3
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from stockbook.domain.entries import Draft, Request, Signature, digest_of
from stockbook.domain.order_facts import OrderLine, PurchaseOrder
from stockbook.domain.orders import OrderState, due_day
from stockbook.domain.proposals import Proposal, Proposed
from stockbook.errors import InputError, Refused
from stockbook.jobs.order import check_order_signature, next_code
from stockbook.jobs.order_propose import ProposeAsked, proposal_of, without_and_changed
from stockbook.jobs.ordering import known_order, states_of
from stockbook.ledger.opening import Book
from stockbook.ledger.orders import orders_of_proposal
from stockbook.ledger.posting import Posting, posting


@dataclass(frozen=True, slots=True)
class Accepted:
    """The orders that came of a proposal with their entries; none new where it was there."""

    orders: tuple[tuple[OrderState, int], ...]
    proposal: Proposal | None = None

    @property
    def already(self) -> bool:
        """Whether they were recorded before."""
        return self.proposal is None


@dataclass(frozen=True, slots=True)
class AcceptAsked:
    """The proposal to be accepted: of all suppliers or one, without some items, others changed."""

    propose: ProposeAsked
    left_out: Collection[str] = ()
    changed: Sequence[tuple[str, str]] = ()
    code: str | None = None
    """The code of the proposal as it was shown; another one is refused."""


def accept_proposal(
    book: Book, signature: Signature, asked: AcceptAsked, *, keep: bool = True
) -> Accepted:
    """Each supplier with something to deliver has an order; nothing moves until it comes."""
    with posting(book, keep=keep) as post:
        check_order_signature(post.db, signature)
        known = _accepted_before(post.db, asked.code) if asked.code else ()
        if known:
            return Accepted(known)
        found = proposal_of(post.db, signature.today, asked.propose)
        wanted = without_and_changed(post.db, found, asked.left_out, asked.changed)
        if asked.code is not None and asked.code not in (wanted.code, found.code):
            raise Refused(
                f"order accept: the proposal is {found.code} now, no longer {asked.code}: stock, "
                "orders or lists changed since. Look again with 'stockbook order propose'."
            )
        suppliers = [name for name in wanted.by_supplier if name is not None]
        if not suppliers:
            raise Refused("order accept: there is nothing to order of any supplier with terms.")
        code = asked.code or wanted.code
        made = [
            _record(post, signature, name, wanted.by_supplier[name], code) for name in suppliers
        ]
        return Accepted(tuple(made), wanted)


def proposal_to_accept(book: Book, day: str, asked: AcceptAsked) -> Proposal:
    """The proposal as it would be recorded now, for a person to agree to."""
    with book.reading() as db:
        found = proposal_of(db, day, asked.propose)
        return without_and_changed(db, found, asked.left_out, asked.changed)


def _record(
    post: Posting, signature: Signature, supplier: str, lines: Sequence[Proposed], code: str
) -> tuple[OrderState, int]:
    """One supplier's order, numbered as any other."""
    day = signature.happened_on
    made = tuple(_line(line) for line in lines)
    due = due_day(day, made)
    if due is None:
        raise InputError(f"order: no lead time of {supplier} is known. Import supply-terms first.")
    order = PurchaseOrder(next_code(post.db, day), supplier, day, due, made)
    request = Request(f"proposal/{code}/{supplier}", digest_of([code, supplier]))
    entry = post.post(Draft("order", signature, request, (), [order], order.code)).number
    return states_of(post.db, [order])[0], entry


def _line(line: Proposed) -> OrderLine:
    terms = line.terms
    return OrderLine(
        line.item.code, line.units, line.cost, None, terms.pack_quantity if terms else 0,
        terms.lead_days if terms else None,
    )  # fmt: skip


def _accepted_before(db: sqlite3.Connection, code: str) -> tuple[tuple[OrderState, int], ...]:
    """Orders that came of this very proposal already, with their entries."""
    made = orders_of_proposal(db, code)
    return tuple((states_of(db, [known_order(db, order)])[0], entry) for entry, order in made)
