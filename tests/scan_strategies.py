"""Symbols built from parts, with the demonstration prefix 952 alone."""

from dataclasses import dataclass
from datetime import date

from hypothesis import strategies as st
from strategies import DAY

from stockbook.domain.days import last_day_of_month
from stockbook.domain.gtin import check_digit
from stockbook.domain.scan_ais import CSET_82
from stockbook.domain.scan_elements import GS
from stockbook.domain.scan_facts import Element
from stockbook.domain.scan_hibc import check_character

AS_OF = DAY
FIXED = ("00", "01", "02", "11", "13", "15", "16", "17", "20")

figures = st.sampled_from("0123456789")
set_82 = st.sampled_from(sorted(CSET_82))
days = st.dates().map(lambda d: f"{10 + d.year % 60:02d}{d.month:02d}{min(d.day, 28):02d}")
months = days.map(lambda day: f"{day[:4]}00")
times = st.times().map(lambda t: f"{t.hour:02d}{t.minute:02d}")


def some(characters: st.SearchStrategy[str], most: int) -> st.SearchStrategy[str]:
    """One to so many of these characters."""
    return st.lists(characters, min_size=1, max_size=most).map("".join)


@st.composite
def gtins(draw: st.DrawFn) -> str:
    """A GTIN of 14 figures of the demonstration prefix."""
    body = f"{draw(figures)}952{draw(st.text('0123456789', min_size=9, max_size=9))}"
    return body + check_digit(body)


VALUES: dict[str, st.SearchStrategy[str]] = {
    "10": some(set_82, 20),
    "11": days | months,
    "13": days | months,
    "15": days | months,
    "16": days | months,
    "17": days | months,
    "20": st.text("0123456789", min_size=2, max_size=2),
    "21": some(set_82, 20),
    "22": some(set_82, 20),
    "240": some(set_82, 30),
    "241": some(set_82, 30),
    "30": some(figures, 8),
    "710": some(set_82, 20),
    "7003": st.tuples(days, times).map("".join),
    "8008": st.tuples(days, times).map("".join),
    "90": some(set_82, 30),
    "99": some(set_82, 90),
}


@st.composite
def packs(draw: st.DrawFn) -> list[Element]:
    """The elements of a pack in any order: a GTIN and what may stand beside it."""
    ais = draw(st.lists(st.sampled_from(sorted(VALUES)), max_size=6, unique=True))
    elements = [("01", draw(gtins())), *((ai, draw(VALUES[ai])) for ai in ais)]
    if "21" in ais and draw(st.booleans()):
        elements.append(("250", draw(some(set_82, 30))))
    return draw(st.permutations(elements))


def string_of(elements: list[Element]) -> str:
    """Elements as a symbol holds them: a separator after each that has no fixed length."""
    text = "".join(f"{ai}{value}{'' if ai in FIXED else GS}" for ai, value in elements)
    return text.removesuffix(GS)


product_characters = st.sampled_from("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ")
hibc_names = some(st.sampled_from("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ-."), 18)


@dataclass(frozen=True)
class Hibc:
    """A HIBC product symbol and what its data says."""

    text: str
    said: dict[str, object]


@st.composite
def hibc_products(draw: st.DrawFn) -> Hibc:
    """A primary symbol."""
    letter = draw(st.sampled_from("ABCDEFGHIJKLMNOPQRSTUVWXYZ"))
    lic = letter + draw(st.text("0123456789", min_size=3, max_size=3))
    pcn, uom = draw(some(product_characters, 18)), draw(figures)
    text = f"+{lic}{pcn}{uom}"
    return Hibc(text + check_character(text), {"lic": lic, "pcn": pcn, "uom": uom})


def month_end(day: date) -> str:
    """The last day of the month."""
    return last_day_of_month(day.year, day.month)


@st.composite
def hibc_data(draw: st.DrawFn) -> Hibc:
    """The data part in any of its forms, without link and check character."""
    name, what = draw(hibc_names), draw(st.sampled_from(("lot", "serial")))
    plus = "+" if what == "serial" else ""
    day = draw(st.dates(min_value=date(2010, 1, 1), max_value=date(2070, 1, 1)))
    yy, mm, dd, jjj = f"{day:%y}", f"{day:%m}", f"{day:%d}", f"{day:%j}"
    iso = day.isoformat()
    form = draw(
        st.sampled_from(
            [
                (f"$${plus}2{mm}{dd}{yy}", iso), (f"$${plus}3{yy}{mm}{dd}", iso),
                (f"$${plus}4{yy}{mm}{dd}07", f"{iso}T07:00"), (f"$${plus}5{yy}{jjj}", iso),
                (f"$${plus}6{yy}{jjj}23", f"{iso}T23:00"), (f"$${plus}7", None),
                (f"${plus}", None), (f"$${plus}{mm}{yy}", month_end(day)),
                (f"$${plus}803{mm}{yy}", month_end(day)), (f"$${plus}9000123{yy}{mm}{dd}", iso),
                *([] if plus else [(f"{yy}{jjj}", iso)]),
            ]
        )
    )  # fmt: skip
    said = {what: name} | ({"expiry": form[1]} if form[1] else {})
    if draw(st.booleans()):
        made = draw(st.dates(min_value=date(2000, 1, 1)))
        return Hibc(f"{form[0]}{name}/16D{made:%Y%m%d}", said | {"produced": made.isoformat()})
    return Hibc(form[0] + name, said)
