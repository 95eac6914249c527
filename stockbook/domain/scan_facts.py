"""What one scan says, before any book is asked."""

from dataclasses import dataclass, fields
from typing import Any

Element = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Scan:
    """What was read; dates are ISO text, numbers of a pack are text as printed.

    `scheme` is gs1, hibc or own. `expiry` may carry a time; `expiry_precision` is day, month or
    time. `hidden_serial` is a lot and a serial that the lot may really be, where the separator
    may be lost; `code` are the parts of a code of the site's own.
    """

    raw: str
    scheme: str
    kind: str
    symbology: str | None = None
    elements: tuple[Element, ...] = ()
    gtin14: str | None = None
    content_gtin14: str | None = None
    count: int | None = None
    sscc: str | None = None
    lic: str | None = None
    pcn: str | None = None
    uom: str | None = None
    link: str | None = None
    check: str | None = None
    lot: str | None = None
    serial: str | None = None
    expiry: str | None = None
    expiry_precision: str | None = None
    produced: str | None = None
    best_before: str | None = None
    quantity: int | None = None
    cpv: str | None = None
    code: tuple[str, ...] = ()
    hidden_serial: tuple[str, str] | None = None
    warn: tuple[str, ...] = ()

    @property
    def identifiers(self) -> tuple[str, ...]:
        """What a pack size is found by: the GTIN, the HIBC's labeller, product and unit."""
        hibc = f"{self.lic}{self.pcn}{self.uom}" if self.lic else None
        return tuple(name for name in (self.gtin14 or self.content_gtin14, hibc) if name)

    @property
    def identifier(self) -> str | None:
        """The first of them, if there is one."""
        return next(iter(self.identifiers), None)

    @property
    def expires_on(self) -> str | None:
        """The last usable day."""
        return self.expiry[:10] if self.expiry else None


NAMES = tuple(field.name for field in fields(Scan))


def scan_json(scan: Scan) -> dict[str, Any]:
    """The scan as plain values under its stable names; what it does not say is left out.

    >>> scan_json(Scan("x", "gs1", "gtin", gtin14="09521101530001"))["gtin14"]
    '09521101530001'
    """
    said = {name: getattr(scan, name) for name in NAMES}
    return {"ok": True, **{k: v for k, v in said.items() if v is not None and v != ()}}
