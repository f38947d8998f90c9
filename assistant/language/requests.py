"""What a keeper can ask for, as values; one request is one reading of one utterance."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum

from assistant.dosing.condition import Condition
from assistant.dosing.species import Bird, Species

Named = Species | Bird


class Intent(StrEnum):
    """The closed list of what was meant; others build on these words."""

    DOSE = "dose"
    GIVEN = "given"
    PART_GIVEN = "part_given"
    NOT_GIVEN = "not_given"
    NOT_KNOWN = "not_known"
    SCRATCH = "scratch"
    REPEAT = "repeat"
    COUNT = "count"
    REMAINING = "remaining"
    NEEDLE = "needle"
    MEDICINE = "medicine"
    TARE = "tare"
    STOCK = "stock"
    DUE = "due"
    CAGE = "cage"
    HELP = "help"
    STOP = "stop"
    MANNER = "manner"
    LISTEN = "listen"
    GOODBYE = "goodbye"
    EMERGENCY = "emergency"
    YES = "yes"
    NO = "no"


class Bag(StrEnum):
    """Whether the bird was weighed in its bag."""

    UNSAID = "unsaid"
    WITH = "with"
    WITHOUT = "without"


class Unusual(StrEnum):
    """What is refused whoever asks for it; the word is the reason given."""

    HALF_DOSE = "half_dose"
    TOP_UP = "top_up"
    DROPS = "drops"
    STRENGTH = "strength"
    BY_MOUTH = "by_mouth"


@dataclass(frozen=True, slots=True)
class Weight:
    """A weight as said.

    `grams` is exact; None where a bare decimal left the unit open, and then `amount` holds it,
    the last number that was said.
    `guessed` is true for "about ninety", which is no weighing.  How it was worded makes no other
    weight of it.
    """

    said: str = field(compare=False)
    amount: Decimal
    grams: Decimal | None
    bag: Bag = Bag.UNSAID
    guessed: bool = False


@dataclass(frozen=True, slots=True)
class DoseWanted:
    """A dose for a bird, as far as it was said.

    `named` holds what the name may mean: none when no name was said, several when one name covers
    several.  More than one weight is a question; `corrected` says that an earlier one was taken
    back.  `another` means the species of the bird before, `next_one` that the weight is of the next
    bird and puts none right, `medicine` is a medicine named with the
    bird, `conditions` what was said of it besides, and `unusual` what was asked for that is never
    answered, such as half a dose.  `sex` is "male", "female" or None where it was not said; a
    `pair` is two birds of this name.
    """

    named: tuple[Named, ...] = ()
    spoken: str = ""
    weights: tuple[Weight, ...] = ()
    corrected: bool = False
    another: bool = False
    next_one: bool = False
    medicine: str = ""
    unusual: Unusual | None = None
    conditions: tuple[Condition, ...] = ()
    sex: str | None = None
    pair: bool = False


@dataclass(frozen=True, slots=True)
class WeightFixed:
    """A weight put right, as in "no, eighty five"; `instead` is the wrong one, if it was said."""

    weight: Weight
    instead: Weight | None = None


@dataclass(frozen=True, slots=True)
class UnitSaid:
    """A unit by itself ("g", "kg", "oz" or "lb"), in answer to a weight that was without one."""

    unit: str


@dataclass(frozen=True, slots=True)
class TareSaid:
    """What the bag weighs; None takes the tare off."""

    weight: Weight | None


@dataclass(frozen=True, slots=True)
class MedicineSaid:
    """A medicine named, to switch to it; an empty name leaves open which."""

    spoken: str = ""


@dataclass(frozen=True, slots=True)
class NeedleSaid:
    """Another needle of the kit, by its gauge or its name; an empty name leaves open which."""

    spoken: str = ""


@dataclass(frozen=True, slots=True)
class BatchSaid:
    """A batch by its number, to draw from; None is to go on without one."""

    number: int | None


@dataclass(frozen=True, slots=True)
class VolumeSaid:
    """A volume in mL; `of_pot` is whether it was said that the pot holds it."""

    ml: Decimal
    of_pot: bool = False


@dataclass(frozen=True, slots=True)
class CageSaid:
    """The cage at hand, and how many birds are in it where that was said."""

    name: str
    birds: int | None = None


class Sought(StrEnum):
    """What can be looked up; the word is the tag in the grammar."""

    LAST_DOSE = "last_dose"
    DONE_YET = "done_yet"
    DUE_OF = "due_of"
    CAGES_LEFT = "cages_left"
    CAGE_LEFT = "cage_left"
    TO_MAKE = "to_make"
    BATCH_MADE = "batch_made"
    ON_PAPER = "on_paper"
    EATEN = "eaten"


@dataclass(frozen=True, slots=True)
class Plain:
    """Any request that needs no more than its kind: the tag it has in the grammar."""

    kind: str

    @property
    def intent(self) -> Intent | None:
        """Which of the listed intents this kind belongs to."""
        return _INTENTS.get(self.kind)


@dataclass(frozen=True, slots=True)
class LookUp(Plain):
    """A question that changes nothing, its kind a `Sought`: of birds, a cage, or so many mL."""

    named: tuple[Named, ...] = ()
    cage: str = ""
    ml: Decimal | None = None


@dataclass(frozen=True, slots=True)
class VolumeGiven(Plain):
    """So many mL that a bird is said to have had, its kind "unclear": it is no end of the dose."""

    ml: Decimal = Decimal(0)


Request = (
    DoseWanted
    | WeightFixed
    | UnitSaid
    | TareSaid
    | MedicineSaid
    | NeedleSaid
    | BatchSaid
    | VolumeSaid
    | CageSaid
    | Plain
)

EMERGENCIES = frozenset({"coughing", "fluid", "too_much"})
"""The tags of what is answered with the emergency line, at any moment."""

_INTENTS = {
    **{intent.value: intent for intent in Intent},
    **dict.fromkeys(("hush", "tones", "slower", "faster", "louder", "softer"), Intent.MANNER),
    **dict.fromkeys(("short_answers", "full_answers"), Intent.MANNER),
    "wrong_bird": Intent.SCRATCH,
    "got_away": Intent.NOT_GIVEN,
    "needle_new": Intent.NEEDLE,
    "needle_rinsed": Intent.NEEDLE,
    "needle_full": Intent.NEEDLE,
    "needle_which": Intent.NEEDLE,
    "needle_fault": Intent.NEEDLE,
    "syringe_which": Intent.NEEDLE,
    "medicine_which": Intent.MEDICINE,
    "shaken": Intent.MEDICINE,
    "tare_which": Intent.TARE,
    "batch_which": Intent.STOCK,
    "left": Intent.STOCK,
    "spilled": Intent.STOCK,
    "next": Intent.DOSE,
    "unclear": Intent.DOSE,
    "correction": Intent.DOSE,
    **dict.fromkeys(EMERGENCIES, Intent.EMERGENCY),
    **dict.fromkeys((condition.value for condition in Condition), Intent.DOSE),
    "adult": Intent.DOSE,
    "died": Intent.EMERGENCY,
    "next_cage": Intent.CAGE,
    "cage_which": Intent.CAGE,
    "recaught": Intent.CAGE,
    "other_bird": Intent.SCRATCH,
    "crop_full": Intent.NOT_GIVEN,
    "crop_sour": Intent.NOT_GIVEN,
    **dict.fromkeys((unusual.value for unusual in Unusual), Intent.DOSE),
    Sought.LAST_DOSE: Intent.REPEAT,
    Sought.DONE_YET: Intent.COUNT,
    Sought.DUE_OF: Intent.DUE,
    Sought.CAGES_LEFT: Intent.REMAINING,
    Sought.CAGE_LEFT: Intent.REMAINING,
    Sought.TO_MAKE: Intent.STOCK,
    Sought.BATCH_MADE: Intent.STOCK,
    Sought.ON_PAPER: Intent.HELP,
    Sought.EATEN: Intent.MEDICINE,
}


def intent_of(request: Request) -> Intent | None:
    """The intent of a request; a weight put right is a dose."""
    match request:
        case DoseWanted() | WeightFixed() | UnitSaid():
            return Intent.DOSE
        case TareSaid():
            return Intent.TARE
        case MedicineSaid():
            return Intent.MEDICINE
        case NeedleSaid():
            return Intent.NEEDLE
        case CageSaid():
            return Intent.CAGE
        case BatchSaid() | VolumeSaid():
            return Intent.STOCK
        case Plain():
            return request.intent
