"""Reading and writing JSGF, the W3C's note of a plain-text grammar for speech.

Source: W3C Note 05 June 2000, JSpeech Grammar Format.  Read here: named rules, sequences,
alternatives with optional weights (which are ignored), groups, optional groups, `*`, `+`, tags,
quoted words, `<NULL>`, `<VOID>`, both kinds of comment, and imports.  An import names a slot that
the caller fills.  Rules may not refer to themselves: every grammar here is finite in depth.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from assistant.language.tree import (
    EMPTY,
    NEVER,
    Choice,
    Figure,
    Grammar,
    Node,
    Repeat,
    Rule,
    Sequence,
    Tagged,
    Word,
)

_SPACE = re.compile(r"(?:\s+|//[^\n]*|/\*.*?\*/)+", re.DOTALL)
_TOKEN = re.compile(
    r"""(?P<rule><[\w.]+>)|(?P<tag>\{(?:\\.|[^}\\])*\})|(?P<weight>/[\d.eE+-]+/)
    |(?P<quoted>"(?:\\.|[^"\\])*")|(?P<sign>[()\[\]|*+=;])|(?P<word>[\w'’.-]+)""",
    re.VERBOSE,
)
_HEADER = re.compile(r"#JSGF V1\.0[^;]*;")

_SPECIAL: Mapping[str, Node] = {"<NULL>": EMPTY, "<VOID>": NEVER}


class GrammarProblem(ValueError):
    """A grammar text that cannot be read; the message names the line."""


@dataclass(frozen=True, slots=True)
class _Token:
    kind: str
    text: str
    line: int


def _tokens(text: str) -> Iterator[_Token]:
    header = _HEADER.match(text)
    if header is None:
        raise GrammarProblem("line 1: a grammar starts with '#JSGF V1.0;'")
    at = header.end()
    line = 1 + header.group().count("\n")
    while at < len(text):
        if space := _SPACE.match(text, at):
            line += space.group().count("\n")
            at = space.end()
            continue
        found = _TOKEN.match(text, at)
        if found is None or found.lastgroup is None:
            raise GrammarProblem(f"line {line}: cannot read {text[at : at + 12]!r}")
        yield _Token(found.lastgroup, found.group(), line)
        line += found.group().count("\n")
        at = found.end()


class _Reader:
    """A recursive-descent reader; one method for each level of the notation."""

    def __init__(self, text: str) -> None:
        self._tokens = list(_tokens(text))
        self._at = 0
        self.imports: list[str] = []
        self.rules: dict[str, Node] = {}
        self.public: list[str] = []

    def read(self) -> None:
        self._expect_word("grammar")
        self._take("word")
        self._expect_sign(";")
        while self._at < len(self._tokens):
            self._statement()

    def _statement(self) -> None:
        if self._peek_is("word", "import"):
            self._at += 1
            self.imports.append(self._take("rule").text[1:-1])
            self._expect_sign(";")
            return
        public = self._peek_is("word", "public")
        self._at += public
        token = self._take("rule")
        name = token.text[1:-1]
        if name in self.rules:
            raise GrammarProblem(f"line {token.line}: <{name}> is defined twice")
        self._expect_sign("=")
        self.rules[name] = self._choice()
        self._expect_sign(";")
        if public:
            self.public.append(name)

    def _choice(self) -> Node:
        items = [self._sequence()]
        while self._peek_is("sign", "|"):
            self._at += 1
            items.append(self._sequence())
        return items[0] if len(items) == 1 else Choice(tuple(items))

    def _sequence(self) -> Node:
        items: list[Node] = []
        while (token := self._peek()) and token.kind in (
            "rule",
            "word",
            "quoted",
            "weight",
            "sign",
        ):
            if token.kind == "weight":
                self._at += 1
                continue
            if token.kind == "sign" and token.text not in "([":
                break
            items.append(self._item())
        if not items:
            raise GrammarProblem(f"line {self._line()}: an alternative is empty; write <NULL>")
        return items[0] if len(items) == 1 else Sequence(tuple(items))

    def _item(self) -> Node:
        node = self._atom()
        while (token := self._peek()) and (token.kind == "tag" or token.text in ("*", "+")):
            self._at += 1
            if token.kind == "tag":
                node = Tagged(node, token.text[1:-1].strip())
            else:
                node = Repeat(node, 0 if token.text == "*" else 1, None)
        return node

    def _atom(self) -> Node:
        token = self._tokens[self._at]
        self._at += 1
        if token.kind == "word":
            return Word(token.text.lower().replace("’", "'"))
        if token.kind == "quoted":
            return Word(token.text[1:-1].lower())
        if token.kind == "rule":
            return _SPECIAL.get(token.text, Rule(token.text[1:-1]))
        inner = self._choice()
        self._expect_sign(")" if token.text == "(" else "]")
        return inner if token.text == "(" else Repeat(inner, 0, 1)

    def _peek(self) -> _Token | None:
        return self._tokens[self._at] if self._at < len(self._tokens) else None

    def _peek_is(self, kind: str, text: str) -> bool:
        token = self._peek()
        return token is not None and token.kind == kind and token.text == text

    def _line(self) -> int:
        token = self._peek() or (self._tokens[-1] if self._tokens else None)
        return token.line if token else 1

    def _take(self, kind: str) -> _Token:
        token = self._peek()
        if token is None or token.kind != kind:
            found = token.text if token else "the end"
            raise GrammarProblem(f"line {self._line()}: expected a {kind}, found {found!r}")
        self._at += 1
        return token

    def _expect_sign(self, sign: str) -> None:
        if not self._peek_is("sign", sign):
            found = self._peek()
            shown = found.text if found else "the end"
            raise GrammarProblem(f"line {self._line()}: expected {sign!r}, found {shown!r}")
        self._at += 1

    def _expect_word(self, word: str) -> None:
        token = self._take("word")
        if token.text != word:
            raise GrammarProblem(f"line {token.line}: expected {word!r}, found {token.text!r}")


def read_grammar(text: str, slots: Mapping[str, Node]) -> Grammar:
    """The grammar in `text`, each import filled from `slots`; its one public rule is the root.

    Raises GrammarProblem with the line, or with the name of the rule that is missing or loops.
    """
    reader = _Reader(text)
    reader.read()
    if len(reader.public) != 1:
        raise GrammarProblem(f"one rule must be public, found {len(reader.public)}")
    rules = dict(reader.rules)
    for name in reader.imports:
        if name not in slots:
            raise GrammarProblem(f"nothing fills the import <{name}>")
        rules[name] = slots[name]
    grammar = Grammar(reader.public[0], rules)
    _refuse_loops(grammar)
    return grammar


def leaves(node: Node) -> Iterator[Word | Rule]:
    """The words of a node and the rules that it refers to, in their order."""
    match node:
        case Word() | Rule():
            yield node
        case Sequence(items) | Choice(items):
            for item in items:
                yield from leaves(item)
        case Repeat(item=item) | Tagged(item=item):
            yield from leaves(item)


def references(node: Node) -> Iterator[str]:
    """The names of the rules that a node refers to."""
    return (leaf.name for leaf in leaves(node) if isinstance(leaf, Rule))


def _refuse_loops(grammar: Grammar) -> None:
    done: set[str] = set()

    def visit(name: str, trail: tuple[str, ...]) -> None:
        if name in trail:
            raise GrammarProblem(f"<{name}> refers to itself by way of {' → '.join(trail)}")
        if name in done:
            return
        if name not in grammar.rules:
            raise GrammarProblem(f"no rule is called <{name}>, which <{trail[-1]}> refers to")
        for other in references(grammar.rules[name]):
            visit(other, (*trail, name))
        done.add(name)

    visit(grammar.root, ())


def write_grammar(grammar: Grammar, name: str) -> str:
    """The grammar as JSGF text, without its tags: what a speech engine is given."""
    lines = ["#JSGF V1.0;", f"grammar {name};", ""]
    for rule, node in grammar.rules.items():
        public = "public " if rule == grammar.root else ""
        lines.append(f"{public}<{_flat(rule)}> = {_written(node)};")
    return "\n".join(lines) + "\n"


def _flat(rule: str) -> str:
    return rule.replace(".", "_")


def _written(node: Node) -> str:
    match node:
        case Word(text):
            return text
        case Rule(name):
            return f"<{_flat(name)}>"
        case Tagged(item=item):
            return _written(item)
        case Repeat(item, 0, 1):
            return f"[ {_written(item)} ]"
        case Repeat(item, least, _):
            return f"( {_written(item)} ){'+' if least else '*'}"
        case Sequence(()):
            return "<NULL>"
        case Sequence(items):
            return " ".join(_written(item) for item in items)
        case Choice(()) | Figure():
            return "<VOID>"
        case Choice(items):
            return f"( {' | '.join(_written(item) for item in items)} )"
