"""Who may record what: the table of roles and commands, as data."""

from stockbook.errors import Refused

ROLES = ("keeper", "nurse", "sterile", "manager", "finance", "auditor")

MAY_RECORD: dict[str, frozenset[str]] = {
    "receive": frozenset({"keeper"}),
    "order": frozenset({"keeper"}),
    "move": frozenset({"keeper"}),
    "discard": frozenset({"keeper"}),
    "send-back": frozenset({"keeper"}),
    "issue": frozenset({"nurse"}),
    "finish": frozenset({"nurse"}),
    "list": frozenset({"nurse", "manager"}),
    "case": frozenset({"nurse", "manager"}),
    "quarantine": frozenset({"manager"}),
    "kit": frozenset({"manager"}),
    "import": frozenset({"manager"}),
    "item": frozenset({"manager"}),
    "place": frozenset({"manager"}),
    "supplier": frozenset({"manager"}),
    "sponsor": frozenset({"finance", "manager"}),
    "staff": frozenset({"manager"}),
    "book": frozenset({"manager"}),
    "invoice": frozenset({"finance"}),
    "valuation": frozenset({"finance"}),
    "period": frozenset({"finance"}),
    "claims": frozenset({"finance"}),
    "decline": frozenset({"finance"}),
    "overhead": frozenset({"finance"}),
    "reopen": frozenset({"finance", "manager"}),
}
"""Commands that record, and the roles that may give them; every role may ask everything."""

COMMAND_OF_ENTRY = {
    "delivery": "receive",
    "order": "order",
    "issue": "issue",
    "rescue": "issue",
    "service": "issue",
    "explanation": "issue",
    "finish": "finish",
    "list": "list",
    "case": "case",
    "cancel": "case",
    "convert": "case",
    "correction": "case",
    "move": "move",
    "discard": "discard",
    "send-back": "send-back",
    "quarantine": "quarantine",
    "release": "quarantine",
    "facts": "import",
    "opening": "import",
    "book": "book",
    "period": "period",
    "invoice": "invoice",
    "write-down": "valuation",
    "claim": "claims",
    "reimbursed": "claims",
    "declined": "decline",
}
"""The command that records each kind of entry; reversing takes the same role."""


def check_role(code: str, role: str, command: str) -> None:
    """Refuse a command that is not this role's to give.

    >>> check_role("AB", "nurse", "issue")
    """
    allowed = MAY_RECORD[command]
    if role not in allowed:
        raise Refused(
            f"{command}: {code} is {role}; this is for {' or '.join(sorted(allowed))}. "
            "Ask one of them, or let a manager change the role."
        )
