"""Whose a sitting is: the last terminal that sat down goes on, another person is asked about."""

from typing import Protocol, TypeVar

from stockbook.domain.amounts import plural
from stockbook.domain.entries import Signature
from stockbook.errors import NeedsAnswer, Refused


class Seat(Protocol):
    """A sitting: who has it, who began it and when, how many sat down."""

    @property
    def by(self) -> str:
        """Who has it."""

    @property
    def began_by(self) -> str:
        """Who began it."""

    @property
    def began_at(self) -> str:
        """When it was begun."""

    @property
    def seat(self) -> int:
        """How many terminals sat down."""


S = TypeVar("S", bound=Seat)


def ask_another(
    found: Seat | None, signature: Signature, what: str, scans: int, *, sure: bool
) -> None:
    """Raises what to ask of a sitting that somebody else has; nothing where it is one's own."""
    if found is None or found.by == signature.by or sure:
        return
    began = f"{found.began_by} began this {what} at {found.began_at}"
    now = "" if found.by == found.began_by else f", {found.by} has it now"
    raise NeedsAnswer(f"{began}{now}; {plural(scans, 'scan')} not recorded. Take it over?")


def own_seat(found: S | None, signature: Signature, seat: int, what: str) -> S:
    """The sitting, which goes on at this terminal; else where it went is said."""
    if found is None:
        raise Refused(f"this {what} was recorded at another terminal. LEAVE.")
    if found.by != signature.by:
        raise Refused(f"this {what} is {found.by}'s now. LEAVE, and sit down again.")
    if found.seat != seat:
        raise Refused(f"this {what} goes on at another terminal. LEAVE, and sit down again.")
    return found
