"""How places look, all or one."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from stockbook.domain.answers import Site
from stockbook.domain.facts import Place
from stockbook.domain.places import made_by_the_site, trolley_place
from stockbook.reports.tables import heading, lines, plural, table

if TYPE_CHECKING:
    from stockbook.reports.data import DataSheet


def places_page(places: Sequence[Place], site: Site) -> str:
    """Every place with its kind; the count tells those the site made from those that follow."""
    rows = [(p.code, p.name, p.kind, p.storage_class, _closed(p)) for p in places]
    page = table(("Place", "Name", "Kind", "Storage", ""), rows)
    made = made_by_the_site(places)
    closed = sum(place.closed for place in made)
    words = plural(len(made), "place") + (f", {closed} of them closed" if closed else "")
    return (
        f"{heading('Places', site)}\n{page}\n{words}; {len(places) - len(made)} more come with "
        "the book, its suppliers, categories and theatres, and are in no file."
    )


def _closed(place: Place) -> str:
    return "closed" if place.closed else ""


def place_page(place: Place, site: Site) -> str:
    """One place."""
    facts = [
        ("Name", place.name), ("Kind", place.kind), ("Storage class", place.storage_class),
        ("Theatre", place.theatre),
        ("Trolley", trolley_place(place.code) if place.kind == "theatre" else None),
        ("Closed", "yes; nothing is moved there" if place.closed else None),
    ]  # fmt: skip
    return f"{heading(f'Place {place.code}', site)}\n{lines(facts)}"


def place_sheets(places: Sequence[Place]) -> "list[DataSheet]":
    """The columns of a file of places."""
    from stockbook.reports.data import DataSheet, columns

    rows = [(p.code, p.name, p.kind, p.storage_class, "yes" if p.closed else "no") for p in places]
    names = columns("place", "name", "kind", "storage_class", "closed")
    return [DataSheet("places", (), names, tuple(rows))]
