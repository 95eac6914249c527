"""How one case looks: everything about it, and what became of it."""

from collections.abc import Sequence

from stockbook.domain.answers import Site
from stockbook.domain.case_changes import CANCELLED, CaseDone, CaseUnits, CaseView
from stockbook.domain.entries import Movement
from stockbook.domain.facts import Case, OperatingList
from stockbook.domain.lenses import power_text
from stockbook.reports.amounts import amount, expiry, lot_name
from stockbook.reports.data import DataSheet, Quantity, columns
from stockbook.reports.imports import alterations_table
from stockbook.reports.tables import heading, table


def lens_words(case: Case) -> str:
    """The lens that is planned, or what of it is not known."""
    if case.lens_model is None:
        return "no lens planned"
    power = "power unknown" if case.power is None else power_text(case.power)
    return f"{case.lens_model} {power}"


def _sponsor(case: Case) -> str:
    number = f", their number {case.sponsor_number}" if case.sponsor_number else ""
    return f"{case.sponsor or 'none'}{number}"


def list_words(of: OperatingList) -> str:
    """A list's code, day, theatre and part of the day."""
    return f"{of.code}, {of.day}, {of.theatre}, {of.part}"


def case_page(view: CaseView, site: Site) -> str:
    """Plan, state, units, entries and value of one case."""
    case = view.case
    plan = [
        ("List", f"{list_words(view.list)}, position {case.position}"),
        ("Patient", f"reference {case.patient}, {case.eye} eye"),
        ("Procedure", f"{case.procedure}, {case.category}"),
        ("Sponsor", _sponsor(case)),
        ("Surgeon", case.surgeon or "not named"),
        ("Lens", lens_words(case)),
        ("Needs", ", ".join(case.needs) or "the kit alone"),
    ]
    if case.missing:
        plan.append(("Missing", ", ".join(gap.item for gap in case.missing)))
    lines = [f"{name:<10} {words}" for name, words in plan]
    return "\n".join(
        [heading(f"Case {case.code}: {view.state}", site), *lines, *view.other_eye,
         *(f"Warning: {words}" for words in view.warnings), _units_table(view.units, site),
         *_value(view, site), _entries_table(view)]
    )  # fmt: skip


def _units_table(units: Sequence[CaseUnits], site: Site) -> str:
    if not units:
        return "Nothing was issued to it, or all came back."
    rows = [
        (u.where, u.item.code, lot_name(u.lot), expiry(u.lot), amount(u.item, u.quantity),
         site.money.text(u.value), "seen" if u.seen else "presumed", u.reason)
        for u in units
    ]  # fmt: skip
    headers = ("Where", "Item", "Lot", "Expiry", "Units", "Value", "How known", "Reason")
    return table(headers, rows, "Units,Value")


def _value(view: CaseView, site: Site) -> list[str]:
    if not view.units:
        return []
    used, wasted = (site.money.text(view.value(where)) for where in ("used", "wasted"))
    return [f"Used {site.money.code} {used}, wasted {wasted}."]


def _entries_table(view: CaseView) -> str:
    rows = [
        (e.number, e.kind, e.happened_on, e.happened_at, e.by, e.reason, e.document)
        for e in view.entries
    ]
    return table(("Entry", "Kind", "Happened", "At", "By", "Reason", "Document"), rows, "Entry")


def case_sheets(view: CaseView) -> list[DataSheet]:
    """The plan as one row, then its units and its entries."""
    case = view.case
    plan = (
        case.code, view.state, case.list, view.list.day, view.list.theatre, view.list.part,
        case.position, case.patient, case.eye, case.procedure, case.category, case.sponsor,
        case.surgeon, case.lens_model, case.power, " ".join(case.needs), case.sponsor_number,
    )  # fmt: skip
    names = columns(
        "case", "state", "list", "day:day", "theatre", "part", "position:count", "patient", "eye",
        "procedure", "category", "sponsor", "surgeon", "lens_model", "power:power", "needs",
        "sponsor_number",
    )  # fmt: skip
    return [DataSheet("case", (), names, (plan,)), _units_sheet(view), _entries_sheet(view)]


def _units_sheet(view: CaseView) -> DataSheet:
    rows = [
        (u.where, u.item.code, u.lot.number, u.lot.serial,
         Quantity(u.quantity, u.item.unit_places), u.value, "seen" if u.seen else "presumed",
         u.reason)
        for u in view.units
    ]  # fmt: skip
    names = columns("where", "item", "lot", "serial", "quantity:quantity", "value:money",
                    "how_known", "reason")  # fmt: skip
    return DataSheet("units", (), names, tuple(rows))


def _entries_sheet(view: CaseView) -> DataSheet:
    rows = [
        (e.number, e.kind, e.happened_on, e.happened_at, e.by, e.reason, e.document)
        for e in view.entries
    ]
    names = columns("entry:count", "kind", "happened_on:day", "happened_at", "by", "reason",
                    "document")  # fmt: skip
    return DataSheet("entries", (), names, tuple(rows))


def done_page(done: CaseDone, title: str, site: Site) -> str:
    """What became of a case: the fields that changed, where its units went, what to mind."""
    if done.entry is None:
        return f"case {done.case.code}: known so already, nothing changed."
    parts = [heading(title, site)]
    if done.altered:
        parts.append(alterations_table(done.altered))
    if done.moves:
        parts.append(_moves_table(done, site))
    elif done.state == CANCELLED:
        parts.append("Nothing of it was on a trolley.")
    if done.staying:
        items = ", ".join(f"{item} {amount(done.items[item], n)}" for item, n in done.staying)
        parts.append(f"Stays on the trolley, though this kit does not ask for it: {items}.")
    return "\n".join([*parts, *(f"Warning: {words}" for words in done.warnings)])


def _moves_table(done: CaseDone, site: Site) -> str:
    """Where units went; what only passed the trolley is one line a movement."""
    rows = [_move_row(done, move, site) for move in done.moves]
    headers = ("Item", "Lot", "Units", "Value", "From", "To", "Reason")
    return table(headers, rows, "Units,Value")


def _move_row(done: CaseDone, move: Movement, site: Site) -> tuple[object, ...]:
    lot = done.lots[move.lot]
    units = amount(done.items[lot.item], move.quantity) if move.quantity else ""
    value = site.money.text(move.value)
    return (lot.item, lot_name(lot), units, value, move.from_place, move.to_place, move.reason)
