"""Words typed at the desk: take back, how many, what it costs, not taken in, set aside."""

from collections.abc import Callable, Mapping
from dataclasses import replace

from stockbook.domain.amounts import quantity_from_text
from stockbook.domain.reasons import DOOR, reason_from
from stockbook.domain.receiving import DeskReply, OpenPack, TakenPack, Unpacking
from stockbook.errors import InputError, Refused
from stockbook.jobs.delivery_door import quarantine_area
from stockbook.jobs.finding import money_of
from stockbook.jobs.receive_answers import printed
from stockbook.jobs.receive_desk import Desk, Wanted
from stockbook.jobs.receive_packs import rejected, taken
from stockbook.jobs.receive_seen import seen

Step = tuple[Unpacking, DeskReply]


def settled(desk: Desk, pack: OpenPack) -> Step:
    """All is known of the pack, or its next question is asked."""
    try:
        made = taken(desk, pack)
    except Wanted as wanted:
        words = f"!! {pack.lost} {wanted.words}" if pack.lost else wanted.words
        return desk.unpacking.asking(replace(pack, lost=None)), DeskReply(words)
    after = desk.unpacking.with_pack(made)
    return after, DeskReply(seen=seen(replace(desk, unpacking=after), made))


def asked_of(desk: Desk, pack: OpenPack) -> Wanted:
    """What is asked of a pack that waits; where the book changed meanwhile, why it cannot go on."""
    try:
        taken(desk, pack)
    except Wanted as wanted:
        return wanted
    except (InputError, Refused) as error:
        return Wanted("known", f"{error.message} Undo it, or reject it.")
    return Wanted("known", "nothing is asked of it any more: undo it, and scan it again.")


def refuse_waiting(desk: Desk) -> None:
    """Refuse what is not about the pack that waits for a word."""
    waiting = desk.unpacking.waiting
    if waiting is not None:
        raise Refused(f"a pack waits for a word: {asked_of(desk, waiting).words}")


def _undo(desk: Desk, _: str) -> Step:
    after = desk.unpacking.without_last()
    if desk.unpacking.waiting is not None:
        return after, DeskReply("Taken back: the pack that waited for a word.")
    gone = seen(replace(desk, unpacking=after), desk.unpacking.last)
    return after, DeskReply(seen=replace(gone, undone=True))


def _changed(desk: Desk, pack: TakenPack) -> Step:
    after = desk.unpacking.with_last(pack)
    return after, DeskReply(seen=seen(replace(desk, unpacking=after), pack))


def _qty(desk: Desk, more: str) -> Step:
    refuse_waiting(desk)
    last = desk.unpacking.last
    if last.serial is not None:
        raise Refused(f"{last.item} is kept by serial: one scan, one pack.")
    return _changed(desk, replace(last, count=quantity_from_text(more, 0, "qty, in packs")))


def _price(desk: Desk, more: str) -> Step:
    waiting = desk.unpacking.waiting
    if waiting is not None and asked_of(desk, waiting).name == "price":
        price = money_of(desk.db).minor(more, "price of one pack")
        return settled(desk, replace(waiting, price=price))
    refuse_waiting(desk)
    if desk.unpacking.last.is_rejected:
        raise Refused("the pack read last is rejected; it has no price.")
    after = desk.unpacking.priced(money_of(desk.db).minor(more, "price of one pack"))
    return after, DeskReply(seen=seen(replace(desk, unpacking=after), after.last))


def _reject(desk: Desk, more: str) -> Step:
    if desk.unpacking.is_opening:
        raise Refused(
            "reject: opening stock lies here already, nobody takes it back. Set it aside with "
            "quarantine REASON, or undo."
        )
    reason = reason_from(more.lower(), DOOR, "reject")
    waiting = desk.unpacking.waiting
    if waiting is None:
        return _changed(desk, replace(desk.unpacking.last, door=reason, place=None, reason=None))
    made = rejected(desk, waiting, reason)
    after = desk.unpacking.with_pack(made)
    return after, DeskReply(seen=seen(replace(desk, unpacking=after), made))


def _quarantine(desk: Desk, more: str) -> Step:
    word, _, place = more.partition(" ")
    reason = reason_from(word.lower(), DOOR, "quarantine")
    area = quarantine_area(desk.db, place.strip() or None)
    waiting = desk.unpacking.waiting
    if waiting is not None:
        return settled(desk, replace(waiting, door=reason, place=area))
    last = desk.unpacking.last
    if last.item is None or last.expires_on is None or last.number is None:
        raise Refused("of a rejected pack not enough is known to set it aside: undo, scan again.")
    return _changed(desk, replace(last, door=reason, place=area, reason=None))


def _printed(name: str) -> Callable[[Desk, str], Step]:
    def say(desk: Desk, more: str) -> Step:
        waiting = desk.unpacking.waiting
        if waiting is None:
            raise InputError(f"{name}: no pack waits for it.")
        return settled(desk, printed(waiting, name, more))

    return say


SAID: Mapping[str, Callable[[Desk, str], Step]] = {
    "undo": _undo,
    "qty": _qty,
    "price": _price,
    "reject": _reject,
    "quarantine": _quarantine,
    "lot": _printed("lot"),
    "serial": _printed("serial"),
}
