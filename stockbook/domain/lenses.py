"""Lens powers, in hundredths of a dioptre; a record of what is asked for, never a calculation."""

import re

from stockbook.errors import InputError

_POWER = r"([+-])([0-9]{1,2})\.([0-9]{2})"


def power_from_text(text: str, what: str = "power") -> int:
    """A signed power in quarter dioptres, in hundredths.

    >>> power_from_text("+21.50")
    2150
    """
    match = re.fullmatch(_POWER, text.strip())
    if match is None or not text.isascii():
        raise InputError(f"{what}: found {text!r}, wanted a signed power such as +21.50.")
    amount = int(match[2]) * 100 + int(match[3])
    if amount % 25:
        raise InputError(f"{what}: found {text!r}, wanted a whole number of quarter dioptres.")
    return -amount if match[1] == "-" else amount


def power_text(power: int) -> str:
    """A power as it is written everywhere: sign and two decimals.

    >>> power_text(2150), power_text(-50)
    ('+21.50', '-0.50')
    """
    sign = "-" if power < 0 else "+"
    return f"{sign}{abs(power) // 100}.{abs(power) % 100:02d}"
