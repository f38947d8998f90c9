"""The three regressions of `assistant.hearing.decision`, fitted, and tried on other speakers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from assistant.bench.decision_fit.hearing import Case
from assistant.bench.decision_fit.regression import Floats, fitted, probabilities
from assistant.hearing.decision import (
    FARTHEST,
    FOREIGN_STRAIN,
    SURE_ALONE,
    SURE_TOGETHER,
    Opinions,
)

SNR_UNIT_DB = 10.0


class Stage(StrEnum):
    """Who has been asked."""

    ALONE = "alone"
    WITH_WRITING = "with writing"
    WITH_BOTH = "with both"


class Extra(StrEnum):
    """A term that may be added to those of the decision."""

    PRIOR = "weight prior"
    SNR = "signal-to-noise"


@dataclass(frozen=True, slots=True)
class Model:
    """What is fitted: a stage, with or without further terms."""

    stage: Stage
    extras: tuple[Extra, ...] = ()

    @property
    def terms(self) -> tuple[str, ...]:
        """The names of the coefficients, as `decision.Weights` has them where it has them."""
        agreement = {Stage.ALONE: (), Stage.WITH_WRITING: ("writing",)}
        further = agreement.get(self.stage, ("writing", "other"))
        return ("constant", "margin", "strain", *further, *self.extras)

    def rows(self, cases: Sequence[Case]) -> Floats:
        """The terms of each case."""
        return np.array([[_term(case, name) for name in self.terms] for case in cases], float)


def _term(case: Case, name: str) -> float:
    match name:
        case "constant":
            return 1.0
        case "margin":
            return min(case.phones.margin, FARTHEST)
        case "strain":
            return case.phones.strain
        case "writing":
            return case.lead
        case "other":
            return float(case.other)
        case Extra.PRIOR:
            return case.usual
        case _:
            return case.snr_db / SNR_UNIT_DB


def is_weighed(case: Case) -> bool:
    """Whether the probability decides about this case, and not a rule before it."""
    heard = bool(case.phones.words) and case.phones.strain <= FOREIGN_STRAIN
    return heard and not case.cut_off


def right(cases: Sequence[Case]) -> NDArray[np.bool_]:
    """Of each case whether the reading is what was said."""
    return np.array([case.phones.right for case in cases], bool)


def halves(cases: Sequence[Case]) -> tuple[frozenset[str], frozenset[str]]:
    """The speakers in two halves, each second one by its name."""
    speakers = sorted({case.speaker for case in cases})
    return frozenset(speakers[::2]), frozenset(speakers[1::2])


def on_others(model: Model, cases: Sequence[Case]) -> Floats:
    """Each case's probability by a regression that was fitted on the other half's speakers."""
    sure = np.zeros(len(cases))
    for own, other in (halves(cases), halves(cases)[::-1]):
        weights = fitted_on(model, [case for case in cases if case.speaker in other])
        at = [place for place, case in enumerate(cases) if case.speaker in own]
        sure[at] = probabilities(model.rows([cases[place] for place in at]), weights)
    return sure


def fitted_on(model: Model, cases: Sequence[Case]) -> Floats:
    """The coefficients of a model on these cases."""
    return fitted(model.rows(cases), right(cases))


@dataclass(frozen=True, slots=True)
class Bars:
    """From which probability one ear answers, and ears that agree."""

    alone: float = SURE_ALONE
    together: float = SURE_TOGETHER


def answered(case: Case, sure: dict[Stage, float], bars: Bars) -> bool:
    """Whether the cascade of the ears answers this case."""
    if sure[Stage.ALONE] >= bars.alone:
        return True
    asked = (
        (Stage.WITH_WRITING, Opinions(case.lead)),
        (Stage.WITH_BOTH, Opinions(case.lead, other=case.other)),
    )
    return any(said.agree and sure[stage] >= bars.together for stage, said in asked)
