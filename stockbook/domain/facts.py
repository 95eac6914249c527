"""Facts: what the book knows besides stock; each change holds one fact's complete new version."""

from dataclasses import dataclass, replace


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
    storage_class: str | None = None


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
    storage_class: str | None = None


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
    """What a kind of case needs; with a surgeon, that surgeon's differences from it.

    A version holds from its first day on, until the next one's; none: from the beginning.
    """

    code: str
    procedure: str
    category: str
    surgeon: str | None
    lines: tuple[KitLine, ...]
    first_day: str | None = None


@dataclass(frozen=True, slots=True)
class Machine:
    """Which model of machine stands in a theatre, from which day and through which."""

    code: str
    model: str
    theatre: str
    first_day: str
    last_day: str | None = None


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
    cancelled: bool = False


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
    order_code: str | None = None


@dataclass(frozen=True, slots=True)
class SupplyTerms:
    """How a supplier sells an item: `code` is SUPPLIER/ITEM; the price is of `price_quantity`.

    `pack_quantity` and `least_quantity` are finest steps: what one pack holds, the least that is
    delivered; `breaks` are prices from a quantity on. `lead_days` is the quoted time. Terms that
    were withdrawn have packs of nothing.
    """

    code: str
    supplier: str
    item: str
    pack_quantity: int
    price: int
    price_quantity: int
    lead_days: int
    least_quantity: int = 0
    breaks: tuple["PriceBreak", ...] = ()
    preferred: bool = True

    @property
    def closed(self) -> bool:
        """Whether the supplier sells the item no longer."""
        return self.pack_quantity == 0

    def withdrawn(self) -> "SupplyTerms":
        """The terms of what is sold no longer; what they were stays in the book's history."""
        return replace(self, pack_quantity=0, preferred=False)


@dataclass(frozen=True, slots=True)
class PriceBreak:
    """From so many finest steps on, the price of one `price_quantity` of the terms."""

    quantity: int
    price: int


@dataclass(frozen=True, slots=True)
class OrderLine:
    """So many finest steps of an item at a price for all of them; none: not agreed.

    What the supplier's terms said when it was ordered stays with it: what a pack holds
    (nothing: no terms) and the quoted days; `pack` is the identifier that was ordered by.
    """

    item: str
    quantity: int
    price: int | None = None
    pack: str | None = None
    pack_quantity: int = 0
    lead_days: int | None = None


@dataclass(frozen=True, slots=True)
class PurchaseOrder:
    """What was ordered of a supplier, and when it is due; `state` is open or closed."""

    code: str
    supplier: str
    ordered_on: str
    due_on: str
    lines: tuple[OrderLine, ...]
    state: str = "open"


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


@dataclass(frozen=True, slots=True)
class Level:
    """How much of an item a place keeps, in finest steps; `code` is PLACE/ITEM.

    Below `keep_at_least` it is filled to `fill_to`. With `lists` above nothing both are what the
    next so many lists need.
    """

    code: str
    place: str
    item: str
    keep_at_least: int
    fill_to: int
    lists: int = 0


@dataclass(frozen=True, slots=True)
class Shelf:
    """Where an item lies in a place: its shelf label; `code` is PLACE/ITEM."""

    code: str
    place: str
    item: str
    label: str


@dataclass(frozen=True, slots=True)
class PastUse:
    """How much of an item was used in a month before the book began; `code` is ITEM/MONTH."""

    code: str
    item: str
    month: str
    quantity: int


Fact = (
    Setting | Item | PackSize | Supplier | Place | Category | StaffCode | Kit | Machine
    | OperatingList | Case | Lot | Quarantine | Period | Level | Shelf | PastUse | SupplyTerms
    | PurchaseOrder
)  # fmt: skip
