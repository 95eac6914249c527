"""A keeper at the desk: lines given to `receive SUPPLIER NOTE --scan`, as a scanner sends them."""

from desk import Answer, Desk
from scanner import typing_in

GS = "\x1d"
VISC_BOX = "]d201195211015300081729033110V9"
"""An outer pack of ten, lot V9, which keeps through 2029-03-31."""
VISC_ONE = "]d201095211015300011729050010V7"
"""A single one, lot V7, printed with a month alone."""
NEW = "09528888888882"
"""An identifier that no book of the tests knows."""


def unpack(
    desk: Desk, *lines: str, by: str = "KE", note: str = "N9", more: str = "", today: str = ""
) -> Answer:
    """What is said to these lines; the input then ends."""
    return typed_in(desk, f"receive ACME {note} --scan --by {by} {more}", lines, today)


def opened(
    desk: Desk, *lines: str, by: str = "KE", sheet: str = "A", more: str = "", today: str = ""
) -> Answer:
    """What is said to these lines of a sheet of opening stock; the input then ends."""
    return typed_in(desk, f"receive --opening {sheet} --scan --by {by} {more}", lines, today)


def typed_in(desk: Desk, command: str, lines: tuple[str, ...], today: str = "") -> Answer:
    """What a command says to these lines; the input then ends."""
    content = "".join(f"{line}\n" for line in lines).encode("utf-8", "surrogateescape")
    with typing_in(content):
        return desk.run(command, today=today or None)


def unpacked(desk: Desk, *lines: str, **said: str) -> str:
    """The same, where nothing is refused."""
    answer = unpack(desk, *lines, **said)
    assert answer.code == 0, f"{answer.out}\n{answer.err}"
    return answer.out + answer.err


def refused(desk: Desk, *lines: str, **said: str) -> str:
    """The same, where something is refused and no entry made."""
    before = desk.last()
    answer = unpack(desk, *lines, **said)
    assert answer.code == 2, f"{answer.out}\n{answer.err}"
    assert desk.last() == before
    return answer.out + answer.err


def lots(desk: Desk, item: str = "VISC") -> list[tuple]:
    """Lots that came by deliveries of ACME: number, serial, expiry, precision, quantity, scan."""
    return desk.rows(
        "SELECT number, serial, expires_on, expiry_precision, quantity, scan FROM lot "
        "WHERE item = ? AND supplier = 'ACME' ORDER BY code",
        item,
    )


def sittings(desk: Desk) -> int:
    """How many sittings the book keeps."""
    return int(desk.rows("SELECT COUNT(*) FROM sitting")[0][0])
