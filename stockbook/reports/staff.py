"""How staff codes look, all or one."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from stockbook.domain.about import Person
from stockbook.domain.answers import Site
from stockbook.domain.roles import MAY_RECORD
from stockbook.reports.tables import heading, lines, plural, table

if TYPE_CHECKING:
    from stockbook.reports.data import DataSheet


def staff_page(people: Sequence[Person], site: Site) -> str:
    """Every staff code with its name and role; those that may no longer record are marked."""
    rows = [(p.staff.code, p.name, p.staff.role, _inactive(p)) for p in people]
    page = table(("Code", "Name", "Role", ""), rows)
    inactive = sum(not person.staff.active for person in people)
    words = f", {inactive} of them inactive" if inactive else ""
    return f"{heading('Staff', site)}\n{page}\n{plural(len(people), 'staff code')}{words}."


def _inactive(person: Person) -> str:
    return "" if person.staff.active else "inactive"


def person_page(person: Person, site: Site) -> str:
    """One person, with the commands that the role may give."""
    staff = person.staff
    commands = [command for command, roles in MAY_RECORD.items() if staff.role in roles]
    may = ", ".join(commands) or "nothing yet"
    facts = [
        ("Name", person.name), ("Role", staff.role),
        ("May record", may if staff.active else "nothing; the code is inactive"),
    ]  # fmt: skip
    return f"{heading(f'Staff code {staff.code}', site)}\n{lines(facts)}"


def staff_sheets(people: Sequence[Person]) -> "list[DataSheet]":
    """The columns of a file of staff."""
    from stockbook.reports.data import DataSheet, columns

    rows = [(p.staff.code, p.staff.role, p.name, "yes" if p.staff.active else "no") for p in people]
    return [DataSheet("staff", (), columns("staff", "role", "name", "active"), tuple(rows))]
