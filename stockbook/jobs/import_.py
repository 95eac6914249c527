"""Importing a kind of fact, or the opening stock, from a file: all of it or nothing."""

import sqlite3
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from stockbook.domain import texts
from stockbook.domain.cells import NUMBERS, Decimals
from stockbook.domain.entries import Draft, Request, Signature
from stockbook.domain.facts import Case, Fact, Item, Lot, Place, Setting
from stockbook.domain.importing import Alteration, Differences, Imported, Layout, alterations
from stockbook.domain.places import SITE_KINDS
from stockbook.domain.rows import Faults, Row, Sheet, check_columns
from stockbook.errors import BadRows, InputError
from stockbook.jobs.column_maps import ColumnMap, column_map
from stockbook.jobs.import_kinds import Kind, kind_of
from stockbook.jobs.reading import Reading
from stockbook.jobs.signing import check_person, fresh_request, request
from stockbook.ledger.facts import all_of, find
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import Posting, find_request, natural_key, posting
from stockbook.ledger.settings import name_person


def layout(book: Book, kind: str) -> Layout:
    """What a kind's file looks like, with the names this site has for its columns."""
    named = column_map(book.db, kind, columns_of(kind))
    return replace(plain_layout(kind), own_names=named.pairs() if named else ())


def plain_layout(kind: str) -> Layout:
    """What a kind's file looks like anywhere."""
    k = kind_of(kind)
    example = dict(zip(columns_of(kind), k.example, strict=True))
    return Layout(kind, k.required, k.optional, example)


def columns_of(kind: str) -> tuple[str, ...]:
    """The columns of a kind, those that must be there first."""
    return (*kind_of(kind).required, *kind_of(kind).optional)


def map_of(book: Book, kind: str, typed: Sequence[tuple[str, str]]) -> ColumnMap | None:
    """The site's own names for a kind's columns: what is remembered and what is typed now."""
    return column_map(book.db, kind, columns_of(kind), typed)


def import_sheet(
    book: Book,
    signature: Signature,
    kind: str,
    sheet: Sheet,
    *,
    own_names: ColumnMap | None = None,
    agreed: Differences | None = None,
    sure: bool = False,
    tell: Callable[[int], None] | None = None,
    keep: bool = True,
) -> Imported:
    """Every row of the sheet is in the book in one entry; one bad row and nothing is.

    Where something known would alter, the answer is `waiting` and nothing is recorded until the
    call says `sure` or brings the very differences that were `agreed`.
    """
    check_sheet(sheet, kind_of(kind))
    sheet, commas = with_points(sheet)
    answer = Imported(
        kind, sheet.name, None, True, len(sheet.rows), decimal_commas=commas,
        own_names=own_names.pairs() if own_names else (), unread=sheet.unread,
    )  # fmt: skip
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "import")
        setting = new_setting(post.db, own_names)
        asked = _request(post.db, kind, sheet, setting)
        known = find_request(post.db, asked)
        if known is not None:
            return replace(answer, entry=known, unchanged=len(sheet.rows))
        reading = Reading(post.db, sheet, Faults(sheet), signature, tell=tell)
        kind_of(kind).read(reading)
        reading.faults.check()
        changed, answer = compared(reading, kind_of(kind), answer)
        differences = answer.differences
        if keep and differences.asks and not sure and agreed != differences:
            return replace(answer, waiting=True)
        return _recorded(post, reading, asked, [*changed, *setting], answer)


def check_sheet(sheet: Sheet, kind: Kind) -> None:
    """The columns are those of the kind; else how to name the site's own is said."""
    try:
        check_columns(sheet, kind.required, kind.optional)
    except InputError as error:
        raise InputError(
            f"{error.message} Where your columns have other names, say so: --map THEIRS OURS."
        ) from None


def _recorded(
    post: Posting, reading: Reading, asked: Request, facts: Sequence[Fact], answer: Imported
) -> Imported:
    """The answer with its entry; names go beside the chain."""
    name_people(post.db, reading.names)
    if not facts and not reading.moves:
        return answer
    entry_kind = "opening" if reading.moves else "facts"
    document = texts.clean_text(answer.file, "file name")
    draft = Draft(entry_kind, reading.signature, asked, reading.moves, facts, document)
    return replace(answer, entry=post.post(draft).number, already=False)


def new_setting(db: sqlite3.Connection, own_names: ColumnMap | None) -> list[Fact]:
    """The column names as a fact, when the book does not remember them so already."""
    if own_names is None or find(db, Setting, own_names.setting().code) == own_names.setting():
        return []
    return [own_names.setting()]


def _request(db: sqlite3.Connection, kind: str, sheet: Sheet, setting: Sequence[Fact]) -> Request:
    """Opening stock is a document of its own file; facts may be given again and again."""
    asked: list[object] = [kind, [[*row.values.values()] for row in sheet.rows]]
    if kind == "opening-stock":
        return request(natural_key(db, f"import/{kind}/{sheet.name}"), asked)
    return fresh_request(db, f"import/{kind}", [*asked, *(str(fact.code) for fact in setting)])


def with_points(sheet: Sheet) -> tuple[Sheet, bool]:
    """The sheet with decimal points, and whether it had decimal commas throughout."""
    columns = [column for column in sheet.columns if column in NUMBERS]
    if not columns:
        return sheet, False
    met = Decimals(sheet.separator)
    for row in sheet.rows:
        for column in columns:
            met.meet(row.number, column, row.get(column))
    if met.faults:
        raise BadRows(sheet.name, met.faults)
    if not met.commas:
        return sheet, False
    return replace(sheet, rows=tuple(_pointed(row, columns) for row in sheet.rows)), True


def _pointed(row: Row, columns: Sequence[str]) -> Row:
    pointed = {column: row.get(column).replace(",", ".") for column in columns}
    return Row(row.number, {**row.values, **pointed})


def compared(reading: Reading, kind: Kind, answer: Imported) -> tuple[list[Fact], Imported]:
    """The facts of a reading that are new or altered, and the answer with what differs."""
    pairs = [(fact, _known(reading, fact)) for fact in reading.facts]
    changed = [(fact, known) for fact, known in pairs if fact != known]
    new = sum(known is None for _, known in changed)
    met = any(known is not None and type(fact) is kind.fact for fact, known in pairs)
    return [fact for fact, _ in changed], replace(
        answer, new=new, altered=len(changed) - new, unchanged=len(pairs) - len(changed),
        differences=_differences(reading, changed, _gone(reading, kind) if met else []),
    )  # fmt: skip


def _known(reading: Reading, fact: Fact) -> Fact | None:
    if isinstance(fact, Lot):
        return None
    found: Fact | None = reading.known(type(fact), fact.code)
    return found


def _differences(
    reading: Reading, changed: Sequence[tuple[Fact, Fact | None]], gone: Sequence[str]
) -> Differences:
    """What a person is shown: not the places that only follow a supplier, a theatre, a category."""
    added: list[str] = []
    altered: list[Alteration] = []
    for fact, known in changed:
        if isinstance(fact, Place) and fact.kind not in SITE_KINDS:
            continue
        if known is None:
            added.append(str(fact.code))
        else:
            altered += alterations(known, fact, _places(reading, fact))
    return Differences(tuple(added), tuple(altered), tuple(gone))


def _places(reading: Reading, fact: Fact) -> int:
    """The decimals of the item that a fact's quantities are of."""
    code = getattr(fact, "item", None)
    item = reading.known(Item, code) if isinstance(code, str) else None
    return item.unit_places if item else 0


def _gone(reading: Reading, kind: Kind) -> list[str]:
    """What the book has, within what the file tells of, and the file has not."""
    if kind.fact is None or reading.partial:
        return []
    ours = [fact for fact in reading.facts if type(fact) is kind.fact]
    here = {fact.code for fact in ours}
    known = all_of(reading.db, kind.fact, **_scope(kind, ours))
    return [str(fact.code) for fact in known if fact.code not in here and _is_open(fact)]


def _scope(kind: Kind, ours: Sequence[Fact]) -> dict[str, object]:
    if kind.fact is Place:
        return {"kind": SITE_KINDS}
    if kind.within is None:
        return {}
    return {kind.within: sorted({str(getattr(fact, str(kind.within))) for fact in ours})}


def _is_open(fact: Fact) -> bool:
    if isinstance(fact, Case) and fact.kind != "patient":
        return False
    return getattr(fact, "active", True) and not getattr(fact, "closed", False)


def name_people(db: sqlite3.Connection, names: Mapping[str, str]) -> None:
    """Names stand beside their codes, outside the chain."""
    for code, name in names.items():
        name_person(db, code, name)
