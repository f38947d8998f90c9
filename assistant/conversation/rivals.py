"""A draft of which several birds or weights may be meant: what to ask first, what an answer leaves.

One question asks about one thing.  It says the other one aloud where that is known, so that a sure
answer confirms both.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import replace

from assistant.conversation.state import Draft, Part, Reading
from assistant.language.requests import Named, Weight


def weight_settles_more(draft: Draft) -> bool:
    """Whether to ask for the weight first, where both bird and weight are in doubt.

    After the answer the likeliest reading that fits it is left: the question that more belief would
    be left after comes first.  Without readings the bird does, which is how keepers say it.
    """
    if len(draft.weights) < 2 or not draft.readings:  # noqa: PLR2004 - a choice takes two
        return False
    by_weight: dict[Hashable, float] = {}
    by_bird: dict[Hashable, float] = {}
    for one in draft.readings:
        _keep_best(by_weight, tuple(map(mass, one.weights)), one)
        _keep_best(by_bird, one.named, one)
    return sum(by_weight.values()) >= sum(by_bird.values())


def _keep_best(best: dict[Hashable, float], key: Hashable, reading: Reading) -> None:
    best[key] = max(best.get(key, 0.0), reading.share)


def mass(weight: Weight) -> Hashable:
    """What a weight is compared by: its grams, or itself where the unit is open."""
    return weight if weight.grams is None else weight.grams


def with_weights(draft: Draft, weights: tuple[Weight, ...], *, bird_said: bool) -> Draft:
    """The draft after a sure answer about its weight, to a question that said the bird or not."""
    fitting = {
        one
        for reading in draft.readings
        for one in reading.named
        if set(map(mass, reading.weights)) & set(map(mass, weights))
    }
    named = tuple(one for one in draft.named if one in fitting) or draft.named
    confirmed = {Part.WEIGHT, Part.BIRD} if bird_said and len(draft.named) == 1 else {Part.WEIGHT}
    return replace(draft, named=named, weights=weights, unsure=draft.unsure - confirmed)


def with_birds(draft: Draft, birds: tuple[Named, ...], *, weight_said: bool) -> Draft:
    """The draft after a sure answer about its bird, to a question that said the weight or not."""
    fitting = {
        mass(one)
        for reading in draft.readings
        for one in reading.weights
        if set(reading.named) & set(birds)
    }
    weights = tuple(one for one in draft.weights if mass(one) in fitting) or draft.weights
    confirmed = {Part.BIRD, Part.WEIGHT} if weight_said and len(draft.weights) == 1 else {Part.BIRD}
    return replace(draft, named=birds, weights=weights, unsure=draft.unsure - confirmed)
