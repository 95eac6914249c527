"""How operating lists look: one, those to come, and what a new file changes of them."""

from collections.abc import Sequence

from stockbook.domain.answers import Site
from stockbook.domain.case_changes import CANCELLED, FINISHED, ISSUED, PLANNED
from stockbook.domain.list_changes import Consequences, ListChanges, ListView, Scheduled, Taken
from stockbook.reports.data import DataSheet, columns
from stockbook.reports.one_case import lens_words, list_words
from stockbook.reports.tables import heading, plural, table

STATES = (PLANNED, ISSUED, FINISHED, CANCELLED)


def list_page(view: ListView, site: Site) -> str:
    """The cases of a list in order, each with where it stands."""
    rows = [
        (c.position, c.code, state, c.patient, c.eye, c.procedure, c.category, c.surgeon,
         lens_words(c), ", ".join(c.needs))
        for c, state in view.cases
    ]  # fmt: skip
    headers = ("No", "Case", "State", "Patient", "Eye", "Procedure", "Category", "Surgeon", "Lens",
               "Needs")  # fmt: skip
    of = f"List {list_words(view.list)}"
    shown = table(headers, rows, "No") if rows else "No case is on it."
    common = [f"Used in common by the list: {view.common}."] if view.common else []
    return "\n".join([heading(of, site), shown, *common])


def list_sheets(view: ListView) -> list[DataSheet]:
    """The cases of a list, one row each."""
    rows = [
        (c.position, c.code, state, c.patient, c.eye, c.procedure, c.category, c.sponsor,
         c.surgeon, c.lens_model, c.power, " ".join(c.needs), c.minutes)
        for c, state in view.cases
    ]  # fmt: skip
    names = columns(
        "position:count", "case", "state", "patient", "eye", "procedure", "category", "sponsor",
        "surgeon", "lens_model", "power:power", "needs", "minutes:count",
    )  # fmt: skip
    of = view.list
    about = (("list", of.code), ("day", of.day), ("theatre", of.theatre), ("part", of.part),
             ("common", view.common))  # fmt: skip
    return [DataSheet("list", about, names, tuple(rows))]


def coming_page(views: Sequence[ListView], day: str, site: Site) -> str:
    """The lists to come, with how many of their cases stand where."""
    title = heading(f"Lists from {day} on", site)
    if not views:
        return f"{title}\nNone. Take one in with 'stockbook list take FILE'."
    headers = ("List", "Day", "Theatre", "Part", *(state.capitalize() for state in STATES))
    rows = [_coming_row(view) for view in views]
    return f"{title}\n{table(headers, rows, 'Planned,Issued,Finished,Cancelled')}"


def _coming_row(view: ListView) -> tuple[object, ...]:
    of = view.list
    return (of.code, of.day, of.theatre, of.part, *(view.count(state) for state in STATES))


def coming_sheets(views: Sequence[ListView], day: str) -> list[DataSheet]:
    """The lists to come, one row each."""
    names = columns("list", "day:day", "theatre", "part", *(f"{state}:count" for state in STATES))
    rows = tuple(_coming_row(view) for view in views)
    return [DataSheet("lists", (("from_day", day),), names, rows)]


def taken_page(taken: Taken) -> str:
    """What a file changes, what follows for the lenses, and which cases stay as they are."""
    lines = [f"{taken.file}: {plural(taken.rows, 'case')}; {_counts(taken.changes)}."]
    if taken.unread:
        named = ", ".join(name or "(no name)" for name in taken.unread)
        lines.append(f"Not read: {named}.")
    if not taken.changes.none:
        headers = ("What", "Case", "Was", "Becomes")
        lines.append(table(headers, _rows(taken.changes)))
        lines += _consequence_lines(taken.consequences)
    lines += [f"Stays: case {kept.case} ({kept.why})." for kept in taken.kept]
    return "\n".join(lines)


def _counts(changes: ListChanges) -> str:
    if changes.none:
        return "already as in the file"
    altered = len({one.code for one in changes.altered})
    counts = (
        (len(changes.added), "added"), (len(changes.again), "taken back"),
        (len(changes.gone), "gone"), (len(changes.moved), "moved"),
        (len(changes.resequenced), "re-sequenced"), (altered, "altered"),
        (len({one.code for one in changes.lists}), "lists altered"),
    )  # fmt: skip
    return ", ".join(f"{count} {words}" for count, words in counts if count)


def _rows(changes: ListChanges) -> list[tuple[object, ...]]:
    return [
        *(("list", a.code, f"{a.field} {a.was}", f"{a.field} {a.now}") for a in changes.lists),
        *(("added", one.case.code, "", _plan(one)) for one in changes.added),
        *(("again", one.case.code, "cancelled", _plan(one)) for one in changes.again),
        *(("gone", one.case.code, _plan(one), "cancelled") for one in changes.gone),
        *(("moved", s.now.case.code, _where(s.was), _where(s.now)) for s in changes.moved),
        *(("sequence", s.now.case.code, s.was.case.position, s.now.case.position)
          for s in changes.resequenced),
        *(("altered", a.code, f"{a.field} {a.was or 'nothing'}", f"{a.field} {a.now or 'nothing'}")
          for a in changes.altered),
    ]  # fmt: skip


def _plan(one: Scheduled) -> str:
    case = one.case
    what = f"{case.procedure} {case.category}, {case.eye}, {lens_words(case)}"
    return f"{case.list} {case.position}: {what}"


def _where(one: Scheduled) -> str:
    return f"{one.case.list}, {one.day}, {one.theatre}"


def _consequence_lines(found: Consequences) -> list[str]:
    lines = [f"Lens missing: case {m.case}, {m.lens} ({m.why})." for m in found.missing]
    lines += [f"Lens freed: {lens}." for lens in found.freed]
    return [
        *lines,
        *(f"Spare lost: no other {lens} is left in reach." for lens in found.spare_lost),
    ]


def taken_question(taken: Taken) -> str:
    """What a person agrees to before a list's file is taken."""
    words = _counts(taken.changes)
    missing = len(taken.consequences.missing)
    lens = f" {plural(missing, 'case')} without a lens." if missing else ""
    return f"{taken.file}: {words}.{lens} Take it?"
