"""Reading sponsors: what each pays for a case, and until when it can be claimed."""

from typing import Any

from stockbook.domain import texts
from stockbook.domain.amounts import whole_from_text
from stockbook.domain.finance_facts import Sponsor
from stockbook.domain.rows import Row
from stockbook.errors import InputError
from stockbook.jobs.finding import money_of
from stockbook.jobs.reading import Reading, optional

MOST_DAYS = 3660


def _days(text: str) -> int:
    days = whole_from_text(text, 0, "days")
    if not 0 <= days <= MOST_DAYS:
        raise InputError(f"days: found {text!r}, wanted 0 to {MOST_DAYS}, or nothing")
    return days


def read_sponsors(reading: Reading) -> None:
    """Sponsors; an amount or days left empty are not stated, which is not nothing."""
    minor = money_of(reading.db).minor
    for row in reading.sheet.rows:
        values = reading.row(
            row,
            sponsor=lambda t: texts.code(t, "sponsor"),
            name=texts.name,
            amount=optional(lambda t: minor(t, "amount")),
            deduction=lambda t: minor(t or "0", "deduction"),
            days=optional(_days),
        )
        if values and reading.once(row, "sponsor", str(values["sponsor"])):
            reading.facts.append(_sponsor(reading, row, values))


def _sponsor(reading: Reading, row: Row, values: dict[str, Any]) -> Sponsor:
    known = reading.known(Sponsor, values["sponsor"])
    reading.keep(values, known, name="name", amount="amount", deduction="deduction", days="days")
    made = Sponsor(
        values["sponsor"], values["name"], values["amount"], values["deduction"], values["days"]
    )
    if made.deduction and made.amount is None:
        reading.faults.add(row, "deduction", "deduction: wanted with an amount, or nothing")
    return made
