"""An unpacked delivery recorded: what was learned in each person's name, then the delivery."""

from collections.abc import Iterator
from dataclasses import replace

from stockbook.domain.deliveries import GIVEN, Charges, DeliveryLine
from stockbook.domain.entries import Draft, Signature
from stockbook.domain.facts import PackSize
from stockbook.domain.order_facts import Rejection
from stockbook.domain.receiving import Learned, TakenPack, Unpacking
from stockbook.domain.records import Received
from stockbook.errors import InputError, Refused
from stockbook.jobs.finding import known_item
from stockbook.jobs.receive import Delivery, receive_within
from stockbook.jobs.receive_desk import Desk
from stockbook.jobs.receive_opening import open_within
from stockbook.jobs.signing import fresh_request
from stockbook.ledger.facts import find
from stockbook.ledger.posting import Posting
from stockbook.ledger.unpackings import IDENTIFIER, confirmations, end_unpacking


def record_unpacked(post: Posting, desk: Desk) -> Received:
    """The delivery is in the book as if its lines had been typed, and its sitting is over."""
    unpacking = desk.unpacking
    if not unpacking.packs:
        raise InputError("nothing was scanned yet. LEAVE, to record nothing.")
    _remember(post, desk)
    other = unpacking.accepted_by if unpacking.accepted_by != desk.signature.by else None
    signature = replace(desk.signature, checked_by=desk.signature.checked_by or other)
    take_in = open_within if unpacking.is_opening else receive_within
    received = take_in(post, signature, delivery_of(desk))
    end_unpacking(post.db, unpacking.supplier, unpacking.note)
    return received


def delivery_of(desk: Desk) -> Delivery:
    """The delivery as typing its lines would have made it."""
    unpacking = desk.unpacking
    lines = unpacking.lines()
    charges = Charges(unpacking.freight or 0, unpacking.freight_by, unpacking.tax or 0)
    return Delivery(
        unpacking.supplier, [_line(desk, one) for one in lines if not one.is_rejected],
        unpacking.note, unpacking.place or "STORE", charges, unpacking.order,
        rejected=[_rejection(one) for one in lines if one.is_rejected],
    )  # fmt: skip


def _line(desk: Desk, pack: TakenPack) -> DeliveryLine:
    """A line of packs that are alike; a typed price of what is given is its shadow value."""
    item, terms = known_item(desk.db, str(pack.item)), desk.unpacking.terms or "bought"
    price = None if pack.price is None else pack.price * pack.count
    given = terms in GIVEN
    return DeliveryLine(
        item, pack.units * pack.count, 0, str(pack.number), pack.serial, str(pack.expires_on),
        str(pack.precision), None if given else price, terms, (price or 0) if given else 0,
        reason=pack.door or pack.reason, pack_quantity=pack.units if pack.identifier else 0,
        scan=pack.scan, place=pack.place,
    )  # fmt: skip


def _rejection(pack: TakenPack) -> Rejection:
    return Rejection(
        "", "", str(pack.door), pack.units * pack.count, pack.item, pack.identifier, pack.number,
        pack.serial, pack.expires_on, scan=pack.scan,
    )  # fmt: skip


def _remember(post: Posting, desk: Desk) -> None:
    """What each person said of identifiers is an entry of their own, on the day they said it."""
    for said in _worth_saying(desk):
        now = find(post.db, PackSize, said.identifier)
        if (now.item if now else None) not in (said.was, said.item):
            raise Refused(
                f"{said.identifier} is {now.item if now else 'nothing'} in the book meanwhile, and "
                f"{said.by} said {said.item}. Undo its packs and scan them again."
            )
        size = PackSize(said.identifier, said.item, said.level, said.units)
        asked = fresh_request(post.db, IDENTIFIER, [said.identifier, said.by, said.day])
        sign = _signed(desk.signature, said)
        post.post(Draft("facts", sign, asked, facts=[size], document=desk.unpacking.note))


def _signed(signature: Signature, said: Learned) -> Signature:
    return replace(
        signature, by=said.by, happened_on=said.day, happened_at=None, checked_by=None, reason=None
    )


def _worth_saying(desk: Desk) -> Iterator[Learned]:
    """Each thing said once a person and day, and not what two people confirmed before."""
    for said in dict.fromkeys(_said_last(desk.unpacking)):
        size = PackSize(said.identifier, said.item, said.level, said.units)
        if (said.by, said.day) not in confirmations(desk.db, size):
            yield said


def _said_last(unpacking: Unpacking) -> Iterator[Learned]:
    """What was said, without what the sitting itself said otherwise later."""
    for said in unpacking.learned:
        last = unpacking.known(said.identifier)
        if last is not None and last.item == said.item:
            yield said
