"""How a scene begins: the demo home with some birds, and what else the scene names."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from functools import cache, partial
from typing import Any

from assistant.adapters.home.grammar_file import grammar_text
from assistant.conversation.pot import stocked
from assistant.conversation.state import Caged, Dosed, Setting, State, asking_first
from assistant.dosing.dilution import Dilution
from assistant.dosing.label import Banding, Caution
from assistant.dosing.medicine import Medicine
from assistant.dosing.reminders import USUAL, Often, Reminder
from assistant.dosing.species import Aviary, read_birds
from assistant.dosing.talking import TalkSettings
from assistant.language.lexicon import Lexicon, build
from assistant.stock.books import Book
from assistant.stock.moves import MoveKind
from tests.dosing_scene import confirmed
from tests.stock_scene import POT, made_up, moved
from tests.talk_scene import MORNING, Talk, demo_holding

BIRDS = {
    "bird": [
        {"name": "Pepper", "ring": "DEMO 12", "species": "Cockatiel", "sex": "male"},
        {"name": "Nutmeg", "species": "Cockatiel", "cage": 4},
        {"name": "Saffron", "species": "Budgerigar", "cage": "north flight"},
    ]
}
"""Invented."""


@dataclass(slots=True)
class Scene:
    """A conversation, and how much of what comes of it a scene shows."""

    talk: Talk
    on_screen: bool = False
    whole_rows: bool = False


@cache
def aviary() -> Aviary:
    """The demo's species with the birds of the scenes."""
    return read_birds(BIRDS, demo_holding().aviary.species_list, "birds.toml")


@cache
def lexicon(*medicines: Medicine) -> Lexicon:
    """The real grammar with these medicines."""
    holding = demo_holding()
    text = grammar_text("dosewren.jsgf")
    return build(text, aviary(), medicines, "marlow", needles=holding.kit.needles)


QUIET = dict.fromkeys(Reminder, Often.NEVER)


def at_the_start(names: str) -> Scene:
    """The scene as it begins; the names are joined by commas."""
    holding, wanted = demo_holding(), names.split(", ")
    medicines = tuple(map(_medicine(wanted), holding.medicines))
    if "nothing set up" in wanted:
        medicines = ()
    kit = replace(holding.kit, reminders=QUIET)
    for name in wanted:
        kit = replace(kit, **_KITS.get(name, {}))
    usual = None
    if medicines and "no medicine" not in wanted:
        usual = medicines["thistle" in wanted]
    one_shot = "one phrase" in wanted
    setting = Setting(lexicon(*medicines), kit, medicines, usual, "r1", one_shot=one_shot)
    talk = Talk(setting)
    for name in wanted:
        talk.state = _STATES.get(name, _as_it_is)(talk.state)
    if "begun" in wanted:
        talk.say("yes")
    return Scene(talk, "on screen" in wanted, "whole rows" in wanted)


def _medicine(wanted: list[str]) -> Callable[[Medicine], Medicine]:
    def changed(one: Medicine) -> Medicine:
        for name in wanted:
            one = _MEDICINES.get(name, _as_it_is)(one)
        return one

    return changed


def _as_it_is(one: Any) -> Any:  # noqa: ANN401 - a state or a medicine
    return one


def _cautioned(one: Medicine, applies_to: str, text: str) -> Medicine:
    caution = Caution(applies_to, text, refuses=False)
    return confirmed(replace(one, cautions=(*one.cautions, caution)))


def _allowed(one: Medicine) -> Medicine:
    both = ("Marigold Demo", "Thistle Demo")
    permits = replace(one.permits, young=True, same_day_as=both)
    return confirmed(replace(one, permits=permits))


_MEDICINES: Mapping[str, Callable[[Medicine], Medicine]] = {
    "not confirmed": lambda one: replace(one, confirmation=None),
    "all allowed": _allowed,
    "real": lambda one: confirmed(replace(one, fictional=False)),
    "in bands": lambda one: confirmed(replace(one, banding=Banding(Decimal(50)))),
    "a large dose": lambda one: confirmed(
        replace(one, label=replace(one.label, neat_ml_per_kg=Fraction(1)))
    ),
    "cockatiels": partial(_cautioned, applies_to="cockatiel", text="It may make them sleepy."),
    "moulting": partial(_cautioned, applies_to="moulting birds", text="It harms new feathers."),
    "parrots": partial(_cautioned, applies_to="parrot", text="Parrots may bring it up."),
    "undiluted": lambda one: confirmed(replace(one, dilution=Dilution(Decimal(1), Decimal(0)))),
    "a narrow margin": lambda one: confirmed(replace(one, safety_multiple=Decimal("1.05"))),
    "no safety multiple": lambda one: confirmed(replace(one, safety_multiple=None)),
    "a most": lambda one: confirmed(replace(one, label=replace(one.label, is_maximum=True))),
}
"""The medicines of the demo, invented as these, with some facts changed."""

_KITS: Mapping[str, Mapping[str, Any]] = {
    "reminders": {"reminders": USUAL},
    "attention": {"attention": "marlow"},
    "in bands": {"banding": True},
    "short": {"talk": TalkSettings(short=True)},
    "every three": {"remind_every": 3},
    "one needle": {"needles": demo_holding().kit.needles[:1]},
}

YESTERDAY = MORNING - timedelta(days=1)


def _dosed(state: State, bird: str, medicine: str, at: datetime, grams: int = 95) -> State:
    had = Dosed(at, Decimal("0.47"), Decimal(grams))
    return replace(state, dosed={**state.dosed, (bird, medicine): had})


def _stocked(state: State, *books: Book) -> State:
    return stocked(state, books, MORNING)


def _left_open(state: State) -> State:
    talk = Talk(Setting(lexicon(*demo_holding().medicines), demo_holding().kit,
                        demo_holding().medicines, state.medicine, "r0"))  # fmt: skip
    talk.say("yes", "pepper 95")
    assert talk.state.pending
    return asking_first(replace(state, left_open=(talk.state.pending,)))


_SECOND_POT = replace(
    POT, number=2, batch_id="2026-03-01-2", product_ml=Decimal(2), water_ml=Decimal(18)
)
_OLD_POT = replace(POT, discard_by=YESTERDAY)

_STATES: Mapping[str, Callable[[State], State]] = {
    "Pepper dosed yesterday": partial(
        _dosed, bird="Pepper", medicine="Marigold Demo", at=YESTERDAY
    ),
    "Pepper dosed ten days ago": partial(
        _dosed, bird="Pepper", medicine="Marigold Demo", at=MORNING - timedelta(days=10)
    ),
    "Pepper dosed long ago": partial(
        _dosed, bird="Pepper", medicine="Marigold Demo", at=MORNING - timedelta(days=20)
    ),
    "Pepper light before that": partial(
        _dosed, bird="Pepper", medicine="Thistle Demo", at=MORNING - timedelta(days=60), grams=70
    ),
    "Nutmeg had thistle": partial(_dosed, bird="Nutmeg", medicine="Thistle Demo", at=MORNING),
    "a pot": lambda state: _stocked(state, made_up()),
    "two pots": lambda state: _stocked(
        state, made_up(), Book(_SECOND_POT, {MoveKind.MADE: Decimal(20)})
    ),
    "two old pots": lambda state: _stocked(
        state,
        Book(_OLD_POT, {MoveKind.MADE: Decimal(50)}),
        Book(replace(_OLD_POT, number=2, batch_id="b2"), {MoveKind.MADE: Decimal("0.5")}),
    ),
    "two pots of one number": lambda state: _stocked(
        state, made_up(), Book(replace(_SECOND_POT, number=1), {MoveKind.MADE: Decimal(20)})
    ),
    "an old empty pot": lambda state: _stocked(state, Book(_OLD_POT, {})),
    "an old pot": lambda state: _stocked(state, Book(_OLD_POT, {MoveKind.MADE: Decimal(50)})),
    "a low pot": lambda state: _stocked(state, made_up(moved(MoveKind.GIVEN, "-47"))),
    "a dose left open": _left_open,
    "nothing due": lambda state: replace(state, windows=()),
    "cage 4 done yesterday": lambda state: replace(
        state, caged={("4", "Marigold Demo"): Caged(YESTERDAY, 3)}
    ),
    "cage 4 done today": lambda state: replace(
        state, caged={("4", "Marigold Demo"): Caged(MORNING, 3)}
    ),
}
