"""The lens bank as an answer: what lies there, how well it serves, what would serve better."""

from dataclasses import dataclass

from stockbook.domain.amounts import half_even
from stockbook.domain.asking import AsOf
from stockbook.domain.facts import Item
from stockbook.domain.leftover import RecentUse
from stockbook.domain.picking import ShelfRow


@dataclass(frozen=True, slots=True)
class Chances:
    """How well a bank serves the next patients, in parts of a million."""

    finds: int
    """That a random patient finds the power."""
    served: int
    """The share of the next patients that is expected to be served."""
    all_exactly: int
    """That all are served, of exactly so many."""
    all_poisson: int
    """That all are served, of so many on average (a Poisson number)."""


@dataclass(frozen=True, slots=True)
class Bank:
    """So many lenses, and how well they serve: with all of them, and with a spare kept back."""

    lenses: int
    plain: Chances
    spare: Chances


@dataclass(frozen=True, slots=True)
class LensCell:
    """One model at one power: usable lenses on shelves, and the use of twelve months.

    `share` of the model's patients, and `wanted`, the chance that the next patients want one
    lens more than lies there, are in parts of a million. `best` is how many the best bank of
    the size asked for holds; none where the model is not in the reckoning.
    """

    item: Item
    on_hand: int
    use: RecentUse
    share: int
    wanted: int | None = None
    best: int | None = None
    planned: int = 0
    """Cases of lists to come that are planned with it and are not issued yet."""
    on_order: int = 0
    """To come on open orders."""

    @property
    def model(self) -> str:
        """The lens model."""
        return str(self.item.lens_model)

    @property
    def power(self) -> int:
        """The power, in hundredths of a dioptre."""
        return int(self.item.power or 0)

    @property
    def tenths_of_a_week(self) -> int | None:
        """How long what lies there covers the use as it was; none where none was seen."""
        return weeks_of_cover(self.on_hand, self.use)


def weeks_of_cover(on_hand: int, use: RecentUse) -> int | None:
    """Tenths of a week that so many lenses last, rounded half-even; none where no use was seen.

    >>> weeks_of_cover(12, RecentUse(52, 365))
    120
    """
    return half_even(on_hand * use.days * 10, use.quantity * 7) if use.is_seen else None


@dataclass(frozen=True, slots=True)
class ModelBank:
    """One model's powers, in rising order, and how well they serve the model's own patients.

    `weight` is its share of all patients in parts of a million, none where it is not in the
    reckoning. `bank` is asked about the next patients as if all of them needed this model.
    """

    model: str
    cells: tuple[LensCell, ...]
    weight: int | None
    bank: Bank

    @property
    def on_hand(self) -> int:
        """Usable lenses on shelves."""
        return sum(cell.on_hand for cell in self.cells)

    @property
    def use(self) -> RecentUse:
        """The use of twelve months, all powers together."""
        days = max(cell.use.days for cell in self.cells)
        return RecentUse(sum(cell.use.quantity for cell in self.cells), days)

    @property
    def on_order(self) -> int:
        """To come on open orders, all powers."""
        return sum(cell.on_order for cell in self.cells)

    @property
    def not_used(self) -> int:
        """Lenses on hand of powers not used in twelve months."""
        return sum(cell.on_hand for cell in self.cells if not cell.use.quantity)

    @property
    def tenths_of_a_week(self) -> int | None:
        """How long what lies there covers the use as it was; none where none was seen."""
        return weeks_of_cover(self.on_hand, self.use)

    @property
    def best(self) -> int | None:
        """How many the best bank holds; none where the model is not in the reckoning."""
        return None if self.weight is None else sum(cell.best or 0 for cell in self.cells)


@dataclass(frozen=True, slots=True)
class LensMove:
    """So many lenses of one model and power to be added, or of one lot to be sent back.

    `wanted` is the chance, in parts of a million, that the next patients want more than lies
    there (to add), or more than would stay (to send back). `price` is of all of them, none where
    no price is known.
    """

    item: Item
    lenses: int
    wanted: int
    price: int | None = None
    row: ShelfRow | None = None


@dataclass(frozen=True, slots=True)
class BankAsked:
    """What was asked: a model or all, a size or a budget, the next patients, a spare or none."""

    model: str | None = None
    size: int | None = None
    budget: int | None = None
    patients: int = 20
    spare: bool = True


@dataclass(frozen=True, slots=True)
class LensBank:
    """The lens bank on a day: as it is, the best of its size, and the way from one to the other.

    `mean` and `deviation` of the published shape are in hundredths of a dioptre. `best` is the
    bank that the size or the budget makes.
    """

    day: str
    asked: BankAsked
    size: int
    models: tuple[ModelBank, ...]
    not_usable: int
    now: Bank
    best: Bank
    add: tuple[LensMove, ...]
    send_back: tuple[LensMove, ...]
    mean: int
    deviation: int
    use_days: int
    spent: int | None = None
    as_of: AsOf | None = None
    below_nothing: int = 0

    @property
    def use_seen(self) -> int:
        """Lenses used in twelve months."""
        return sum(model.use.quantity for model in self.models)
