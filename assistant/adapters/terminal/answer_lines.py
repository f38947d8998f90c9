"""An answer as data: one JSON object a line, exactly as others build on it."""

from __future__ import annotations

import json

from assistant.conversation.turn import Turn
from assistant.dosing.quantities import decimal_text
from assistant.language.heard import Heard


def answer_object(heard: Heard, turn: Turn) -> dict[str, object]:
    """The answer: `grams` and `confidence` are numbers, the volumes decimal strings in mL."""
    facts, dose = turn.facts, turn.facts.dose
    return {
        "heard": heard.words,
        "status": turn.status.value,
        "intent": turn.intent.value if turn.intent else None,
        "species": facts.species,
        "grams": _number(facts.grams),
        "confidence": round(heard.confidence, 4),
        "medicine": facts.medicine,
        "dose_ml": decimal_text(dose.volume_ml) if dose else None,
        "dose_ml_exact": decimal_text(dose.exact_ml) if dose else None,
        "reply": turn.reply.said,
        "bird": facts.bird,
        "reason": turn.reason,
        "engine": heard.engine,
    }


def _number(grams: object) -> float | int | None:
    if grams is None:
        return None
    number = float(str(grams))
    return int(number) if number.is_integer() else number


def as_line(answer: dict[str, object]) -> str:
    """One line of JSON."""
    return json.dumps(answer, ensure_ascii=False)
