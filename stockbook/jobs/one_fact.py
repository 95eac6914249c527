"""One fact made or changed by itself, by the very readers of the import: a sheet of one row."""

from collections.abc import Mapping
from dataclasses import replace

from stockbook.domain.cells import spoilt
from stockbook.domain.entries import Draft, Signature
from stockbook.domain.importing import Imported
from stockbook.domain.rows import Faults, Row, Sheet, check_columns
from stockbook.errors import InputError, Refused
from stockbook.jobs.finding import near
from stockbook.jobs.import_ import compared, name_people
from stockbook.jobs.import_kinds import KINDS, Kind
from stockbook.jobs.reading import Reading
from stockbook.jobs.signing import check_person, fresh_request
from stockbook.ledger.facts import codes
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import posting

NOUNS = {
    "item": "items", "place": "places", "supplier": "suppliers", "sponsor": "sponsors",
    "staff": "staff",
}  # fmt: skip
"""The kind of file whose row a noun's command types."""


def record_one(
    book: Book,
    signature: Signature,
    noun: str,
    given: Mapping[str, str],
    *,
    new: bool,
    keep: bool = True,
) -> Imported:
    """The fact that `given` (column to text) describes is in the book.

    A new one must not be there yet; a changed one keeps whatever is not given.
    """
    kind = KINDS[NOUNS[noun]]
    sheet = Sheet(noun, tuple(given), (Row(1, dict(given)),))
    if new:
        check_columns(sheet, kind.required, kind.optional)
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, noun)
        reading = Reading(post.db, sheet, Faults(sheet), signature, partial=not new)
        kind.read(reading)
        check_faults(reading)
        _check_known(reading, noun, kind, new=new)
        changed, answer = compared(reading, kind, Imported(noun, noun, None, True, 1))
        name_people(post.db, reading.names)
        if not changed:
            return answer
        asked = fresh_request(post.db, noun, [noun, dict(given)])
        number = post.post(Draft("facts", signature, asked, facts=changed)).number
        return replace(answer, entry=number, already=False)


def check_faults(reading: Reading) -> None:
    """Whatever was wrong with the one row, as one message."""
    found = reading.faults.found
    if found:
        words = (f"{f.column}: found {f.found or 'nothing'!r}, wanted {f.wanted}" for f in found)
        raise InputError(". ".join(words) + ".")


def _check_known(reading: Reading, noun: str, kind: Kind, *, new: bool) -> None:
    """A new fact has a new code, a changed one a code of the book."""
    fact = next(fact for fact in reading.facts if type(fact) is kind.fact)
    code = str(fact.code)
    known = reading.known(type(fact), code)
    if new and known is not None:
        raise Refused(f"{noun}: {code} is in the book already. Use '{noun} change {code}'.")
    if new and spoilt(noun, code):
        # No file could bring it back: there it is what a spreadsheet makes of a long number.
        raise InputError(f"{noun}: {code} is a number to a spreadsheet. Choose another code.")
    if not new and known is None:
        near_ones = near(code, codes(reading.db, type(fact)))
        raise InputError(f"{noun}: {code} is not in this book.{near_ones}")
