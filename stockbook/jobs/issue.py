"""Issuing a kit to a case: all of it or nothing, from theatre and store onto the trolley."""

import sqlite3
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from stockbook.domain.entries import Draft, Movement, Request, Signature, digest_of
from stockbook.domain.facts import Case, Fact, Item, Shortfall
from stockbook.domain.kits import Gap, Plan, plan
from stockbook.domain.levels import in_shelf_order
from stockbook.domain.list_shares import LIST
from stockbook.domain.picking import Draw, Shelf
from stockbook.domain.places import trolley_place
from stockbook.domain.records import IssuedCase
from stockbook.errors import InputError, Missing, NotEnough, Refused
from stockbook.jobs.finding import known_case, known_list, shown
from stockbook.jobs.hand import NOTHING_IN_HAND, Hand, HandDraws, draws_in_hand
from stockbook.jobs.list_lines import waiting_lists
from stockbook.jobs.preparing import (
    Prepared,
    Shared,
    case_key,
    in_reach,
    is_served,
    near_text,
    prepare,
    shelf_for,
    shelf_labels,
    to_be_served,
)
from stockbook.jobs.second_eye import with_other_eyes
from stockbook.jobs.signing import check_person
from stockbook.jobs.typed_again import typed_again
from stockbook.ledger import history
from stockbook.ledger.cases import cases_of_list, kinds_recorded, last_entry_of_case
from stockbook.ledger.facts import find
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import Posting, find_request, posting, same_request
from stockbook.ledger.stock import items_by_code


@dataclass(frozen=True, slots=True)
class IssueAsked:
    """What the nurse asked besides the kit."""

    requirements: tuple[str, ...] = ()
    extras: tuple[tuple[str, str], ...] = ()
    hand: Hand = NOTHING_IN_HAND
    partial: bool = False
    rest: bool = False

    @property
    def adds(self) -> bool:
        """Whether it asks for more than the kit of a case."""
        return bool(self.rest or self.extras or self.requirements)


def issue_case(
    book: Book, signature: Signature, code: str, asked: IssueAsked, *, keep: bool = True
) -> IssuedCase:
    """The case's kit lies on the trolley; missing units refuse it all unless partial."""
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "issue")
        case = to_be_served(known_case(post.db, code))
        known = _already(post.db, signature, case, asked)
        if known:
            return known
        return with_other_eyes(post.db, [_issue(post, signature, case, asked)])[0]


def issue_list(
    book: Book, signature: Signature, code: str, *, partial: bool = False, keep: bool = True
) -> list[IssuedCase]:
    """Every case of the list that was not issued yet has its kit; one missing kit stops all."""
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "issue")
        known_list(post.db, code)
        cases = [c for c in cases_of_list(post.db, code) if is_served(c)]
        waiting = [c for c in cases if "issue" not in kinds_recorded(post.db, c.code)]
        if not waiting:
            raise Refused(f"list {code}: every one of its {len(cases)} cases is issued already.")
        return issue_cases(post, signature, waiting, partial=partial)


def issue_cases(
    post: Posting, signature: Signature, cases: Sequence[Case], *, partial: bool
) -> list[IssuedCase]:
    """Several kits in the order given, from one shelf, in one transaction.

    What a list uses in common comes first, with the first of its cases.
    """
    asked = IssueAsked(partial=partial)
    shared = Shared(post.db)
    cases = [*waiting_lists(post.db, cases), *cases]
    prepared = [prepare(post.db, signature, c, c.needs, shared=shared) for c in cases]
    shelf = shelf_for(post.db, prepared)
    planned = [(p, _plan(p, shelf, HandDraws())) for p in prepared]
    refuse_gaps(post.db, planned, shelf, partial=partial)
    issued = [_record(post, signature, p, asked, made, HandDraws(), shelf) for p, made in planned]
    return with_other_eyes(post.db, issued)


def _already(
    db: sqlite3.Connection, signature: Signature, case: Case, asked: IssueAsked
) -> IssuedCase | None:
    """The answer when this very issue was recorded before; another one than before is refused.

    What is asked besides an issued kit (rest, extras, requirements) is an addition, not refused;
    typed again right after, it is the same one, unless a comment says that it is another.
    """
    if "issue" not in kinds_recorded(db, case.code):
        return None
    first = _request(db, case, asked, first=True)
    if asked.hand != NOTHING_IN_HAND and same_request(db, first) is None and not asked.adds:
        raise Refused(
            f"case {case.code} is issued already (entry {kinds_recorded(db, case.code)['issue']}). "
            "What comes to it now: --rest (what was missing) or --extra ITEM QTY, with --lot or "
            "--found beside it."
        )
    entry = _same_addition(db, signature, case, asked) if asked.adds else find_request(db, first)
    return IssuedCase(case, entry, already=True, items={}) if entry else None


def _same_addition(
    db: sqlite3.Connection, signature: Signature, case: Case, asked: IssueAsked
) -> int | None:
    """The kit's issue that asked the very same, or the case's last entry if that is it."""
    number = same_request(db, _request(db, case, asked, first=True))
    if number is None:
        if asked.rest and case.missing:
            return None
        again = _request(db, case, asked, first=False)
        return typed_again(db, signature, case.code, again, "issue")
    first = history.entry(db, number)
    return number if first is not None and first.comment == signature.comment else None


def _request(db: sqlite3.Connection, case: Case, asked: IssueAsked, *, first: bool) -> Request:
    """`issue/CASE` for the kit's issue alone; what comes later names the case's last entry."""
    hand = asked.hand
    digest = digest_of(
        [case.code, sorted(asked.requirements), asked.extras, asked.rest, hand.lots, hand.found]
    )
    if first:
        return Request(case_key(db, "issue", case.code), digest)
    last = last_entry_of_case(db, case.code)
    return Request(f"issue/{case.code}/after/{last}", digest)


def _issue(post: Posting, signature: Signature, case: Case, asked: IssueAsked) -> IssuedCase:
    db = post.db
    recorded = kinds_recorded(db, case.code)
    if "finish" in recorded:
        raise Refused(
            f"case {case.code} is finished (entry {recorded['finish']}); nothing more is issued "
            f"to it. Reverse that entry first if it was wrong."
        )
    later = "issue" in recorded
    if asked.rest and not (later and case.missing):
        raise Refused(f"case {case.code}: nothing is missing from an earlier issue.")
    beside = None if later else _list_first(post, signature, case, partial=asked.partial)
    prepared = prepare(db, signature, case, asked.requirements, extras=asked.extras,
                       kit=not later, rest=asked.rest)  # fmt: skip
    shelf = shelf_for(db, [prepared])
    hand = draws_in_hand(db, signature, prepared, asked.hand, shelf)
    made = _plan(prepared, shelf, hand)
    refuse_gaps(db, [(prepared, made)], shelf, partial=asked.partial)
    return replace(_record(post, signature, prepared, asked, made, hand, shelf), beside=beside)


def _list_first(
    post: Posting, signature: Signature, case: Case, *, partial: bool
) -> IssuedCase | None:
    """What the case's list uses in common, issued with its first case."""
    own = waiting_lists(post.db, [case])
    issued = issue_cases(post, replace(signature, reason=None), own, partial=partial) if own else []
    return issued[0] if issued else None


def _plan(prepared: Prepared, shelf: Shelf, hand: HandDraws) -> Plan:
    return plan(prepared.case, prepared.needs, shelf, prepared.wish, given_by(hand))


def given_by(hand: HandDraws) -> Counter[str]:
    """How much of each item the hand holds already, in steps."""
    given = Counter[str]()
    for draw in hand.draws:
        given[draw.lot.item] += draw.quantity
    return given


def refuse_gaps(
    db: sqlite3.Connection, planned: Sequence[tuple[Prepared, Plan]], shelf: Shelf, *, partial: bool
) -> None:
    """Refuse what cannot be served in full, with all that is missing; partial lets it pass."""
    gaps = [(p, gap) for p, made in planned for gap in made.gaps]
    if not gaps or partial:
        return
    cases = {p.case.code for p, _ in gaps}
    items = items_by_code(db, {gap.item for _, gap in gaps})
    who = f"case {cases.pop()}" if len(planned) == 1 else f"{len(cases)} of {len(planned)} cases"
    raise NotEnough(
        f"Not issued: {who} cannot be served in full. Nothing was recorded. "
        "Fetch what is missing, or issue what there is with --partial.",
        [missing_row(p, gap, items[gap.item], shelf) for p, gap in gaps],
    )


def missing_row(prepared: Prepared, gap: Gap, item: Item, shelf: Shelf) -> Missing:
    """A gap in words, with what is near."""
    return Missing(
        gap.case, gap.item, item.name, shown(item, gap.wanted), shown(item, gap.usable),
        shown(item, gap.short), near_text(item, shelf, prepared.wish),
    )  # fmt: skip


def _record(
    post: Posting, signature: Signature, prepared: Prepared, asked: IssueAsked, made: Plan,
    hand: HandDraws, shelf: Shelf,
) -> IssuedCase:  # fmt: skip
    draws = [*hand.draws, *made.draws]
    if not draws and not made.gaps:
        raise InputError(f"case {prepared.case.code}: nothing to issue. Name an --extra.")
    first = prepared.kit
    case = _case_after(prepared, made, first=first)
    altered = case != (find(post.db, Case, case.code) if case.kind == LIST else prepared.case)
    facts: list[Fact] = [*hand.new_lots, *([case] if altered else [])]
    movements = [draw_movement(draw, prepared, hand) for draw in draws]
    request = _request(post.db, prepared.case, asked, first=first)
    recorded = post.post(Draft("issue", signature, request, movements, facts, prepared.case.code))
    others = {d.lot.item for d in hand.draws} - prepared.items.keys()
    items = {**prepared.items, **(items_by_code(post.db, others) if others else {})}
    missing = tuple(missing_row(prepared, gap, items[gap.item], shelf) for gap in made.gaps)
    warnings = tuple(
        f"standby {gap.item} is not in reach: {shown(items[gap.item], gap.usable)} usable, "
        f"{shown(items[gap.item], gap.wanted)} wanted ({in_reach(prepared)})."
        for gap in made.standby
    )
    labels = shelf_labels(post.db, [(draw.place, draw.lot.item) for draw in draws])
    walk = in_shelf_order(draws, prepared.wish.places, labels)
    return IssuedCase(
        case, recorded.number, recorded.already, items, tuple(walk), missing,
        (*hand.warnings, *warnings), labels,
    )  # fmt: skip


def draw_movement(draw: Draw, prepared: Prepared, hand: HandDraws) -> Movement:
    """One draw as a movement onto the case's trolley."""
    return Movement(
        draw.lot.code, draw.quantity, draw.value, draw.place, trolley_place(prepared.theatre),
        prepared.case.code, hand.reasons.get((draw.place, draw.lot.code)), draw.seen,
    )  # fmt: skip


def _case_after(prepared: Prepared, made: Plan, *, first: bool) -> Case:
    """The case with its requirements and with what it did not get."""
    gaps = tuple(Shortfall(gap.item, gap.short) for gap in made.gaps)
    kept = () if first or prepared.rest else prepared.case.missing
    needs = tuple(dict.fromkeys((*prepared.case.needs, *prepared.requirements)))
    return replace(prepared.case, needs=needs, missing=(*kept, *gaps))
