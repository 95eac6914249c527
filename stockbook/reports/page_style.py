"""How every printed page is set: its paper, black on white, nothing cut in two that belongs
together, table headers again on every sheet. What one kind of page needs besides comes after it.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Paper:
    """A size of paper in millimetres, as `@page` calls it."""

    css: str
    width: int
    height: int


PAPERS = {"a4": Paper("A4", 210, 297), "letter": Paper("letter", 216, 279)}

_COMMON = """
* { box-sizing: border-box; }
body { color: #000; background: #fff; font: 10pt/1.3 sans-serif; margin: 0 auto; }
h1 { font-size: 16pt; margin: 0 0 2mm; }
h2 { font-size: 13pt; margin: 0 0 2mm; border-bottom: 1.5pt solid #000; break-after: avoid; }
h3 { font-size: 11pt; margin: 3mm 0 1mm; break-after: avoid; }
p { margin: 1.5mm 0; overflow-wrap: anywhere; }
.title { font-size: 12pt; }
.foot { font-size: 7.5pt; border-top: .5pt solid #000; padding-top: 1mm; overflow-wrap: anywhere; }
table { border-collapse: collapse; width: 100%; margin: 1mm 0 3mm; }
thead { display: table-header-group; }
tr { break-inside: avoid; }
th, td { border: .5pt solid #000; padding: .6mm 1.2mm; text-align: left; vertical-align: middle; }
"""


def style(
    paper: str, more: str = "", *, margin: int = 12, landscape: bool = False, edges: str = ""
) -> str:
    """The style of a page on this paper; `edges` is what its margins say on every sheet."""
    size = PAPERS[paper]
    turned = " landscape" if landscape else ""
    sheet = f"@page {{ size: {size.css}{turned}; margin: {margin}mm; {edges}}}\n"
    width = f"body {{ max-width: {room(paper, margin=margin, landscape=landscape)}mm; }}\n"
    return "\n" + sheet + _COMMON.lstrip("\n") + width + more.lstrip("\n")


def room(paper: str, *, margin: int = 12, landscape: bool = False) -> int:
    """How wide a page's content may be, in millimetres."""
    size = PAPERS[paper]
    return (size.height if landscape else size.width) - 2 * margin


def quoted(text: str) -> str:
    """A text as a string of CSS: whatever could end it, or the style, is written as its number.

    >>> quoted('A "B" </style>')
    '"A \\\\22 B\\\\22  \\\\3c /style\\\\3e "'
    """
    plain = (c if c.isalnum() or c in " .,:;()/-+" else f"\\{ord(c):x} " for c in text)
    return '"' + "".join(plain) + '"'
