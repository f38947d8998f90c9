"""Matching words against a grammar: every way in which the whole utterance fits, as marks."""

from __future__ import annotations

from assistant.language.parts import ANY_FIGURE, NOWHERE, STRANGE, Ends, Part, Preparation, Ways
from assistant.language.tree import FIGURE, Grammar, plain


class Matcher:
    """A grammar made ready for matching."""

    def __init__(self, grammar: Grammar) -> None:
        preparation = Preparation(grammar)
        self.root = preparation.root()
        self._vocabulary = preparation.vocabulary

    def chart(self, words: tuple[str, ...]) -> Chart:
        """An utterance that is to be matched, as a whole or stretch by stretch."""
        return Chart(self.root, (*map(self._compared, words), STRANGE))

    def readings(self, words: tuple[str, ...]) -> Ways:
        """The marks of every distinct reading of the whole utterance.

        The mark `typed` is left out: it says who may say the words, not what they mean.
        """
        return self.chart(words).readings(0, len(words))

    def _compared(self, word: str) -> str:
        """The word as the parts have it."""
        word = plain(word)
        if word in self._vocabulary:
            return word
        return ANY_FIGURE if FIGURE.fullmatch(word) else STRANGE


class Chart:
    """One utterance against one grammar.

    Where a part can end from a place is worked out once, so the cost grows with the length of the
    utterance times the size of the grammar, whatever the words are, and all stretches share it.
    (A table of results makes a recursive parser polynomial: Norvig, Computational Linguistics
    17(1), 1991.)
    """

    def __init__(self, root: Part, words: tuple[str, ...]) -> None:
        self.words = words
        self._root = root
        self._known: list[dict[Part, Ends]] = [{} for _ in words]

    def readings(self, start: int, end: int) -> Ways:
        """The marks of every distinct reading of this stretch; their places are the utterance's."""
        if STRANGE in self.words[start:end]:
            return frozenset()
        return self.ends(self._root, start).get(end, frozenset())

    def ends(self, part: Part, at: int) -> Ends:
        """Where `part` can end when it begins at this word."""
        known = self._known[at].get(part)
        if known is None:
            fits = part.empty or self.words[at] in part.begins
            known = self._known[at][part] = part.ends(self, at) if fits else NOWHERE
        return known
