"""How entries and traces look."""

from collections.abc import Sequence

from stockbook.domain.answers import Site
from stockbook.domain.entries import Entry
from stockbook.domain.facts import Item
from stockbook.domain.records import CaseTrace, ShownEntry, ShownMove
from stockbook.domain.tracing import LotTrace, Reached, TracedMove
from stockbook.reports.amounts import amount, expiry, lot_name
from stockbook.reports.tables import heading, plural, table


def entries_page(entries: Sequence[Entry], site: Site) -> str:
    """One line an entry."""
    rows = [
        (
            e.number, e.kind, e.happened_on, e.by, e.document or "", e.reason or "",
            f"{e.movement_count} + {e.change_count}", e.checksum[:12],
        )
        for e in entries
    ]  # fmt: skip
    headers = ("Entry", "Kind", "Happened", "By", "Document", "Reason", "Lines", "Checksum")
    if not rows:
        return f"{heading('Entries', site)}\nNone."
    return f"{heading('Entries', site)}\n{table(headers, rows, 'Entry,Lines')}"


def entry_page(shown: ShownEntry, site: Site) -> str:
    """One entry with all its lines."""
    e = shown.entry
    name = site.people.get(e.by)
    who = f"{e.by} ({name})" if name else e.by
    facts = [
        f"Happened {e.happened_on}" + (f" {e.happened_at}" if e.happened_at else "")
        + f", booked {e.booked_on}, recorded {e.recorded_at} by {who}"
        + (f", checked by {e.checked_by}" if e.checked_by else ""),
        f"Request {e.request_key}" + (f", document {e.document}" if e.document else ""),
    ]  # fmt: skip
    facts += [f"Reason {e.reason}"] if e.reason else []
    facts += [f"Comment {e.comment}"] if e.comment else []
    facts += [f"Reverses entry {e.reverses}"] if e.reverses else []
    facts += [f"Reversed by entry {shown.reversed_by}"] if shown.reversed_by else []
    parts = [heading(f"Entry {e.number}: {e.kind}", site), *facts]
    if shown.moves:
        parts.append(table(_MOVES, [_move(m, site) for m in shown.moves], "Units,Value"))
    if shown.changes:
        rows = [(kind, code, body[:60]) for kind, code, body in shown.changes]
        parts.append(table(("Change of", "Code", "Now"), rows))
    return "\n".join([*parts, f"Checksum {e.checksum}"])


_MOVES = ("Item", "Lot", "Units", "Value", "From", "To", "Case", "How known", "Reason")


def _move(shown: ShownMove, site: Site) -> tuple[object, ...]:
    m = shown.movement
    known = "seen" if m.seen else "presumed"
    return (
        shown.item.code, lot_name(shown.lot), amount(shown.item, m.quantity) if m.quantity else "",
        site.money.text(m.value), m.from_place, m.to_place, m.case, known if m.quantity else "",
        m.reason,
    )  # fmt: skip


def case_trace_page(trace: CaseTrace, site: Site) -> str:
    """Everything moved for a case, entry by entry."""
    where = [words for words in (trace.day, trace.theatre) if words]
    title = ", ".join([f"Trace of case {trace.case.code}", *where])
    rows = [(e.number, e.kind, *_move(m, site)) for e, m in trace.moves]
    if not rows:
        return f"{heading(title, site)}\nNothing was moved for this case."
    headers = ("Entry", "Kind", *_MOVES)
    keep = [n for n, name in enumerate(headers) if name != "Case"]
    cut = [[row[n] for n in keep] for row in rows]
    return f"{heading(title, site)}\n{table([headers[n] for n in keep], cut, 'Entry,Units,Value')}"


def lot_trace_page(item: Item, trace: LotTrace, site: Site) -> str:
    """The cases a printed lot reached: certain, then possible; then its own movements."""
    lot = trace.lots[0]
    came = ", ".join(f"{x.received_on} from {x.supplier or 'opening stock'}" for x in trace.lots)
    parts = [
        heading(f"Trace of {lot.item} lot {lot_name(lot)}, expiry {expiry(lot)}", site)
        + f"\nCame {came}. Still on hand: {amount(item, trace.left)}.",
        _reached("CERTAIN (the lot was seen)", trace.certain),
        _reached("POSSIBLE (drawn unseen from where the lot may have lain)", trace.possible),
        f"Movements of the lot\n{_own(item, trace.moves)}",
        "A trace supports a recall; whom to tell and what to do follows local rules.",
    ]
    return "\n\n".join(parts)


def _reached(title: str, reached: Sequence[Reached]) -> str:
    if not reached:
        return f"{title}: no case."
    rows = [(r.case, r.move.happened_on, r.move.to_place, r.move.entry, _basis(r)) for r in reached]
    headers = ("Case", "Day", "Went to", "Entry", "Basis")
    return f"{title}: {plural(len(reached), 'case')}\n{table(headers, rows, 'Entry')}"


def _basis(reached: Reached) -> str:
    if reached.move.seen:
        return "seen"
    return "presumed" if reached.presumed else "may be"


MOST_MOVES = 1000
"""With more movements a page lists those for no case; the cases stand in the tables above."""


def _own(item: Item, moves: Sequence[TracedMove]) -> str:
    """The lot's own movements; of very many those for no case, and how many the others are."""
    if len(moves) > MOST_MOVES:
        apart = [move for move in moves if move.case is None]
        left_out = len(moves) - len(apart)
        return (
            f"{_moves_table(item, apart)}\nAnd {left_out} movements for cases: "
            "all of them with --csv or -o FILE."
        )
    return _moves_table(item, moves)


def _moves_table(item: Item, moves: Sequence[TracedMove]) -> str:
    words = {quantity: amount(item, quantity) for quantity in {m.quantity for m in moves}}
    rows = [
        (m.entry, m.happened_on, m.kind, words[m.quantity], m.from_place, m.to_place, m.case,
         "seen" if m.seen else "presumed", "undone" if m.undone else "")
        for m in moves if m.quantity
    ]  # fmt: skip
    headers = ("Entry", "Day", "Kind", "Units", "From", "To", "Case", "How known", "Note")
    return table(headers, rows, "Entry,Units")
