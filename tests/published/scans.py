"""A published scan, through the reader and through the command."""

import contextlib
import json
from pathlib import Path
from typing import Any

from scanner import objects, scanned

from published.tables import Figures
from stockbook.domain.scan_facts import scan_json
from stockbook.domain.scans import read
from stockbook.errors import ScanRefused


def read_and_told(figures: Figures, folder: Path) -> None:
    """Every listed field is equal in both; where no warning is listed there is none."""
    raw, as_of = figures.given("raw", "as_of")
    said = _read(raw, as_of)
    told = _told(raw, as_of, folder)
    assert ("warn" in said) == ("warn" in figures.row.expected), f"{figures.row}: {said}"
    for name in figures.row.expected:
        figures.equal(name, said.get(name))
        figures.equal(name, told.get(name))


def _read(raw: str, as_of: str) -> dict[str, Any]:
    """What the reader says, as JSON has it."""
    try:
        said = scan_json(read(raw, as_of))
    except ScanRefused as refused:
        said = {"ok": False, "error": refused.name, **refused.fields}
    plain: dict[str, Any] = json.loads(json.dumps(said))
    return plain


def _told(raw: str, as_of: str, folder: Path) -> dict[str, Any]:
    """What the command answers, in a folder without a book."""
    with contextlib.chdir(folder):
        answer = scanned(f"{raw}\n".encode(), "--json", "--as-of", as_of, day=as_of)
    (told,) = objects(answer)
    assert answer.code == (0 if told["ok"] else 2)
    return told
