"""Wrong files through the real command: one clear message, exit 2, nothing written."""

import pytest
from desk import SITE, Desk

ITEMS = SITE["items"]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (ITEMS.replace("Knife", "Kn\xeffe").encode("latin-1"), "UTF-8"),
        (ITEMS.encode("utf-16"), "UTF-16"),
        (b"PK\x03\x04\x14\x00", "spreadsheet"),
        (b"", "empty"),
        (ITEMS.encode().replace(b"Knife", b"Kn\0fe"), "NUL"),
        (b"item,name\nA\n", "1 cells"),
        (b"item,name,class\nA,B,other,\n", "4 cells"),
        (b"item,name\nA,B\n", "lacks column class"),
        (b"item,name,class,\nA,B,other,\n", "unknown column"),
        (b"item,name,class,item\nA,B,other,A\n", "has twice"),
        ("item,name,class\nA,B\u202e,other\n".encode(), "U+202E"),
        ("item,name,class\nA,B\u200b,other\n".encode(), "U+200B"),
        (b"item,name,class\nA,\"B\nC\",other\n", "U+000A"),
        (b"item,name,class\nA," + b"B" * 201 + b",other\n", "at most 200"),
    ],
)  # fmt: skip
def test_a_wrong_file_is_refused_with_one_clear_message(
    desk: Desk, content: bytes, words: str
) -> None:
    (desk.folder / "wrong.csv").write_bytes(content)
    said = desk.refused("import items wrong.csv --by MA", 2)
    assert words in said
    assert "wrong.csv" in said
    assert "Traceback" not in said


@pytest.mark.parametrize("change", ["\ufeff", ";", "\t", "\r\n"])
def test_bom_semicolons_tabs_and_crlf_are_no_fault(desk: Desk, change: str) -> None:
    text = {
        "\ufeff": "\ufeff" + ITEMS,
        "\r\n": ITEMS.replace("\n", "\r\n"),
    }.get(change, ITEMS.replace(",", change))
    desk.file("i.csv", text)
    assert "nothing changed" in desk.ok("import items i.csv --by MA")
