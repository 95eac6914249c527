"""How often an order has to be enough: by the cycle, or by the share of demand it serves."""

from dataclasses import dataclass

from stockbook.domain.amounts import quantity_text, whole_from_text
from stockbook.errors import InputError

CYCLE, FILL = "cycle", "fill"
"""The chance that nothing runs short until the next delivery; the share of demand that is served
(E. A. Silver, D. F. Pyke and D. J. Thomas, Inventory and Production Management, 4th ed., ch. 6).
"""


LEAST_PERMILLE, MOST_PERMILLE = 500, 999


@dataclass(frozen=True, slots=True)
class ServiceLevel:
    """A level of service of a kind, in parts of a thousand."""

    kind: str
    permille: int

    @property
    def text(self) -> str:
        """As people write it.

        >>> ServiceLevel("cycle", 955).text
        'cycle 95.5'
        """
        return f"{self.kind} {quantity_text(self.permille, 1)}"

    @property
    def words(self) -> str:
        """What it promises.

        >>> ServiceLevel("fill", 980).words
        '98 % of demand served'
        """
        return _words(self.kind, quantity_text(self.permille, 1))

    def words_up_to(self, other: "ServiceLevel") -> str:
        """What levels from this one to another of its kind promise.

        >>> ServiceLevel("cycle", 936).words_up_to(ServiceLevel("cycle", 980))
        'enough until the next delivery with 93.6 to 98 %'
        """
        ends = dict.fromkeys(quantity_text(each.permille, 1) for each in (self, other))
        return _words(self.kind, " to ".join(ends))


def _words(kind: str, share: str) -> str:
    if kind == CYCLE:
        return f"enough until the next delivery with {share} %"
    return f"{share} % of demand served"


def service_from_text(text: str) -> ServiceLevel:
    """A level of service as people write it: `cycle 95`, `fill 98.5`.

    >>> service_from_text("fill 98.5")
    ServiceLevel(kind='fill', permille=985)
    """
    kind, _, figure = text.strip().lower().partition(" ")
    if kind not in (CYCLE, FILL):
        raise InputError(f"service: found {text!r}, wanted such as cycle 95 or fill 98.5.")
    permille = whole_from_text(figure.strip().removesuffix("%"), 1, "service")
    if not LEAST_PERMILLE <= permille <= MOST_PERMILLE:
        raise InputError(f"service: found {text!r}, wanted 50 to 99.9 per cent.")
    return ServiceLevel(kind, permille)
