"""Every answer as a data sheet; the names here are documented in the README and stay."""

from collections.abc import Sequence
from typing import Any

from stockbook.domain.amounts import quantity_text
from stockbook.domain.answers import LensGrid, Stock, StockSum
from stockbook.domain.asking import AsOf
from stockbook.domain.costs import CaseCost, PeriodCost
from stockbook.domain.days import NO_EXPIRY
from stockbook.domain.entries import Entry
from stockbook.domain.expiring import Expiring
from stockbook.domain.facts import Item, Lot
from stockbook.domain.places import COMMON
from stockbook.domain.records import CaseTrace, QuarantineView, ShownEntry, ShownMove
from stockbook.domain.tracing import LotTrace, Reached
from stockbook.reports.data import Column, DataSheet, Quantity, columns
from stockbook.reports.full_cost import FULL, full_cells, full_of_case, without_minutes
from stockbook.reports.published_costs import published_sheet

_LOT = columns("lot", "serial", "expiry:day", "expiry_precision")


def _lot(lot: Lot) -> tuple[Any, ...]:
    expiry = None if lot.expires_on == NO_EXPIRY else lot.expires_on
    return (lot.number, lot.serial, expiry, lot.expiry_precision)


def _units(item: Item, steps: int) -> Quantity:
    return Quantity(steps, item.unit_places)


def stock_sheets(stock: Stock) -> list[DataSheet]:
    """Lots on hand, one row for each place and lot."""
    rows = [
        (
            s.item.code, s.item.name, s.item.item_class, s.row.place, *_lot(s.row.lot),
            _units(s.item, s.row.quantity), s.item.unit, s.row.value, s.stopped,
        )
        for s in stock.rows
    ]  # fmt: skip
    names = (
        *columns("item", "name", "class", "place"), *_LOT,
        *columns("quantity:quantity", "unit", "value:money", "not_to_be_used"),
    )  # fmt: skip
    return [_sheet("stock", names, rows, day=stock.day, **_as_of(stock.as_of))]


def sums_sheets(stock: Stock, sums: Sequence[StockSum], per: str) -> list[DataSheet]:
    """Lots taken together per item, place or class."""
    rows = [
        (
            s.code, s.name or None, s.lots, _units(s.item, s.usable) if s.item else None,
            _units(s.item, s.stopped) if s.item else None, s.value,
            _units(s.item, s.on_order) if s.item else None,
        )
        for s in sums
    ]  # fmt: skip
    names = columns(
        per, "name", "lots:count", "usable:quantity", "not_to_be_used:quantity", "value:money",
        "on_order:quantity",
    )  # fmt: skip
    return [_sheet(f"stock_per_{per}", names, rows, day=stock.day)]


def lens_sheets(grid: LensGrid) -> list[DataSheet]:
    """Usable lenses, one row for each model and power that is kept."""
    rows = [(model, power, count) for (model, power), count in sorted(grid.usable.items())]
    names = columns("lens_model", "power:power", "usable:count")
    return [_sheet("lenses", names, rows, day=grid.day, **_as_of(grid.as_of))]


def expiring_sheets(expiring: Expiring) -> list[DataSheet]:
    """What is expired or expires, soonest first; days left are negative once past."""
    rows = [
        (
            e.item.code, e.item.name, e.row.place, *_lot(e.row.lot), e.days_left,
            _units(e.item, e.row.quantity), e.item.unit, e.row.value,
            None if e.use_a_month is None else _units(e.item, e.use_a_month),
            None if e.left is None else _units(e.item, e.left), e.at_stake, e.quarantine,
        )
        for e in expiring.rows
    ]  # fmt: skip
    names = (
        *columns("item", "name", "place"), *_LOT,
        *columns("days_left:count", "quantity:quantity", "unit", "value:money"),
        *columns("use_a_month:quantity", "expected_left:quantity", "at_stake:money", "quarantine"),
    )  # fmt: skip
    about = {
        "day": expiring.day, "within_days": str(expiring.within),
        "days_per_month": quantity_text(expiring.month, 2),
    }  # fmt: skip
    return [_sheet("expiring", names, rows, **about, **_as_of(expiring.as_of))]


def case_cost_sheets(cost: CaseCost) -> list[DataSheet]:
    """Every line of one case; a given lot's shadow value stands beside, never in a sum."""
    rows = [
        (
            line.item.item_class, line.item.code, line.item.name, *_lot(line.lot),
            "seen" if line.seen else "presumed", "wasted" if line.wasted else "used",
            _units(line.item, line.quantity), line.item.unit, line.value, line.shadow or None,
            line.lot.terms, "yes" if line.lot.provisional else "no", line.reason,
        )
        for line in cost.lines
    ]  # fmt: skip
    names = (
        *columns("class", "item", "name"), *_LOT, *columns("how_known", "ended"),
        *columns("quantity:quantity", "unit", "value:money", "shadow_value:money", "terms"),
        *columns("provisional", "reason"),
    )  # fmt: skip
    case = cost.case
    about = {"case": case.code, "day": cost.day, "category": case.category or COMMON}
    if cost.share is not None:
        about["list_share_minor"] = str(cost.share.part)
    about |= full_of_case(cost)
    return [_sheet("case_cost", names, rows, **about)]


def period_cost_sheets(cost: PeriodCost) -> list[DataSheet]:
    """A row for each category, a row for each class of it, and the proof."""
    by_category = [
        (
            c.category, c.cases, c.used, c.mean, c.median, c.lowest, c.highest, c.wasted,
            c.earlier_cases, c.total, c.shadow, *full_cells(full),
        )
        for c, full in zip(cost.categories, cost.full, strict=True)
    ]  # fmt: skip
    by_class = [
        (c.category, name, value) for c in cost.categories for name, value in c.by_class.items()
    ]
    period = {"first_day": cost.first_day, "last_day": cost.last_day}
    return [
        _sheet("cost", columns(
            "category", "cases:count", "used:money", "mean:money", "median:money", "lowest:money",
            "highest:money", "wasted:money", "earlier_cases:money", "total:money",
            "shadow_value:money", *FULL,
        ), by_category, **period),
        _sheet("cost_by_class", columns("category", "class", "used:money"), by_class, **period),
        _proof_sheet(cost),
        without_minutes(cost.full),
        published_sheet(cost),
    ]  # fmt: skip


def _proof_sheet(cost: PeriodCost) -> DataSheet:
    proof = cost.proof
    names = (
        "opening", "received", "opening_stock", "made", "used", "wasted", "sent_back",
        "differences", "expected", "on_hand",
    )  # fmt: skip
    rows = [(name, getattr(proof, name)) for name in names]
    return _sheet(
        "proof", columns("figure", "value:money"), rows,
        last_entry=str(proof.last_entry), checksum=proof.checksum,
    )  # fmt: skip


def entries_sheets(entries: Sequence[Entry]) -> list[DataSheet]:
    """Entries, one row each."""
    rows = [
        (
            e.number, e.kind, e.happened_on, e.happened_at, e.booked_on, e.recorded_at, e.by,
            e.checked_by, e.reason, e.comment, e.document, e.reverses, e.movement_count,
            e.change_count, e.checksum,
        )
        for e in entries
    ]  # fmt: skip
    names = columns(
        "entry:count", "kind", "happened_on:day", "happened_at", "booked_on:day", "recorded_at",
        "by", "checked_by", "reason", "comment", "document", "reverses:count", "movements:count",
        "changes:count", "checksum",
    )  # fmt: skip
    return [_sheet("entries", names, rows)]


_MOVE = columns(
    "item", "lot", "serial", "quantity:quantity", "value:money", "from", "to", "case",
    "how_known", "reason",
)  # fmt: skip


def _move(shown: ShownMove) -> tuple[Any, ...]:
    m = shown.movement
    return (
        shown.item.code, shown.lot.number, shown.lot.serial, _units(shown.item, m.quantity),
        m.value, m.from_place, m.to_place, m.case, "seen" if m.seen else "presumed", m.reason,
    )  # fmt: skip


def entry_sheets(shown: ShownEntry) -> list[DataSheet]:
    """One entry: its head, its movements, its changes."""
    return [
        *entries_sheets([shown.entry]),
        _sheet("movements", _MOVE, [_move(m) for m in shown.moves]),
        _sheet("changes", columns("kind", "code", "now"), list(shown.changes)),
    ]


def case_trace_sheets(trace: CaseTrace) -> list[DataSheet]:
    """Everything moved for a case."""
    rows = [(e.number, e.kind, e.happened_on, *_move(m)) for e, m in trace.moves]
    names = (*columns("entry:count", "kind", "happened_on:day"), *_MOVE)
    return [_sheet("case_trace", names, rows, case=trace.case.code, day=trace.day)]


def lot_trace_sheets(traces: Sequence[tuple[Item, LotTrace]]) -> list[DataSheet]:
    """The cases that a printed lot reached for certain, or may have reached."""
    rows = [
        (item.code, trace.lots[0].number, group, *_reached(item, reached))
        for item, trace in traces
        for group, found in (("certain", trace.certain), ("possible", trace.possible))
        for reached in found
    ]
    names = columns(
        "item", "lot", "group", "case", "happened_on:day", "to", "entry:count", "basis",
        "quantity:quantity",
    )  # fmt: skip
    return [_sheet("lot_trace", names, rows)]


def _reached(item: Item, reached: Reached) -> tuple[Any, ...]:
    move = reached.move
    basis = "seen" if move.seen else ("presumed" if reached.presumed else "may be")
    return (
        reached.case, move.happened_on, move.to_place, move.entry, basis,
        _units(item, move.quantity),
    )  # fmt: skip


def quarantine_sheets(views: Sequence[QuarantineView]) -> list[DataSheet]:
    """What each quarantine covers now."""
    rows = [
        (v.quarantine.code, v.quarantine.reason, v.quarantine.started_on, row.place, case,
         item.code, *_lot(row.lot), _units(item, row.quantity))
        for v in views for row, item, case in v.rows
    ]  # fmt: skip
    names = (
        *columns("quarantine", "reason", "started_on:day", "place", "case", "item"), *_LOT,
        *columns("quantity:quantity"),
    )  # fmt: skip
    return [_sheet("quarantine", names, rows)]


def _as_of(as_of: AsOf | None) -> dict[str, str]:
    """The entry that an answer stops at, where it was asked about the past."""
    return {"as_of_entry": str(as_of.entry)} if as_of and as_of.entry else {}


def _sheet(
    name: str, names: Sequence[Column], rows: Sequence[tuple[Any, ...]], **about: str
) -> DataSheet:
    return DataSheet(name, tuple(about.items()), tuple(names), tuple(rows))
