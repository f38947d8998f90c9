"""What the conversation knows: the round, the bird it is about, and the open question.

All of it is immutable; a step makes a new state.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from decimal import Decimal
from enum import StrEnum

from assistant.conversation.entries import DoseEnd, DoseEntry
from assistant.conversation.sitting import Sitting
from assistant.conversation.turn import CutShort, Manner, Reply
from assistant.dosing.condition import Condition
from assistant.dosing.kit import Kit
from assistant.dosing.medicine import Medicine
from assistant.dosing.needle import Needle, NeedleState
from assistant.dosing.syringe import Syringe
from assistant.language.lexicon import Lexicon
from assistant.language.requests import DoseWanted, Named, Request, Weight
from assistant.records.due import Repeat
from assistant.stock.books import Book
from assistant.stock.moves import MoveKind


class Ask(StrEnum):
    """What a question is about; the word is also the reason given with the answer."""

    ROUND = "round"
    WHICH_BIRD = "which_bird"
    NO_WEIGHT = "no_weight"
    TWO_WEIGHTS = "two_weights"
    UNIT = "unit"
    GUESS = "guess"
    ODD_WEIGHT = "odd_weight"
    TARE = "tare"
    LIGHT = "light"
    CAUTION = "caution"
    CONDITION = "condition"
    VET = "vet"
    SECOND = "second"
    SAME_BIRD = "same_bird"
    CAGE_COUNT = "cage_count"
    AFTERWARDS = "afterwards"
    OTHER_BIRD = "other_bird"
    MEANT = "meant"
    WHICH_READING = "which_reading"
    CORRECTION = "correction"
    FIX = "fix"
    OPEN_DOSE = "open_dose"
    FLUSHED = "flushed"
    NEEDLE_CHANGED = "needle_changed"
    BAG_CHANGED = "bag_changed"
    HEARD = "heard"
    MEASURED = "measured"


class Part(StrEnum):
    """The two things that a dose is asked for with."""

    BIRD = "bird"
    WEIGHT = "weight"


BOTH = frozenset(Part)


@dataclass(frozen=True, slots=True)
class Reading:
    """One bird and weight that an ear may have heard, with its share of belief from 0 to 1."""

    named: tuple[Named, ...]
    weights: tuple[Weight, ...]
    share: float


@dataclass(frozen=True, slots=True)
class Draft:
    """A dose that is being put together, question by question.

    `settled` holds the questions to which the keeper has already said yes for this bird.  `unsure`
    are the parts that were not heard surely and that no sure answer has confirmed yet: with any of
    them no dose is said.  `readings` are what was heard instead, where it tells which bird goes
    with which weight.  `conditions` are what the bird is, `without` what it was said not to be, and
    `before_ml` what it had of other medicines today.
    """

    named: tuple[Named, ...] = ()
    spoken: str = ""
    weights: tuple[Weight, ...] = ()
    corrected: bool = False
    settled: frozenset[Ask] = frozenset()
    unsure: frozenset[Part] = frozenset()
    readings: tuple[Reading, ...] = ()
    conditions: tuple[Condition, ...] = ()
    without: tuple[Condition, ...] = ()
    before_ml: Decimal = Decimal(0)
    sex: str | None = None


def drafted(wanted: DoseWanted) -> Draft:
    """The draft that begins with what was said of a bird."""
    return Draft(
        wanted.named, wanted.spoken, wanted.weights, conditions=wanted.conditions, sex=wanted.sex
    )


@dataclass(frozen=True, slots=True)
class Question:
    """What was asked, and what waits for the answer: a dose, or the requests it may have meant.

    `behind` is the question that was open when this one had to be put first.
    """

    ask: Ask
    draft: Draft | None = None
    options: tuple[Request, ...] = ()
    leaving: bool = False
    behind: Question | None = None


@dataclass(frozen=True, slots=True)
class Dosed:
    """When a bird last had a dose that counts as full, how much, and what it weighed then."""

    at: datetime
    volume_ml: Decimal
    grams: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Caged:
    """When birds of a cage last had doses that count as full, and how many on that day."""

    at: datetime
    done: int


@dataclass(frozen=True, slots=True)
class Dosings:
    """What the register tells of full doses since it was last asked.

    `last` has, for each (bird, medicine) that changed, its last full dose; None where the one that
    counted was scratched; `cages` has the same for each (cage, medicine).  `mark` is what to ask
    with the next time.
    """

    mark: int
    last: Mapping[tuple[str, str], Dosed | None]
    cages: Mapping[tuple[str, str], Caged | None] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Taken:
    """What a dose took from a batch, in mL, and as what it counts there."""

    batch_id: str
    kind: MoveKind
    volume_ml: Decimal


@dataclass(frozen=True, slots=True)
class Stock:
    """What the conversation knows of the made-up stock.

    `shelf` are the last batches with what became of them, the newest last.  `batch_id` is the batch
    on offer, and in use once the round is begun; `chosen` is whether the keeper named it, or named
    none; `old` is what to say of one that is out of date, where no other is good.
    `spilled` is whether the pot was spilled and not yet measured.  `taken` is what
    each dose of this conversation took, and `told` are the warnings that were said, each of a
    batch.
    """

    shelf: tuple[Book, ...] = ()
    batch_id: str | None = None
    chosen: bool = False
    old: str = ""
    spilled: bool = False
    taken: Mapping[str, Taken] = field(default_factory=dict)
    told: frozenset[tuple[str, str]] = frozenset()

    @property
    def book(self) -> Book | None:
        """The batch on offer or in use, with what became of it."""
        return next((one for one in self.shelf if one.batch.batch_id == self.batch_id), None)


@dataclass(frozen=True, slots=True)
class Unheard:
    """Spoken utterances in a row of which nothing could be made: how many, from when to when.

    `helped` is whether it was said since how to get help.
    """

    count: int = 0
    since: datetime | None = None
    last: datetime | None = None
    helped: bool = False


@dataclass(frozen=True, slots=True)
class State:
    """Everything that one conversation remembers.

    `begun` is whether medicine and needle were confirmed for this round, `unsaid` how many doses
    ago the medicine was last said, `tare_g` what the bag weighs in grams (None: not said).  `dosed`
    is the last full dose by (bird, medicine), `unnamed` that of birds without a name by (species,
    medicine), `caged` those of a cage by (cage, medicine), and `answered` what the last dose was
    worked out from.  `pending` is the dose that was said and has no end yet; `on_paper` is whether
    the register refused its end, so that it holds nobody up.  A needle in an unknown state was used
    for another medicine.  `questions` is
    how many were put in a row about the spoken request at hand, and `answer_by` until when an
    answer to the open question needs no attention word.  `left_open` are the doses that earlier
    rounds left without an end, the power gone or the window closed; the first of them becomes the
    pending one.  `windows` are those for a next dose, where they were asked about and could be
    read.
    """

    needle: Needle
    medicine: Medicine | None = None
    needle_state: NeedleState = NeedleState.DRY
    syringe: Syringe | None = None
    begun: bool = False
    unsaid: int = 0
    question: Question | None = None
    pending: DoseEntry | None = None
    on_paper: bool = False
    answered: Draft | None = None
    last: DoseEntry | None = None
    last_end: DoseEnd | None = None
    previous: Named | None = None
    tare_g: Decimal | None = None
    listening: bool = True
    repeatable: Reply | None = None
    ended: Mapping[DoseEnd, int] = field(default_factory=dict)
    doses: int = 0
    dosed: Mapping[tuple[str, str], Dosed] = field(default_factory=dict)
    unnamed: Mapping[tuple[str, str], Dosed] = field(default_factory=dict)
    caged: Mapping[tuple[str, str], Caged] = field(default_factory=dict)
    questions: int = 0
    answer_by: datetime | None = None
    unheard: Unheard = Unheard()
    sitting: Sitting = field(default_factory=Sitting)
    stock: Stock = field(default_factory=Stock)
    left_open: tuple[DoseEntry, ...] = ()
    windows: tuple[Repeat, ...] | None = None
    cut: CutShort | None = None
    manner: Manner = field(default_factory=Manner)

    @property
    def open_dose(self) -> DoseEntry | None:
        """The dose whose end has to be told before the next one is said."""
        return None if self.on_paper else self.pending

    def asked(self, about: Ask) -> Question | None:
        """The open question, if it is about this."""
        return self.question if self.question and self.question.ask is about else None


@dataclass(frozen=True, slots=True)
class Setting:
    """What stays the same through a conversation.

    `usual` is the medicine that it starts with (None: it has to be said).  `one_shot` answers a
    single phrase at once, as for a dry needle, without a round.
    """

    lexicon: Lexicon
    kit: Kit
    medicines: tuple[Medicine, ...]
    usual: Medicine | None
    round_id: str
    one_shot: bool = False


def opening(setting: Setting, left_open: Sequence[DoseEntry] = ()) -> State:
    """The state that a conversation starts in: nothing confirmed, the kit's needle taken as dry.

    What earlier rounds left open is asked about before anything else.
    """
    first = State(
        needle=setting.kit.default_needle,
        medicine=setting.usual,
        manner=Manner(short=setting.kit.talk.short),
    )
    if setting.one_shot:
        return first
    return asking_first(replace(first, left_open=tuple(left_open)))


def asking_first(state: State) -> State:
    """The state with the first question of a round: about a dose left open, or about the round."""
    if not state.left_open:
        return replace(state, question=Question(Ask.ROUND))
    first, *rest = state.left_open
    question = Question(Ask.OPEN_DOSE)
    return replace(state, pending=first, left_open=tuple(rest), question=question)


def caught_up(state: State, dosings: Dosings, *, on_paper: bool) -> State:
    """The state with what the register tells of full doses, whoever wrote them.

    A dose that only paper has (`on_paper`: there may be one) is never taken back by the register.
    """
    dosed = dict(state.dosed)
    for key, last in dosings.last.items():
        if last is not None:
            dosed[key] = last
        elif not on_paper:
            dosed.pop(key, None)
    caged = dict(state.caged)
    for key, cage in dosings.cages.items():
        known = caged.get(key)
        if cage is not None and not (on_paper and known and known.done > cage.done):
            caged[key] = cage
        elif cage is None and not on_paper:
            caged.pop(key, None)
    return replace(state, dosed=dosed, caged=caged)
