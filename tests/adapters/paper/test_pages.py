from __future__ import annotations

from html.parser import HTMLParser
from pathlib import Path

import pytest

from assistant.adapters.paper.pages import joined, page, save_page, tag
from assistant.errors import UsageProblem

NASTY = "<script>alert(\"x\")</script> & 'y'"


class Reader(HTMLParser):
    """What a reader of HTML finds: the elements with their attributes, and the text."""

    def __init__(self) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Keep the element."""
        self.elements.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        """Keep the text."""
        self.text += data


def read(text: str) -> Reader:
    reader = Reader()
    reader.feed(text)
    return reader


def test_text_and_attributes_come_back_as_they_were():
    found = read(tag("p", NASTY, title=NASTY))
    assert found.elements == [("p", {"title": NASTY})]
    assert found.text == NASTY


def test_elements_stand_in_elements():
    assert tag("p", "a ", tag("b", "b"), None) == "<p>a <b>b</b></p>"
    assert joined("<", tag("br")) == "&lt;<br>"


def test_attributes_are_named_as_html_names_them():
    made = tag("line", class_="mark", stroke_width=2, x1=0.5, hidden=True, id=None, inert=False)
    assert made == '<line class="mark" stroke-width="2" x1="0.5" hidden></line>'


def test_a_page_asks_nothing_of_the_network():
    found = read(page(NASTY, "p { color: black }", tag("p", "text")))
    policies = [attributes.get("content") for name, attributes in found.elements if name == "meta"]
    assert any(policy and policy.startswith("default-src 'none'") for policy in policies)
    assert ("title", {}) in found.elements
    assert NASTY in found.text


def test_a_page_of_ours_is_replaced(tmp_path: Path):
    target = tmp_path / "sheet.html"
    save_page(target, page("one", "", "first"))
    save_page(target, page("two", "", "second"))
    assert "second" in target.read_text("utf-8")
    assert sorted(tmp_path.iterdir()) == [target]


def test_a_file_of_somebody_else_is_left_as_it_is(tmp_path: Path):
    target = tmp_path / "letter.html"
    target.write_text("mine", "utf-8")
    with pytest.raises(UsageProblem, match=r"letter\.html is there already"):
        save_page(target, page("one", "", "first"))
    assert target.read_text("utf-8") == "mine"
