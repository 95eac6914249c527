"""Facts: what the book knows besides stock; each change holds one fact's complete new version."""

from dataclasses import dataclass

from stockbook.domain.finance_facts import ClaimedCase, Invoice, Period, Sponsor, StatedValue
from stockbook.domain.order_facts import PurchaseOrder, Rejection, SupplyTerms


@dataclass(frozen=True, slots=True)
class Setting:
    """A rule of the site, as text."""

    code: str
    value: str


@dataclass(frozen=True, slots=True)
class Item:
    """A thing that is stocked; `power` is in hundredths of a dioptre, days are whole days.

    `standby` is what must be there whatever is expected to be used (finest steps), `service` how
    often an order must be enough (none: the site's setting), `replaces` the item it stands for.
    """

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
    standby: int = 0
    service: str | None = None
    replaces: str | None = None


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
    """One operation on a list; `kind` is patient, list or service; power in hundredths.

    `minutes` is how long it had the theatre, where somebody says so; `sponsor_number` is what the
    sponsor calls the case.
    """

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
    minutes: int | None = None
    sponsor_number: str | None = None


@dataclass(frozen=True, slots=True)
class Lot:
    """What came in one delivery line; values are for `quantity` steps unless said otherwise.

    `scan` is the symbol as it was read at the desk, where it was scanned.
    """

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
    scan: str | None = None


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


@dataclass(frozen=True, slots=True)
class JudgedUse:
    """Whether a week's far higher use of an item was usual; `code` is ITEM/MONDAY.

    What nobody has judged stays out of the forecast.
    """

    code: str
    item: str
    week: str
    usual: bool


Fact = (
    Setting | Item | PackSize | Supplier | Place | Category | StaffCode | Kit | Machine
    | OperatingList | Case | Lot | Quarantine | Period | Level | Shelf | PastUse | SupplyTerms
    | PurchaseOrder | JudgedUse | Invoice | StatedValue | Sponsor | ClaimedCase | Rejection
)  # fmt: skip
