"""Reasons come from fixed lists, so that they can be counted later."""

from stockbook.errors import InputError

WASTE = {
    "dropped": "fell or touched something unsterile",
    "opened-not-used": "opened for the case and not needed",
    "defective": "faulty when opened",
    "contaminated": "no longer sterile",
    "wrong-size": "opened in the wrong size or power",
    "leaked": "leaked or spilt",
    "cancelled": "case cancelled after opening",
}
DISCARD = {
    "expired": "past its expiry",
    "damaged": "pack damaged",
    "wet": "pack wet",
    "temperature": "kept outside its temperature",
    "opened": "pack found open",
    "recalled": "recalled by the maker",
    "remainder": "rest of an opened pack",
}
SEND_BACK = {
    "damaged": "pack damaged when it came",
    "wet": "pack wet",
    "warm": "came or lay warmer than it may",
    "faulty": "a fault of the product itself",
    "short-dated": "too little life left when it came",
    "expired": "past its expiry",
    "wrong-item": "not what was ordered",
    "not-ordered": "nobody ordered it",
    "recalled": "recalled by the maker; as the recall notice says",
    "surplus": "more than is needed",
}
"""Why units go back to who delivered them."""
SUPPLIERS_FAULT = frozenset(SEND_BACK) - {"expired", "surplus"}
"""Those that speak of what was delivered, and not of what became of it here."""
SHORT_DATED = {
    "needed-now": "needed before a longer dated lot can come",
    "agreed-price": "taken at a lower price for its short life",
    "donation": "a gift that will be used in time",
}
DOOR = {
    "damaged": "pack damaged when it came",
    "wet": "pack wet when it came",
    "warm": "not kept in its storage class on the way",
    "short-dated": "too little of its life is left",
    "expired": "past its expiry when it came",
    "wrong-item": "not what the note or the label says",
    "not-ordered": "nobody ordered it",
}
"""Why something that came is not taken in, or set aside in the quarantine area."""
ORDER_CLOSED = {
    "not-available": "the supplier cannot deliver it",
    "not-needed": "no longer needed",
    "ordered-elsewhere": "ordered from another supplier",
    "price-raised": "the supplier wants more than was agreed",
    "typing-error": "typed wrongly",
}
"""Why what has not come on an order is given up."""
QUARANTINE = {
    "suspected-defect": "a fault is suspected",
    "recall-notice": "the maker or an authority asks not to use it",
    "cluster": "several patients with a like reaction",
    "temperature": "may have left its temperature",
    "document-missing": "papers missing or unclear",
}
AT_USE = {
    "found-at-use": "in the nurse's hand, not in the book",
    "only-one-there": "nothing else was there when it was needed",
    "noticed-later": "seen only when the case was written up",
    "lots-exchanged": "another lot was used than the one presumed",
}
CORRECTION = {
    "written-late": "the sheet was read or found only later",
    "typed-wrongly": "the finish was typed wrongly",
    "payer-changed": "another category or sponsor pays",
    "wrong-lot": "another lot was used than the one recorded",
    "plan-changed": "the plan was changed or noted wrongly",
}
RESCUE = {
    "capsule-rupture": "the posterior capsule tore",
    "zonule-weakness": "the zonules gave way",
    "small-pupil": "the pupil stayed or became small",
    "lens-exchange": "the lens was taken out again",
    "bleeding": "bleeding in or behind the eye",
    "other-event": "anything else; say it with --comment",
}
"""Why a rescue kit was needed: common practice, from no source."""
MOVE = {
    "refill": "to fill a shelf",
    "needed-elsewhere": "wanted at another place today",
    "set-aside": "kept apart until it is decided on",
    "wrong-place": "it lay where it does not belong",
}
REVERSAL = {
    "typing-error": "typed wrongly",
    "wrong-case": "recorded for the wrong case",
    "wrong-item": "recorded for the wrong item or lot",
    "did-not-happen": "it did not take place",
}
WRITE_DOWN = {
    "short-dated": "will hardly be used before it expires",
    "obsolete": "replaced by something else",
    "price-fell": "can be bought for less now",
    "damaged": "worth less for a fault",
    "value-recovered": "worth more again, up to what it cost",
}
"""Why stock is worth less than it cost, or so much again."""
REOPEN = {
    "delivery-missing": "a delivery of the period was not recorded",
    "use-missing": "cases or lists of the period were not recorded",
    "price-wrong": "a price of the period was wrong",
    "closed-too-early": "closed before its time",
    "auditor-asks": "an auditor asks for it",
}
"""Why a closed period is opened again."""
DECLINED_CLAIM = {
    "not-covered": "the sponsor does not cover it",
    "papers-missing": "papers or proof missing",
    "past-deadline": "claimed after the deadline",
    "paid-already": "the sponsor paid for it before",
    "not-verified": "the case could not be verified",
    "sent-by-mistake": "claimed by mistake, taken back by the house",
}
"""Why a sponsor does not pay for a case that was claimed."""


OF_COMMAND = {
    "receive": SHORT_DATED,
    "order": ORDER_CLOSED,
    "move": MOVE,
    "discard": DISCARD,
    "send-back": SEND_BACK,
    "issue": AT_USE,
    "finish": AT_USE | RESCUE,
    "rescue": RESCUE,
    "quarantine": QUARANTINE,
    "case": CORRECTION | AT_USE,
    "reopen": REOPEN,
    "valuation": WRITE_DOWN,
    "decline": DECLINED_CLAIM,
}
"""What `--reason` may say with each command; with others it may not be given."""


def check_reason(text: str | None, command: str) -> None:
    """A reason that was given is one of its command's list."""
    if text is not None and command not in OF_COMMAND:
        raise InputError(f"--reason: found {text!r}, wanted none; {command} takes no reason.")
    if text is not None:
        reason_from(text, OF_COMMAND[command], "--reason")


def reason_from(text: str | None, reasons: dict[str, str], what: str) -> str:
    """A reason of its list; nothing or another word is refused with the whole list."""
    if text in reasons:
        return str(text)
    listed = "; ".join(f"{code} ({words})" for code, words in reasons.items())
    found = "no reason" if text is None else repr(text)
    raise InputError(f"{what}: found {found}, wanted one of: {listed}.")
