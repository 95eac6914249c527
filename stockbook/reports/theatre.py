"""What the terminal in theatre shows: one line a scan, the current case large, the list's end."""

from stockbook.domain.answers import Site
from stockbook.domain.facts import Case, OperatingList
from stockbook.domain.lenses import power_text
from stockbook.domain.sitting import ListEnd, Pack, Reply, Sitting
from stockbook.reports.cases import CHECK_LENS
from stockbook.reports.large import large
from stockbook.reports.tables import columns_at_most, heading, plural

WIDTH = 80


def sitting_page(the_list: OperatingList, sitting: Sitting, site: Site) -> str:
    """Whose sitting it is, and what waits from before."""
    title = f"List {the_list.code}, {the_list.day}, {the_list.theatre}: {sitting.by} sits here"
    lines = [heading(title, site), "Scan a strip, then its packs, then NEXT. A stock record only."]
    if sitting.packs or sitting.case:
        kept = f"{plural(len(sitting.packs), 'scan')} not recorded yet"
        lines.append(f"Resumed: {kept}; current case: {sitting.case or 'none'}.")
    return "\n".join(lines)


def reply_lines(reply: Reply) -> str:
    """The answer to one scan; a case that became current in large letters."""
    if reply.case is None:
        return reply.words
    return f"{case_large(reply.case)}\n{reply.words}"


def case_large(case: Case) -> str:
    """Which case, which eye, which lens, to be read from the table; checked against the plan."""
    lens = "no lens planned"
    if case.lens_model is not None and case.power is not None:
        lens = f"{case.lens_model} {power_text(case.power)}"
    width = columns_at_most(WIDTH)
    eye = case.eye or "no eye"
    said = f"{case.code}, reference {case.patient}: {case.procedure}, {case.category}, {eye} eye"
    return "\n".join(
        ["", large(f"{case.code} {eye}", width), "", large(lens, width), "", f"{said}, lens {lens}",
         CHECK_LENS]
    )  # fmt: skip


def end_page(end: ListEnd, site: Site) -> str:
    """Lens tally, open packs, unfinished cases."""
    lenses = end.lenses
    lines = [
        heading(f"List {end.list} as it stands", site),
        f"Cases: {end.finished} finished, {end.cancelled} cancelled, "
        f"{len(end.unfinished)} not finished.",
        f"Lenses: {lenses.out} out = {lenses.implanted} implanted + {lenses.spoiled} spoiled + "
        f"{lenses.back} back" + (f"; {lenses.open} still on the trolley" if lenses.open else "."),
    ]
    if end.no_lens_seen:
        lines.append(f"Lens not scanned (presumed): {', '.join(end.no_lens_seen)}.")
    lines += [f"Not finished: {case.code}" for case in end.unfinished]
    if end.in_common and not end.unfinished:
        lines.append(f"Used in common, still on the trolley: stockbook finish {end.list}")
    lines += [_waits(pack, end) for pack in end.waiting]
    return "\n".join(lines)


def _waits(pack: Pack, end: ListEnd) -> str:
    """A pack that is not in the book; of a case that is over it never will be."""
    if end.is_unfinished(pack.case):
        return f"Waits to be recorded: {_pack(pack)}"
    return f"Never recorded, {pack.case} is over: {_pack(pack)}. Scan its strip, UNDO drops it."


def _pack(pack: Pack) -> str:
    unit = pack.unit
    lot = f" lot {unit.lot}" if unit.lot else ""
    what = "" if unit.what == "used" else f", {unit.what}"
    return f"{pack.case} {unit.item}{lot}{what}"
