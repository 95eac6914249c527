"""How facts are written: canonical JSON in a change, plain values in a projected row."""

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import make_dataclass
from functools import cache
from typing import Any, get_args, get_origin, get_type_hints

from stockbook.domain.facts import (
    Case,
    Category,
    Fact,
    Item,
    JudgedUse,
    Kit,
    Level,
    Lot,
    Machine,
    OperatingList,
    PackSize,
    PastUse,
    Place,
    Quarantine,
    Setting,
    Shelf,
    StaffCode,
    Supplier,
)
from stockbook.domain.finance_facts import ClaimedCase, Invoice, Period, Sponsor, StatedValue
from stockbook.domain.order_facts import PurchaseOrder, Rejection, SupplyTerms

KINDS: Mapping[str, type[Any]] = {
    "setting": Setting,
    "item": Item,
    "pack size": PackSize,
    "supplier": Supplier,
    "place": Place,
    "category": Category,
    "staff code": StaffCode,
    "kit": Kit,
    "machine": Machine,
    "list": OperatingList,
    "case": Case,
    "lot": Lot,
    "quarantine": Quarantine,
    "period": Period,
    "level": Level,
    "shelf": Shelf,
    "past use": PastUse,
    "supply terms": SupplyTerms,
    "order": PurchaseOrder,
    "judged use": JudgedUse,
    "invoice": Invoice,
    "stated value": StatedValue,
    "sponsor": Sponsor,
    "claimed case": ClaimedCase,
    "rejection": Rejection,
}
KIND_OF = {cls: kind for kind, cls in KINDS.items()}


def canonical(value: object) -> str:
    """JSON with sorted keys and no spaces: the same value is always the same text."""
    return json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def field_names(cls: type) -> tuple[str, ...]:
    """The names of a fact's fields, code first."""
    names: tuple[str, ...] = cls.__dict__["__slots__"]
    return names


def plain(value: Any) -> Any:
    """A fact's value in whole numbers, text, null and lists of them (no true, no false)."""
    if isinstance(value, bool):
        return int(value)
    if isinstance(value, tuple):
        return [plain(part) for part in value]
    if value is None or isinstance(value, int | str):
        return value
    return {name: plain(getattr(value, name)) for name in field_names(type(value))}


def body_of(fact: Fact) -> str:
    """The canonical JSON of a fact without its code.

    >>> body_of(Supplier("ACME", "Acme Supplies"))
    '{"name":"Acme Supplies"}'
    """
    values = plain(fact)
    del values["code"]
    return canonical(values)


Decode = Callable[[Any], Any] | None
"""What turns a plain value into a field's value; none where it is that value already."""

_DECODERS: dict[str, dict[str, Decode]] = {}


def _decoders(cls: type) -> dict[str, Decode]:
    """How each field of a class is read, worked out once when first asked."""
    if cls.__name__ not in _DECODERS:
        hints = get_type_hints(cls)
        _DECODERS[cls.__name__] = {name: _decoder(hints[name]) for name in field_names(cls)}
    return _DECODERS[cls.__name__]


def _decoder(hint: Any) -> Decode:
    if hint is bool:
        return bool
    if get_origin(hint) is not tuple:
        return None
    inner = get_args(hint)[0]
    if inner is str:
        return tuple
    return lambda parts: tuple(_from_values(inner, part) for part in parts)


def _from_values(cls: type[Any], values: Mapping[str, Any]) -> Any:
    decoders = _decoders(cls)
    return cls(
        **{
            name: value if (decode := decoders[name]) is None else decode(value)
            for name, value in values.items()
        }
    )


def from_plain(cls: type[Any], values: Mapping[str, Any]) -> Any:
    """A frozen dataclass from what `plain` made of it; fields left out take their first value."""
    return _from_values(cls, values)


def fact_from_body(kind: str, code: str, body: str) -> Any:
    """The fact that a change recorded; fields it does not know yet take their first value."""
    cls = KINDS[kind]
    values = json.loads(body)
    return _from_values(cls, {"code": int(code) if cls is Lot else code, **values})


_READ: dict[str, tuple[tuple[int, Callable[[Any], Any]], ...]] = {}


def _read_fields(cls: type) -> tuple[tuple[int, Callable[[Any], Any]], ...]:
    """The places of the fields that do not stand in a row as they are, with what reads each."""
    if cls.__name__ not in _READ:
        decoders = enumerate(_decoders(cls).values())
        _READ[cls.__name__] = tuple((n, decode) for n, decode in decoders if decode is not None)
    return _READ[cls.__name__]


def _decoded(values: list[Any], decoders: Sequence[tuple[int, Callable[[Any], Any]]]) -> list[Any]:
    """The values of a row with those read that do not stand there as they are."""
    for place, decode in decoders:
        value = values[place]
        if value == "[]":
            values[place] = ()
        else:
            values[place] = decode(json.loads(value) if isinstance(value, str) else value)
    return values


def fact_from_row(cls: type[Any], row: Sequence[Any]) -> Any:
    """The fact kept in a projected row: fields in their order, lists as JSON text."""
    return cls(*_decoded(list(row), _read_fields(cls)))


@cache
def _unfrozen_lot() -> Callable[..., Any]:
    """A class with the fields of a lot that can still be filled."""
    return make_dataclass("UnfrozenLot", field_names(Lot), slots=True, eq=False)


def lot_maker() -> Callable[[list[Any]], Lot]:
    """What makes lots by the thousand from the values of their rows.

    A frozen fact sets every field through `object.__setattr__`; made four times as fast they are
    filled first, and become lots, which nobody can alter, afterwards.
    """
    blank, decoders = _unfrozen_lot(), _read_fields(Lot)

    def made(values: list[Any]) -> Lot:
        lot = blank(*_decoded(values, decoders))
        lot.__class__ = Lot
        return lot  # type: ignore[no-any-return]

    return made


def row_of(fact: Fact) -> tuple[int | str | None, ...]:
    """A fact as the values of its projected row: lists as canonical JSON text."""
    return tuple(
        canonical(value) if isinstance(value, list) else value
        for value in (plain(getattr(fact, name)) for name in field_names(type(fact)))
    )
