"""HTML pages to print: elements that escape all they hold, one page around them, and its file.

A page needs nothing but itself: no script, no picture or style from elsewhere, which its policy
also forbids the browser.
"""

from __future__ import annotations

from html import escape
from pathlib import Path
from typing import Final, TypeAlias

from assistant.adapters.home.filing import save_ours

Content: TypeAlias = "str | Markup | None"
Attribute: TypeAlias = "str | int | float | bool | None"

_OURS: Final = b'<meta name="generator" content="dosewren">'
_VOID: Final = frozenset({"br", "col", "hr", "img", "meta"})
_POLICY: Final = "default-src 'none'; style-src 'unsafe-inline'; img-src data:"


class Markup(str):
    """Text that is HTML already and may stand in a page as it is."""

    __slots__ = ()


def tag(name: str, /, *content: Content, **attributes: Attribute) -> Markup:
    """An element of HTML or SVG; text in it and in its attributes is escaped.

    An attribute is named as in Python: `class_` for class, `stroke_width` for stroke-width.  None
    and False leave it out, True writes the bare name.
    """
    written = "".join(_attribute(key, value) for key, value in attributes.items())
    opened = f"<{name}{written}>"
    return Markup(opened if name in _VOID else f"{opened}{joined(*content)}</{name}>")


def joined(*content: Content) -> Markup:
    """Elements and text one after another, the text escaped."""
    return Markup("".join(_escaped(one) for one in content if one is not None))


def page(title: str, style: str, *body: Content) -> str:
    """A whole page in English with its title and its style sheet, which must be our own text."""
    head = (
        tag("meta", charset="utf-8"),
        Markup(_OURS.decode()),
        tag("meta", http_equiv="Content-Security-Policy", content=_POLICY),
        tag("meta", name="viewport", content="width=device-width, initial-scale=1"),
        tag("title", title),
        tag("style", Markup(style)),
    )
    whole = tag("html", tag("head", *head), "\n", tag("body", *body), lang="en")
    return f"<!DOCTYPE html>\n{whole}\n"


def save_page(target: Path, text: str) -> None:
    """Write the page; one that dosewren wrote before is replaced, any other file is left alone.

    Raises UsageProblem for a file that is not ours, and DataProblem where it cannot be written.
    """
    save_ours(target, text, _OURS)


def _attribute(key: str, value: Attribute) -> str:
    if value is None or value is False:
        return ""
    name = key.rstrip("_").replace("_", "-")
    return f" {name}" if value is True else f' {name}="{escape(str(value))}"'


def _escaped(one: str) -> str:
    return one if isinstance(one, Markup) else escape(one, quote=False)
