"""What goes from one book into another by files: invented facts, and how their codes look."""

from dataclasses import replace

from hypothesis import strategies as st
from strategies import codes, names, sponsors

from stockbook.domain.cells import spoilt
from stockbook.domain.facts import Fact, Item, PackSize, Place, StaffCode, Supplier
from stockbook.domain.gtin import check_digit
from stockbook.domain.lenses import power_text
from stockbook.domain.places import SITE_KINDS, place_of_supplier, places_of_site
from stockbook.domain.roles import ROLES
from stockbook.domain.texts import name

AWKWARD = (
    "=1+1", '=HYPERLINK("x","y")', "+cmd", "-1", "@SUM(A1)", "＝1", "＋1", "－1", "＠x",  # noqa: RUF001
    "'=1", "''=1", "'tis", "'", '"', '""', 'a "b", c', "a,b;c", "a;b|c", "#N/A", "#REF!", "TRUE",
    "1E+05", "007", "1.50", "12,50", "03-Apr", "2027-03-01", "{=1}", "<b>&amp;</b>", "_x0041_",
    "a_x005F_b", "\u0645\u06cc\u200c\u062e", "e\u0301", "漢字", "%x", "\\n", "nan", "=", "-",
    "a  b", "ﬁ", "😀",
)  # fmt: skip
"""Names that a spreadsheet, a CSV or XML could take for something else."""

awkward_names = st.one_of(
    st.sampled_from(AWKWARD),
    names,
    st.text(st.sampled_from("=+-@＝＋－＠'\"“,;|&<>_x0041é\u200c ٣漢"), max_size=12),  # noqa: RUF001
)
good_names = awkward_names.filter(str.strip).map(name)
words = st.from_regex(r"[a-z][a-z0-9-]{0,23}", fullmatch=True)
maybe_words = st.none() | words
site_codes = st.from_regex(r"[A-Z0-9][A-Z0-9.-]{0,31}", fullmatch=True) | codes
item_codes = st.from_regex(r"[A-Z0-9][A-Z0-9+.-]{0,39}", fullmatch=True) | codes
models = st.from_regex(r"[A-Z0-9][A-Z0-9+.-]{0,20}", fullmatch=True)


def safe(column: str, texts: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    """Codes that are no shortened number to a spreadsheet; others cannot be made one by one."""
    return texts.filter(lambda text: spoilt(column, text) is None)


@st.composite
def items(draw: st.DrawFn) -> Item:
    """A thing or a lens."""
    places = draw(st.integers(0, 3))
    lens = draw(st.booleans())
    model = draw(models) if lens else None
    step = draw(st.sampled_from((25, 50)))
    power = draw(st.integers(-(9975 // step), 9975 // step)) * step if lens else None
    plain = draw(safe("item", item_codes))
    return Item(
        f"{model}{power_text(power)}" if power is not None else plain, draw(good_names),
        draw(words), draw(st.just("each") | words), places, model, power,
        draw(st.booleans()) if not places else False, draw(st.integers(0, 3660)),
        draw(st.booleans()), draw(maybe_words), draw(st.integers(0, 9999)),
        draw(st.none() | st.sampled_from(("cycle 95", "fill 98.5", "cycle 99.9"))), None,
    )  # fmt: skip


def _another(item: Item, things: list[Item]) -> st.SearchStrategy[str]:
    """What it stands for: another item of the book, or one that the book never had."""
    known = [one.code for one in things if one.code != item.code]
    return st.sampled_from([*known, f"OLD-{item.code}"[:40]])


@st.composite
def packs(draw: st.DrawFn, of: list[Item]) -> PackSize:
    """Whole units of one of the items under a GTIN."""
    item = draw(st.sampled_from(of))
    figures = draw(st.text("0123456789", min_size=13, max_size=13))
    level = draw(st.sampled_from(("each", "inner", "outer")))
    units = draw(st.integers(1, 9_999)) * 10**item.unit_places
    return PackSize(figures + check_digit(figures), item.code, level, units)


@st.composite
def site_places(draw: st.DrawFn) -> list[Place]:
    """A place as it is made, with the trolley of a theatre."""
    code, called = draw(safe("place", site_codes)), draw(good_names)
    place, *trolley = places_of_site(code, called, draw(st.sampled_from(SITE_KINDS)))
    closed, storage = draw(st.booleans()), draw(maybe_words)
    made = Place(place.code, place.name, place.kind, None, closed, storage)
    return [made, *trolley]


@st.composite
def sites(draw: st.DrawFn) -> tuple[list[Fact], dict[str, str]]:
    """Facts of every kind that `show` writes and `import` reads, and the names of people."""
    things = draw(st.lists(items(), min_size=1, max_size=6, unique_by=lambda i: i.code))
    things = [replace(one, replaces=draw(st.none() | _another(one, things))) for one in things]
    sold = draw(st.lists(packs(things), min_size=1, max_size=4, unique_by=lambda p: p.code))
    made = draw(st.lists(site_places(), min_size=1, max_size=3, unique_by=lambda p: p[0].code))
    traders = draw(
        st.dictionaries(safe("supplier", site_codes), good_names, min_size=1, max_size=3)
    )
    staff = draw(
        st.dictionaries(
            safe("staff", site_codes).filter(lambda code: code != "MA"),
            st.tuples(st.sampled_from(ROLES), st.booleans(), st.none() | good_names), max_size=3,
        )
    )  # fmt: skip
    facts: list[Fact] = [*things, *sold, *(place for group in made for place in group)]
    for code, called in traders.items():
        facts += [Supplier(code, called), place_of_supplier(code, called)]
    payer = sponsors(safe("sponsor", site_codes), good_names)
    facts += draw(st.lists(payer, min_size=1, max_size=3, unique_by=lambda one: one.code))
    facts += [StaffCode(code, role, active) for code, (role, active, _) in staff.items()]
    return facts, {code: called for code, (_, _, called) in staff.items() if called}
