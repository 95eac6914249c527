"""What an import changed or would change, ready to be shown."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from stockbook.domain.amounts import text_from_whole
from stockbook.domain.codec import KIND_OF, field_names
from stockbook.domain.facts import Fact, KitLine
from stockbook.domain.lenses import power_text
from stockbook.domain.order_facts import PriceBreak


@dataclass(frozen=True, slots=True)
class Alteration:
    """One field of a fact: what the book says and what the file says."""

    kind: str
    code: str
    field: str
    was: str
    now: str


@dataclass(frozen=True, slots=True)
class Differences:
    """What a file says otherwise than the book; `gone` is in the book and not in the file."""

    added: tuple[str, ...] = ()
    altered: tuple[Alteration, ...] = ()
    gone: tuple[str, ...] = ()

    @property
    def asks(self) -> bool:
        """Whether a person has to agree: something known alters, or a known file lost rows."""
        return bool(self.altered) or bool(self.gone and self.added)


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import changed; entry is none when the book knew everything already.

    `waiting` says that nothing was recorded because a person has to agree first.
    """

    kind: str
    file: str
    entry: int | None
    already: bool
    rows: int
    new: int = 0
    altered: int = 0
    unchanged: int = 0
    differences: Differences = Differences()
    waiting: bool = False
    decimal_commas: bool = False
    own_names: tuple[tuple[str, str], ...] = ()
    unread: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Layout:
    """What a kind's file looks like: its columns, an invented row, the site's own names."""

    kind: str
    required: tuple[str, ...]
    optional: tuple[str, ...]
    example: Mapping[str, str]
    own_names: tuple[tuple[str, str], ...] = ()

    @property
    def columns(self) -> tuple[str, ...]:
        """All columns, those that must be there first."""
        return (*self.required, *self.optional)


def alterations(was: Fact, now: Fact, places: int) -> list[Alteration]:
    """Every field that differs; quantities of the item have so many decimals.

    >>> from stockbook.domain.facts import Supplier
    >>> alterations(Supplier("ACME", "Acme"), Supplier("ACME", "Acme Ltd"), 0)[0].now
    'Acme Ltd'
    """
    found = []
    for name in field_names(type(now)):
        old, new = getattr(was, name), getattr(now, name)
        if old == new:
            continue
        if isinstance(new, tuple) and isinstance(old, tuple):
            old, new = _less(old, new), _less(new, old)
        texts = [_shown(name, value, places) for value in (old, new)]
        found.append(Alteration(KIND_OF[type(now)], str(now.code), _words(name), *texts))
    return found


def _less(these: tuple[Any, ...], others: tuple[Any, ...]) -> tuple[Any, ...]:
    """Those that the others lack; all of them when only the order differs."""
    return tuple(one for one in these if one not in others) or these


_NAMES = {"item_class": "class", "by_serial": "serial", "procedure": "procedure"}
_AMOUNTS = frozenset(
    {
        "quantity", "keep_at_least", "fill_to", "units", "pack_quantity", "least_quantity",
        "price_quantity",
    }
)  # fmt: skip


def _words(name: str) -> str:
    return _NAMES.get(name, name)


def _shown(name: str, value: Any, places: int) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return "; ".join(_shown(name, part, places) for part in value)
    if isinstance(value, KitLine):
        need = " or ".join(value.items) or value.kind
        return " ".join([value.kind, need, str(value.quantity), value.requirement or ""]).strip()
    if isinstance(value, PriceBreak):
        return f"{value.price} from {text_from_whole(value.quantity, places)}"
    if name == "power" and value is not None:
        return power_text(value)
    if name in _AMOUNTS and places:
        return text_from_whole(value, places)
    return "" if value is None else str(value)
