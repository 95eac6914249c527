"""The lens bank as data; the names here are documented in the README and stay."""

from typing import Any

from stockbook.domain.amounts import quantity_text
from stockbook.domain.days import NO_EXPIRY
from stockbook.domain.lens_bank import Bank, Chances, LensBank, LensMove
from stockbook.reports.data import DataSheet, Quantity, columns
from stockbook.reports.lens_bank import NO_BASIS


def bank_sheets(bank: LensBank) -> list[DataSheet]:
    """Every model and power, the models, the chances, what to add and to send back."""
    about = (
        ("day", bank.day), ("model", bank.asked.model or "all"),
        ("size", str(bank.size)), ("next_patients", str(bank.asked.patients)),
        ("spare", _yes(bank.asked.spare)),
        ("lens_power_mean", quantity_text(bank.mean, 2)),
        ("lens_power_sd", quantity_text(bank.deviation, 2)), ("use_days", str(bank.use_days)),
        *((("as_of_entry", str(bank.as_of.entry)),) if bank.as_of and bank.as_of.entry else ()),
    )  # fmt: skip
    return [
        _cells_sheet(bank, about), _models_sheet(bank), _chances_sheet(bank), _add_sheet(bank),
        _back_sheet(bank),
    ]  # fmt: skip


def _part(millionths: int | None) -> Quantity | None:
    return None if millionths is None else Quantity(millionths, 6)


def _tenths(tenths: int | None) -> Quantity | None:
    return None if tenths is None else Quantity(tenths, 1)


def _yes(holds: object) -> str:
    return "yes" if holds else "no"


def _cells_sheet(bank: LensBank, about: tuple[tuple[str, str], ...]) -> DataSheet:
    names = columns(
        "item", "lens_model", "power:power", "on_hand:count", "on_order:count", "planned:count",
        "used:count",
        "use_days:count",
        "weeks_of_cover:quantity", "not_used", "share:quantity", "too_few:quantity", "best:count",
    )  # fmt: skip
    rows = [
        (
            c.item.code, c.model, c.power, c.on_hand, c.on_order, c.planned, c.use.quantity,
            c.use.days,
            _tenths(c.tenths_of_a_week), _yes(not c.use.quantity), _part(c.share), _part(c.wanted),
            c.best,
        )
        for model in bank.models for c in model.cells
    ]  # fmt: skip
    return DataSheet("lens_bank", about, names, tuple(rows))


CHANCES = (
    "finds_power:quantity", "share_served:quantity", "all_served_exactly:quantity",
    "all_served_on_average:quantity",
)  # fmt: skip


def _parts(chances: Chances) -> tuple[Any, ...]:
    found = (chances.finds, chances.served, chances.all_exactly, chances.all_poisson)
    return tuple(_part(chance) for chance in found)


def _models_sheet(bank: LensBank) -> DataSheet:
    names = columns(
        "lens_model", "basis", "share:quantity", "on_hand:count", "used:count",
        "weeks_of_cover:quantity", "not_used_on_hand:count", "spare", *CHANCES,
    )  # fmt: skip
    rows = [
        (
            m.model, "own use" if m.use.quantity else NO_BASIS, _part(m.weight), m.on_hand,
            m.use.quantity, _tenths(m.tenths_of_a_week), m.not_used, _yes(spare), *_parts(chances),
        )
        for m in bank.models for spare, chances in _each(m.bank)
    ]  # fmt: skip
    return DataSheet("lens_models", (), names, tuple(rows))


def _each(bank: Bank) -> tuple[tuple[bool, Chances], ...]:
    return ((False, bank.plain), (True, bank.spare))


def _chances_sheet(bank: LensBank) -> DataSheet:
    names = columns("bank", "lenses:count", "spare", *CHANCES)
    rows = [
        (name, one.lenses, _yes(spare), *_parts(chances))
        for name, one in (("now", bank.now), ("best", bank.best))
        for spare, chances in _each(one)
    ]
    return DataSheet("lens_chances", (), names, tuple(rows))


def _add_sheet(bank: LensBank) -> DataSheet:
    names = columns("item", "lens_model", "power:power", "lenses:count", "wanted:quantity",
                    "cost:money")  # fmt: skip
    rows = [(*_which(m), m.lenses, _part(m.wanted), m.price) for m in bank.add]
    return DataSheet("lenses_to_add", (), names, tuple(rows))


def _which(move: LensMove) -> tuple[Any, ...]:
    return (move.item.code, move.item.lens_model, move.item.power)


def _back_sheet(bank: LensBank) -> DataSheet:
    names = columns("item", "lens_model", "power:power", "lenses:count", "wanted:quantity", "place",
                    "lot", "serial", "expiry:day", "terms")  # fmt: skip
    rows = [
        (
            *_which(m), m.lenses, _part(m.wanted), m.row.place, m.row.lot.number, m.row.lot.serial,
            None if m.row.lot.expires_on == NO_EXPIRY else m.row.lot.expires_on, m.row.lot.terms,
        )
        for m in bank.send_back if m.row
    ]  # fmt: skip
    return DataSheet("lenses_to_send_back", (), names, tuple(rows))
