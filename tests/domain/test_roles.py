"""Who may record what: each role only its own commands, an auditor nothing."""

import pytest

from stockbook.domain.roles import (
    COMMAND_OF_ENTRY,
    MAY_RECORD,
    ROLES,
    check_role,
)
from stockbook.errors import Refused

# DESIGN, section 5: the headings are the table.
OWN = {
    "keeper": {"receive", "order", "move", "discard", "send-back"},
    "nurse": {"issue", "finish", "list", "case"},
    "sterile": set(),
    "manager": {
        "quarantine",
        "kit",
        "import",
        "item",
        "place",
        "supplier",
        "sponsor",
        "staff",
        "book",
        "list",
        "case",
        "reopen",
    },
    "finance": {
        "valuation",
        "invoice",
        "period",
        "claims",
        "sponsor",
        "decline",
        "overhead",
        "reopen",
    },
    "auditor": set(),
}


def test_the_roles_are_these_six() -> None:
    assert set(ROLES) == set(OWN)


def test_every_command_that_records_is_somebody_s() -> None:
    assert set(MAY_RECORD) == set().union(*OWN.values())
    assert all(MAY_RECORD.values())


@pytest.mark.parametrize(("role", "command"), [(r, c) for r in OWN for c in sorted(MAY_RECORD)])
def test_a_role_gives_its_own_commands_and_no_other(role: str, command: str) -> None:
    if command in OWN[role]:
        check_role("AB", role, command)
        return
    with pytest.raises(Refused, match=rf"^{command}: AB is {role}; this is for ") as error:
        check_role("AB", role, command)
    assert all(allowed in error.value.message for allowed in MAY_RECORD[command])


def test_every_kind_of_entry_is_recorded_and_reversed_by_a_known_command() -> None:
    one_fact = {
        "item",
        "place",
        "supplier",
        "sponsor",
        "staff",
        "kit",
        "reopen",
        "overhead",
    }  # reversed as what an import recorded
    assert set(COMMAND_OF_ENTRY.values()) == set(MAY_RECORD) - one_fact
