"""One reading of an utterance to what it asks for, by the real grammar; each request's intent."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.dosing.condition import Condition
from assistant.language.numerals import NumberProblem
from assistant.language.reading import NoReading, in_grams, read_marks
from assistant.language.requests import (
    EMERGENCIES,
    Bag,
    BatchSaid,
    CageSaid,
    DoseWanted,
    Intent,
    LookUp,
    MedicineSaid,
    NeedleSaid,
    Plain,
    Request,
    Sought,
    TareSaid,
    UnitSaid,
    Unusual,
    VolumeGiven,
    VolumeSaid,
    Weight,
    WeightFixed,
    intent_of,
)
from assistant.language.tokens import tokens
from tests.talk_scene import demo_lexicon


def readings(text: str) -> list[Request]:
    """Every distinct reading that makes sense."""
    lexicon = demo_lexicon()
    words = tokens(text)
    found: dict[Request, None] = {}
    for marks in sorted(lexicon.matcher.readings(words)):
        try:
            found[read_marks(marks, words, lexicon)] = None
        except (NumberProblem, NoReading):
            continue
    return list(found)


def read(text: str) -> Request:
    (only,) = readings(text)
    return only


def weight(grams: str, amount: str | None = None, **more: object) -> Weight:
    return Weight("", Decimal(amount or grams), Decimal(grams), **more)  # type: ignore[arg-type]  # as named


def grams_of(text: str) -> list[str]:
    """The weights in grams of every reading; "?" where the unit is open."""
    return sorted(
        str(one.weights[0].grams if one.weights[0].grams is not None else "?")
        for one in readings(text)
        if isinstance(one, DoseWanted) and len(one.weights) == 1
    )


@pytest.mark.parametrize(
    ("text", "request_"),
    [
        ("no eighty five", WeightFixed(weight("85"))),
        ("that was eighty five", WeightFixed(weight("85"))),
        ("that was eighty five not ninety five", WeightFixed(weight("85"), weight("95"))),
        ("it was 85 instead of 95", WeightFixed(weight("85"), weight("95"))),
        ("grams", UnitSaid("g")),
        ("kilos", UnitSaid("kg")),
        ("ounces", UnitSaid("oz")),
        ("pounds", UnitSaid("lb")),
        ("bag is twelve grams", TareSaid(weight("12"))),
        ("which tare", Plain("tare_which")),
        ("switch to marigold", MedicineSaid("marigold")),
        ("marigold", MedicineSaid("marigold")),
        ("switch medicine", MedicineSaid()),
        ("other needle", NeedleSaid()),
        ("batch three", BatchSaid(3)),
        ("batch 12", BatchSaid(12)),
        ("no batch", BatchSaid(None)),
        ("without a batch", BatchSaid(None)),
        ("12.5 mL left", VolumeSaid(Decimal("12.5"))),
        ("pot holds twenty", VolumeSaid(Decimal(20), of_pot=True)),
        ("the pot is empty", VolumeSaid(Decimal(0), of_pot=True)),
        ("i gave him 3 mls instead of 1.6", VolumeGiven("unclear", Decimal(3))),
        ("he's only had point four", VolumeGiven("unclear", Decimal("0.4"))),
        ("the needle slipped", Plain("unclear")),
        ("cage four", CageSaid("4")),
        ("cage four six birds", CageSaid("4", 6)),
        ("cage four one birds", CageSaid("4", 1)),
        ("which cage", Plain("cage_which")),
        ("given", Plain("given")),
        ("slower", Plain("slower")),
        ("coughing", Plain("coughing")),
    ],
)
def test_a_phrase_is_read(text: str, request_: Request):
    assert read(text) == request_


@pytest.mark.parametrize("text", ["cage four no birds", "cage 4 0 birds", "cage 4.5", "batch 2.5"])
def test_no_cage_is_without_birds_and_no_number_of_one_in_parts(text: str):
    assert readings(text) == []


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("galah 330", ["330"]),
        ("galah 330.0", ["?"]),
        ("galah 0.33", ["?"]),
        ("galah one point two", ["?"]),
        ("galah one kilo", ["1000"]),
        ("galah 1.2 kg", ["1200"]),
        ("galah one kilo and a half", ["1500"]),
        ("galah two kilos and a quarter", ["2250"]),
        ("galah 3 kilos and a half", ["3500"]),
        ("galah one kilo two", ["1002", "1200"]),
        ("galah one kilo nine", ["1009", "1900"]),
        ("galah 1 kg 9", ["1009", "1900"]),
        ("galah one kilo twelve", ["1012"]),
        ("galah 1 kg 10", ["1010"]),
        ("galah 1 kg 0", ["1000"]),
        ("galah one kilo 250", ["1250"]),
        ("galah one kilo two hundred grams", ["1200"]),
        ("galah 1 kg 999 g", ["1999"]),
        ("galah 1 kg 1000 g", []),
        ("galah one kilo 0.5", []),
        ("galah 1.5 kg 2", ["1502", "1700"]),
        ("galah one kilo one point five", []),
        ("galah one kilo one point five grams", ["1001.5"]),
        ("galah half a kilo", ["500"]),
        ("galah three quarters of a kilo", ["750"]),
    ],
)
def test_a_weight_is_read_in_grams(text: str, grams: list[str]):
    assert grams_of(text) == grams


def ounces(text: str) -> list[Decimal]:
    """The weights in ounces: 28.349523125 g each, by the international pound of 1959."""
    return [Decimal(grams) / Decimal("28.349523125") for grams in grams_of(text)]


@pytest.mark.parametrize(
    ("text", "weight"),
    [
        ("galah 3 oz", ["3"]),
        ("galah three ounces and a half", ["3.5"]),
        ("galah 2 lb", ["32"]),
        ("galah one pound and a half", ["24"]),
        ("galah one pound two ounces", ["18"]),
        ("galah one pound two", ["18"]),
        ("galah one pound 15 ounces", ["31"]),
        ("galah one pound 16 ounces", []),
        ("galah one pound 1.5", []),
        ("galah one pound 1.5 ounces", ["17.5"]),
    ],
)
def test_a_weight_is_read_in_ounces_and_pounds(text: str, weight: list[str]):
    assert [round(one, 6) for one in ounces(text)] == [Decimal(one) for one in weight]


def test_grams_stay_the_number_that_was_said():
    assert in_grams(Decimal("95.0"), "g") == 95
    assert in_grams(Decimal(0), "kg") == 0
    assert in_grams(Decimal(2), "kg") == 2000


def dose(text: str) -> DoseWanted:
    wanted = read(text)
    assert isinstance(wanted, DoseWanted)
    return wanted


def test_a_bird_and_its_weight_and_nothing_more():
    galah = demo_lexicon().birds("galah")
    assert dose("galah 330") == DoseWanted(galah, "galah", (weight("330"),))
    assert dose("galah 330").weights[0].said == "330"
    assert dose("galah one kilo and a half").weights[0].said == "one kilo and a half"


@pytest.mark.parametrize(
    ("text", "more"),
    [
        ("another one 330", {"another": True, "weights": (weight("330"),)}),
        ("marigold for the galah", {"medicine": "marigold"}),
        ("galah half dose", {"unusual": Unusual.HALF_DOSE}),
        ("galah top up", {"unusual": Unusual.TOP_UP}),
        ("young galah", {"conditions": (Condition("young"),)}),
        ("male galah", {"sex": "male"}),
        ("hen galah", {"sex": "female"}),
        ("galah pair", {"pair": True}),
        ("galah 90 no 95", {"weights": (weight("95"),), "corrected": True}),
        ("galah 90 or 95", {"weights": (weight("90"), weight("95"))}),
        ("galah about 330", {"weights": (weight("330", guessed=True),)}),
        ("galah 330 or so", {"weights": (weight("330", guessed=True),)}),
        ("galah 330 with the bag", {"weights": (weight("330", bag=Bag.WITH),)}),
        ("galah 330 without the bag", {"weights": (weight("330", bag=Bag.WITHOUT),)}),
        ("galah about 330 or 95", {"weights": (weight("330", guessed=True), weight("95"))}),
    ],
)
def test_what_is_said_besides_is_read(text: str, more: dict[str, object]):
    bird = {} if "another" in more else {"named": demo_lexicon().birds("galah"), "spoken": "galah"}
    assert dose(text) == DoseWanted(**{**bird, **more})  # type: ignore[arg-type]  # as named above


def test_a_named_bird_may_be_called_by_its_species_too():
    pepper = demo_lexicon().birds("pepper")
    said = dose("pepper the cockatiel 95")
    assert said == DoseWanted(pepper, "pepper cockatiel", (weight("95"),))
    assert readings("pepper the galah 95") == []


def test_a_colour_is_taken_where_it_makes_no_other_species():
    budgie = demo_lexicon().birds("budgie")
    assert dose("blue budgie 35") == DoseWanted(budgie, "budgie", (weight("35"),))
    assert readings("blue pepper 95") == [], "a bird with a name of its own has the colour it has"
    assert readings("yellow macaw 900") == [], "blue and gold, or another one"


@pytest.mark.parametrize(
    ("text", "sought"),
    [
        ("last dose", LookUp(Sought.LAST_DOSE)),
        ("is pepper done", LookUp(Sought.DONE_YET, demo_lexicon().birds("pepper"))),
        ("when is pepper due", LookUp(Sought.DUE_OF, demo_lexicon().birds("pepper"))),
        ("which cages are left", LookUp(Sought.CAGES_LEFT)),
        ("who is left in cage four", LookUp(Sought.CAGE_LEFT, cage="4")),
        ("how do i make 50 ml", LookUp(Sought.TO_MAKE, ml=Decimal(50))),
    ],
)
def test_a_question_is_read(text: str, sought: LookUp):
    assert sought in readings(text)


INTENTS = {
    Intent.MANNER: "hush tones slower faster louder softer short_answers full_answers manner",
    Intent.SCRATCH: "wrong_bird other_bird scratch",
    Intent.NOT_GIVEN: "got_away crop_full crop_sour not_given",
    Intent.NEEDLE: "needle_new needle_rinsed needle_full needle_which needle_fault syringe_which",
    Intent.MEDICINE: "medicine_which shaken",
    Intent.TARE: "tare_which",
    Intent.STOCK: "batch_which left spilled to_make batch_made",
    Intent.DOSE: "next unclear correction adult young ill half_dose top_up drops strength by_mouth",
    Intent.EMERGENCY: "died coughing fluid too_much",
    Intent.CAGE: "next_cage cage_which recaught",
    Intent.REPEAT: "last_dose repeat",
    Intent.COUNT: "done_yet count",
    Intent.DUE: "due_of due",
    Intent.REMAINING: "cages_left cage_left remaining",
    Intent.HELP: "on_paper help",
}


@pytest.mark.parametrize("intent", INTENTS)
def test_each_kind_belongs_to_one_intent(intent: Intent):
    assert {kind: Plain(kind).intent for kind in INTENTS[intent].split()} == dict.fromkeys(
        INTENTS[intent].split(), intent
    )


def test_what_is_no_kind_has_no_intent():
    assert Plain("gibberish").intent is None
    assert {"coughing", "fluid", "too_much"} == EMERGENCIES


@pytest.mark.parametrize(
    ("request_", "intent"),
    [
        (DoseWanted(), Intent.DOSE),
        (WeightFixed(weight("85")), Intent.DOSE),
        (UnitSaid("g"), Intent.DOSE),
        (TareSaid(None), Intent.TARE),
        (MedicineSaid(), Intent.MEDICINE),
        (NeedleSaid(), Intent.NEEDLE),
        (CageSaid("4"), Intent.CAGE),
        (BatchSaid(None), Intent.STOCK),
        (VolumeSaid(Decimal(1)), Intent.STOCK),
        (Plain("given"), Intent.GIVEN),
        (VolumeGiven("unclear", Decimal(3)), Intent.DOSE),
        (LookUp(Sought.ON_PAPER), Intent.HELP),
    ],
)
def test_every_request_has_an_intent(request_: Request, intent: Intent):
    assert intent_of(request_) is intent
