"""Pages of HTML put together so that text is escaped unless it was made here."""

from collections.abc import Sequence
from html import escape


class Safe(str):
    """HTML that was put together from escaped parts."""

    __slots__ = ()


EMPTY = frozenset({"img", "br", "meta"})


def el(name: str, *content: str, css: str = "", **attributes: str) -> Safe:
    """An element; whatever is not `Safe` is text and gets escaped.

    >>> el("td", "Drops <5 ml & more", css="item")
    '<td class="item">Drops &lt;5 ml &amp; more</td>'
    """
    given = {**({"class": css} if css else {}), **attributes}
    head = "".join(f' {key}="{escape(value)}"' for key, value in given.items())
    if name in EMPTY:
        return Safe(f"<{name}{head}>")
    return Safe(f"<{name}{head}>{joined(*content)}</{name}>")


def joined(*content: str) -> Safe:
    """Parts one after the other, each escaped unless it is safe."""
    return Safe("".join(part if isinstance(part, Safe) else escape(part) for part in content))


def rows(cells: Sequence[tuple[str, ...]], name: str = "td") -> Safe:
    """Table rows of cells."""
    return joined(*(el("tr", *(el(name, cell) for cell in row)) for row in cells))


def page(title: str, style: str, *body: str) -> Safe:
    """A whole document that needs nothing from outside itself."""
    head = el("head", el("meta", charset="utf-8"), el("title", title), el("style", Safe(style)))
    return joined(Safe("<!DOCTYPE html>\n"), el("html", head, el("body", *body), lang="en"))
