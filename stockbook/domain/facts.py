"""Facts: what the book knows besides stock; each change holds one fact's complete new version."""

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, get_args, get_origin, get_type_hints


@dataclass(frozen=True, slots=True)
class Setting:
    """A rule of the site, as text."""

    code: str
    value: str


@dataclass(frozen=True, slots=True)
class Item:
    """A thing that is stocked; `power` is in hundredths of a dioptre, days are whole days."""

    code: str
    name: str
    item_class: str
    unit: str
    unit_places: int
    lens_model: str | None = None
    power: int | None = None
    by_serial: bool = False
    least_days_left: int = 0
    controlled: bool = False


@dataclass(frozen=True, slots=True)
class PackSize:
    """A way an item is sold; `code` is the identifier on the pack, `units` are finest steps."""

    code: str
    item: str
    level: str
    units: int


@dataclass(frozen=True, slots=True)
class Supplier:
    """Who delivers or bills."""

    code: str
    name: str


@dataclass(frozen=True, slots=True)
class Place:
    """Where stock can be, comes from or ends; a trolley names its theatre."""

    code: str
    name: str
    kind: str
    theatre: str | None = None
    closed: bool = False


@dataclass(frozen=True, slots=True)
class Category:
    """Who pays: free, paid and others the site adds."""

    code: str
    name: str


@dataclass(frozen=True, slots=True)
class StaffCode:
    """A person's code and role; the name lies outside the chain."""

    code: str
    role: str
    active: bool = True


@dataclass(frozen=True, slots=True)
class KitLine:
    """One need of a kit: `kind` is always, when, one-of, standby or lens; quantity in steps."""

    kind: str
    items: tuple[str, ...]
    quantity: int
    requirement: str | None = None


@dataclass(frozen=True, slots=True)
class Kit:
    """What a kind of case needs; with a surgeon, that surgeon's differences from it."""

    code: str
    procedure: str
    category: str
    surgeon: str | None
    lines: tuple[KitLine, ...]


@dataclass(frozen=True, slots=True)
class OperatingList:
    """A day's list of one theatre."""

    code: str
    day: str
    theatre: str
    part: str


@dataclass(frozen=True, slots=True)
class Shortfall:
    """What a partial issue could not give: item and finest steps."""

    item: str
    quantity: int


@dataclass(frozen=True, slots=True)
class Case:
    """One operation on a list; `kind` is patient, list or service; power in hundredths."""

    code: str
    list: str
    position: int
    kind: str = "patient"
    patient: str | None = None
    eye: str | None = None
    procedure: str | None = None
    category: str | None = None
    sponsor: str | None = None
    surgeon: str | None = None
    lens_model: str | None = None
    power: int | None = None
    needs: tuple[str, ...] = ()
    missing: tuple[Shortfall, ...] = ()


@dataclass(frozen=True, slots=True)
class Lot:
    """What came in one delivery line; values are for `quantity` steps unless said otherwise."""

    code: int
    item: str
    number: str
    serial: str | None
    expires_on: str
    expiry_precision: str
    received_on: str
    supplier: str | None
    terms: str
    quantity: int
    document: str | None = None
    price: int | None = None
    price_quantity: int | None = None
    provisional: bool = False
    shadow_value: int = 0
    agreed_value: int = 0
    categories: tuple[str, ...] = ()
    sponsors: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Quarantine:
    """A condition under which stock must not be used, wherever it lies; blank parts match all."""

    code: str
    reason: str
    started_on: str
    item: str | None = None
    number: str | None = None
    serial: str | None = None
    supplier: str | None = None
    expires_from: str | None = None
    expires_through: str | None = None
    place: str | None = None
    released: bool = False


@dataclass(frozen=True, slots=True)
class Period:
    """A span of days for finance; nothing is booked into a closed one."""

    code: str
    first_day: str
    last_day: str
    closed: bool = False


Fact = (
    Setting | Item | PackSize | Supplier | Place | Category | StaffCode | Kit | OperatingList
    | Case | Lot | Quarantine | Period
)  # fmt: skip

KINDS: Mapping[str, type[Any]] = {
    "setting": Setting,
    "item": Item,
    "pack size": PackSize,
    "supplier": Supplier,
    "place": Place,
    "category": Category,
    "staff code": StaffCode,
    "kit": Kit,
    "list": OperatingList,
    "case": Case,
    "lot": Lot,
    "quarantine": Quarantine,
    "period": Period,
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


def fact_from_body(kind: str, code: str, body: str) -> Any:
    """The fact that a change recorded; fields it does not know yet take their first value."""
    cls = KINDS[kind]
    values = json.loads(body)
    return _from_values(cls, {"code": int(code) if cls is Lot else code, **values})


def fact_from_row(cls: type[Any], row: Sequence[Any]) -> Any:
    """The fact kept in a projected row: fields in their order, lists as JSON text."""
    return cls(
        *(
            value if decode is None else decode(_listed(value))
            for decode, value in zip(_decoders(cls).values(), row, strict=True)
        )
    )


def _listed(value: Any) -> Any:
    """The list that a text holds; anything else as it is."""
    if value == "[]":
        return ()
    return json.loads(value) if isinstance(value, str) else value


def row_of(fact: Fact) -> tuple[int | str | None, ...]:
    """A fact as the values of its projected row: lists as canonical JSON text."""
    return tuple(
        canonical(value) if isinstance(value, list) else value
        for value in (plain(getattr(fact, name)) for name in field_names(type(fact)))
    )
