"""What stands: an entry that was not reversed and reverses nothing, as a condition in SQL."""


def stands(entry: str = "entry") -> str:
    """The condition on an entry under this name.

    The plus keeps SQLite from looking for all that reverse nothing.
    """
    return (
        f"+{entry}.reverses IS NULL "
        f"AND NOT EXISTS (SELECT 1 FROM entry AS back WHERE back.reverses = {entry}.number)"
    )
