"""A scanner at the standard input of a command."""

import contextlib
import io
import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from desk import Answer

from stockbook.cli.context import Session
from stockbook.cli.main import invoke


@contextlib.contextmanager
def typing_in(content: bytes) -> Iterator[None]:
    """The standard input holds these bytes."""
    before = sys.stdin
    sys.stdin = io.TextIOWrapper(io.BytesIO(content), encoding="utf-8")
    try:
        yield
    finally:
        sys.stdin = before


def scanned(content: bytes, *words: str, book: Path | None = None, day: str) -> Answer:
    """What `stockbook scan` answers to these bytes."""
    out, err = io.StringIO(), io.StringIO()
    session = Session(book=str(book) if book else None, today=day)
    with typing_in(content), contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = invoke(["scan", *words], session)
    return Answer(code, out.getvalue(), err.getvalue())


def objects(answer: Answer) -> list[dict[str, Any]]:
    """The answer's JSON, line by line."""
    return [json.loads(line) for line in answer.out.splitlines()]
