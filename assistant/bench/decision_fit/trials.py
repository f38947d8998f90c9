"""What is heard to fit the decision: requests and talk in voices that no network was fitted on."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

from assistant.bench.acoustic.desk import BenchDesk
from assistant.bench.acoustic.parts import Declared, Size, declared
from assistant.bench.acoustic.plan import Plan, plan_of
from assistant.bench.acoustic.records import Kind, Part, Voice
from assistant.bench.acoustic.voices import ENGINES, is_here
from assistant.bench.phones_fit.recipe import recipe
from assistant.errors import EngineUnavailable

KINDS = (Kind.DOSE, Kind.CONTROL, Kind.CHATTER, Kind.BIRD_TALK)

OTHER_WAYS = (
    "en-gb+Alicia", "en-us+Andrea", "en-gb-scotland+grandpa", "en-029+caleb", "en-us+boris",
    "en-gb+pablo", "en-us+iven2", "en-gb+miguel", "en-029+gustave", "en-us+max", "en-gb+antonio",
)  # fmt: skip
"""Variants of espeak-ng that neither a fitting nor the bench has heard."""

_THROATS = ((1.0, 1.0), (0.92, 1.1), (1.1, 0.92))
"""Tempo and warp: each speaker as three."""


def decision_plan(desk: BenchDesk, times: int) -> Plan:
    """The trials: about 260 for each of `times`; raises EngineUnavailable for a missing voice."""
    return plan_of(desk, _held_out(), _size(times), KINDS)


def _held_out() -> Declared:
    """The development part, said by voices that no network was fitted on."""
    names = [(one.engine, name) for one in recipe().held_out for name in one.names]
    names += [("espeak", name) for name in OTHER_WAYS]
    for engine, name in names:
        if not is_here(Voice(engine, name)):
            raise EngineUnavailable(
                f"The voice {engine} {name} is not on this machine.", ENGINES[engine].remedy
            )
    voices = tuple(Voice(*name, *throat) for throat, name in product(_THROATS, names))
    return replace(declared(Part.DEVELOPMENT), voices=voices)


def _size(times: int) -> Size:
    return Size(
        name="decision",
        doses_clean=50 * times,
        noisy=dict.fromkeys((20.0, 10.0, 5.0, 0.0), 3 * times),
        doses_fault=5 * times,
        doses_room=10 * times,
        otherwise=0,
        control=30 * times,
        weight_only=0,
        cut_off=0,
        chatter=50 * times,
        bird_talk=20 * times,
        noise_seconds=0,
    )
