"""The embedded ear: phones heard by a network on the speech model's encoder, held to the grammar.

The sound goes through the encoder.  A small network reads phones from it (phone_head.py), and a
search finds the requests of the grammar whose phones fit best (phone_search.py).  What leaves a
doubt is heard again at a lower and a higher pitch (hearing/pitches.py).  Nothing is decoded before
the utterance is over; then the work is bounded by its length and by the limits of the search.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import lru_cache

import numpy as np

from assistant.adapters.ears.moonshine_model import Floats, SpeechModel, engine_trouble
from assistant.adapters.ears.neural_sound import PADDING_S, levelled, moved
from assistant.adapters.ears.phone_head import PhoneHead
from assistant.adapters.ears.phone_search import BLANK, PhoneSearch
from assistant.adapters.ears.signal_meter import clipped, faded_db
from assistant.adapters.ears.utterance_ears import UtteranceEars
from assistant.adapters.ears.word_graph import GraphOf, word_graph
from assistant.audio import BYTES_PER_SAMPLE, EAR_RATE_HZ
from assistant.hearing.awaited import together, weighed
from assistant.hearing.decision import Verdict, decide
from assistant.hearing.evidence import NOTHING, Evidence
from assistant.hearing.gathering import gathered
from assistant.hearing.pitches import averaged
from assistant.language.expected import Expected
from assistant.language.lexicon import Lexicon
from assistant.language.meaning import meaning_in
from assistant.language.narrowing import fit_of, narrowed
from assistant.language.shaping import for_fine_ears

LEAST_QUIET_S = 0.13
"""The least time before the first phone and after the last one of a whole utterance."""

FADED_DB = 30.0
"""How far below the speech a sound has faded where it was not cut off.

By both lines together 91 of 100 utterances of the development part that were cut in the sound are
found, and none of 500 whole ones, nor of 115 trimmed to their first and last sound."""

_MOST_NARROWER = 16

PITCHES = (0.9, 1.1)
"""The pitches, beside its own, at which a sound is heard that leaves a doubt."""

MOST_CLIPPED = 0.5
"""The share of samples on flat tops from which a sound is no speech: a fault of the microphone, at
full scale, was once heard as a number."""


class PhoneEars(UtteranceEars):
    """The model and the network bound to a lexicon; `pronunciations` are the words' phones.

    `graph_of` makes the graph of the whole grammar, or knows where one is kept.
    """

    def __init__(
        self,
        model: SpeechModel,
        head: PhoneHead,
        lexicon: Lexicon,
        pronunciations: Mapping[str, Sequence[str]],
        graph_of: GraphOf = word_graph,
    ) -> None:
        super().__init__()
        self._model = model
        self._head = head
        self._lexicon = lexicon
        self._meaning = meaning_in(lexicon)
        self._spellings = {
            word: [[head.columns[phone] for phone in one.split()] for one in spoken]
            for word, spoken in pronunciations.items()
        }
        whole = graph_of(for_fine_ears(lexicon.grammar))
        self._search = PhoneSearch(whole, self._spellings)
        self._narrowed = lru_cache(_MOST_NARROWER)(self._narrowed_to)

    @property
    def name(self) -> str:
        """The engine."""
        return "phones on moonshine"

    @property
    def model(self) -> str:
        """The model and where it is."""
        return f"Moonshine tiny English with our network for phones, {self._model.folder}"

    def deaf_to(self) -> Sequence[str]:
        """The words of the grammar without a pronunciation."""
        words = {word for steps in self._search.graph.steps for word in steps}
        return tuple(sorted(words - self._spellings.keys()))

    def _listen(self, pcm: bytes) -> Evidence:
        samples = levelled(pcm)
        if samples is None or clipped(pcm) > MOST_CLIPPED:
            return NOTHING
        seconds = len(pcm) / BYTES_PER_SAMPLE / EAR_RATE_HZ
        with engine_trouble():
            table = self._table(samples)
            first = self._read(table, seconds)
            first = replace(first, cut_off=_is_cut_off(table, pcm, seconds))
            heard = self._weighed(first)
            # nothing else changes what is clear, cut off, or other talk
            if first.cut_off or decide(heard) is not Verdict.ASK:
                return heard
            others = [self._read(self._table(moved(samples, by)), seconds) for by in PITCHES]
        return self._weighed(averaged([first, *others], self._meaning))

    def _table(self, samples: Floats) -> Floats:
        return self._head.table(self._model.encode(samples).states[0])

    def _read(self, table: Floats, seconds: float) -> Evidence:
        """What a table says under the whole grammar, and under that of what is expected."""
        whole = self._found(self._search, table, seconds)
        if not self._expected.sayings:
            return whole
        # which weights are likely makes no other grammar
        narrow = self._found(self._narrowed(self._expected.worded), table, seconds)
        return together(narrow, whole, self._meaning)

    def _weighed(self, evidence: Evidence) -> Evidence:
        if not self._expected.sayings:
            return evidence
        return weighed(evidence, lambda words: fit_of(words, self._expected, self._lexicon))

    def _found(self, search: PhoneSearch, table: Floats, seconds: float) -> Evidence:
        texts = [(" ".join(one.words), one.score) for one in search.search(table)]
        free = float(table.max(axis=1).sum())
        return Evidence(gathered(texts, self._meaning), seconds, None, free)

    def _narrowed_to(self, worded: Expected) -> PhoneSearch:
        graph = word_graph(for_fine_ears(narrowed(self._lexicon, worded)))
        return PhoneSearch(graph, self._spellings)


def _is_cut_off(table: Floats, pcm: bytes, seconds: float) -> bool:
    """Whether a phone stands at an end of the sound, and the sound has not faded there."""
    spoken = np.flatnonzero(table.argmax(axis=1) != BLANK)
    if not spoken.size:
        return False
    frames_per_second = len(table) / (seconds + 2 * PADDING_S)
    before = spoken[0] / frames_per_second - PADDING_S
    after = seconds + PADDING_S - (spoken[-1] + 1) / frames_per_second
    first, last = faded_db(pcm)
    begins = before < LEAST_QUIET_S and first < FADED_DB
    return bool(begins or (after < LEAST_QUIET_S and last < FADED_DB))
