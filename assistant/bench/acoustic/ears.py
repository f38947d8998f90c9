"""Ears by name: those of the project, or anything with the Ears port as module:function."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from importlib import import_module

import numpy as np

from assistant.adapters.grammar_file import grammar_text
from assistant.errors import UsageProblem
from assistant.language.engine_grammar import EngineGrammar
from assistant.language.lexicon import Lexicon
from assistant.ports import Ears

Settings = Mapping[str, str]
Opener = Callable[[Lexicon, Settings], Ears]

_SAMPLER_SEED = 1


def _pocketsphinx(lexicon: Lexicon, settings: Settings) -> Ears:
    from assistant.adapters.pocketsphinx_ears import open_pocketsphinx  # noqa: PLC0415 - an ear is loaded when it is wanted
    from assistant.adapters.pronunciations import parse_pronunciations  # noqa: PLC0415 - the same

    _no_settings("pocketsphinx", settings)
    name = "pronunciations.dict"
    spoken = parse_pronunciations(grammar_text(name), name)
    return open_pocketsphinx(partial(_compiled, lexicon), spoken)


def _compiled(lexicon: Lexicon, unheard: frozenset[str]) -> EngineGrammar:
    chance = np.random.default_rng(_SAMPLER_SEED)
    return lexicon.engine_grammar(unheard, lambda below: int(chance.integers(below)))


def _no_settings(name: str, settings: Settings) -> None:
    if settings:
        raise UsageProblem(
            f"{name} takes no setting {next(iter(settings))}.",
            "Leave out --set, or name another ear.",
        )


NAMED: Mapping[str, Opener] = {"pocketsphinx": _pocketsphinx}
"""The ears that need no path; each is opened with the lexicon and the settings of the run."""


def opener(name: str) -> Opener:
    """What opens the ears of this name; raises UsageProblem."""
    if name in NAMED:
        return NAMED[name]
    module, _, function = name.partition(":")
    if not function:
        raise UsageProblem(
            f"There are no ears called {name}.",
            f"Choose one of {', '.join(NAMED)}, or write module:function.",
        )
    try:
        found: Opener = getattr(import_module(module), function)
    except (ImportError, AttributeError) as error:
        raise UsageProblem(f"{name} cannot be opened: {error}.", "Check the name.") from error
    return found


def read_settings(pairs: tuple[str, ...]) -> dict[str, str]:
    """Settings as written on the command line, NAME=VALUE; raises UsageProblem."""
    wrong = [pair for pair in pairs if "=" not in pair]
    if wrong:
        raise UsageProblem(f"{wrong[0]} is no setting.", "Write it as NAME=VALUE.")
    return {name: value for name, _, value in (pair.partition("=") for pair in pairs)}
