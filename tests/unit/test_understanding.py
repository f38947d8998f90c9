"""Phrases to requests, by the tables in fixtures/phrases."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.dosing.species import Bird, Species
from assistant.language.requests import (
    Bag,
    BatchSaid,
    DoseWanted,
    Intent,
    MedicineSaid,
    Plain,
    Request,
    TareSaid,
    UnitSaid,
    VolumeSaid,
    WeightFixed,
    intent_of,
)
from assistant.language.understanding import Doubt, Understanding, understand
from tests.fixture_tables import rows
from tests.talk_scene import demo_lexicon


def understood(phrase: str) -> Understanding:
    return understand(phrase, demo_lexicon())


def the_request(phrase: str) -> Request:
    found = understood(phrase)
    assert found.doubt is None, (phrase, found.doubt, found.words)
    assert len(found.requests) == 1, (phrase, found.requests)
    return found.requests[0]


def the_dose(phrase: str) -> DoseWanted:
    request = the_request(phrase)
    assert isinstance(request, DoseWanted), phrase
    return request


def short(request: Request) -> str:
    match request:
        case Plain(kind):
            return kind
        case TareSaid(weight):
            return f"tare {weight.grams if weight else 'none'}"
        case WeightFixed(weight):
            return f"fix {weight.grams}"
        case MedicineSaid(spoken):
            return f"medicine {spoken}".strip()
        case UnitSaid(unit):
            return f"unit {unit}"
        case BatchSaid(number):
            return f"batch {number}"
        case VolumeSaid(volume, of_pot):
            return f"{'pot holds' if of_pot else 'volume'} {volume}"
    return "dose"


@pytest.mark.parametrize("row", rows("phrases/doses.csv"), ids=lambda row: row["phrase"])
def test_a_bird_and_its_weight_are_understood(row: dict[str, str]):
    dose = the_dose(row["phrase"])
    assert [one.name for one in dose.named] == [row["bird"]]
    assert [weight.grams for weight in dose.weights] == [Decimal(row["grams"])]
    assert not dose.weights[0].guessed


@pytest.mark.parametrize("row", rows("phrases/requests.csv"), ids=lambda row: row["phrase"])
def test_any_other_request_is_understood(row: dict[str, str]):
    assert short(the_request(row["phrase"])) == row["request"]


@pytest.mark.parametrize("row", rows("phrases/requests.csv"), ids=lambda row: row["phrase"])
def test_small_words_around_a_request_change_nothing(row: dict[str, str]):
    assert short(the_request(f"Um, {row['phrase'].rstrip('.!')}, please")) == row["request"]


@pytest.mark.parametrize(
    ("phrase", "amount"),
    [("cockatiel 0.4", "0.4"), ("cockatiel nought point four", "0.4"), ("cockatiel 95.0", "95.0"),
     ("budgie thirty and a half", "30.5"), ("zebra finch twelve point five", "12.5")],
)  # fmt: skip
def test_a_bare_decimal_leaves_its_unit_open(phrase: str, amount: str):
    (weight,) = the_dose(phrase).weights
    assert weight.grams is None
    assert weight.amount == Decimal(amount)


def test_two_weights_are_both_kept():
    for phrase in ("cockatiel ninety or ninety five", "cockatiel 90 95", "90 or 95 cockatiel"):
        assert [w.grams for w in the_dose(phrase).weights] == [Decimal(90), Decimal(95)], phrase


def test_a_correction_between_two_weights_takes_the_last():
    dose = the_dose("cockatiel ninety no ninety five grams")
    assert dose.corrected
    assert [weight.grams for weight in dose.weights] == [Decimal(95)]


def test_a_guess_is_told_from_a_weighing():
    for phrase in ("cockatiel about 95", "cockatiel ninety-ish", "cockatiel 95 or so"):
        assert the_dose(phrase).weights[0].guessed, phrase


@pytest.mark.parametrize(
    ("phrase", "bag"),
    [("cockatiel 107 with the bag", Bag.WITH), ("cockatiel in the bag 107", Bag.WITH),
     ("cockatiel 107 gross", Bag.WITH), ("cockatiel 107 with its box", Bag.WITH),
     ("cockatiel 95 without the bag", Bag.WITHOUT), ("cockatiel 95 no bag", Bag.WITHOUT),
     ("cockatiel 95", Bag.UNSAID)],
)  # fmt: skip
def test_the_bag_is_understood(phrase: str, bag: Bag):
    assert the_dose(phrase).weights[0].bag is bag


def test_a_named_bird_may_be_said_with_its_species():
    (pepper,) = the_dose("pepper the cockatiel 95").named
    assert isinstance(pepper, Bird)
    assert understood("pepper the budgie 30").doubt is Doubt.TWO_BIRDS


def test_a_narrower_name_wins_over_two_names_side_by_side():
    (bird,) = the_dose("rainbow lorikeet 120").named
    assert isinstance(bird, Species)
    assert bird.name == "Rainbow lorikeet"


def test_twenty_eight_alone_is_a_number():
    assert the_dose("twenty eight").named == ()
    assert [one.name for one in the_dose("twenty eight parrot 133").named] == [
        "Australian ringneck"
    ]


@pytest.mark.parametrize(
    ("phrase", "doubt", "words"),
    [
        ("", Doubt.EMPTY, ""),
        (" \t\x00 ...", Doubt.EMPTY, ""),
        ("cockatiel " * 1024, Doubt.TOO_LONG, ""),
        ("a " * 100, Doubt.TOO_LONG, ""),
        ("ostrich 95 grams", Doubt.UNKNOWN_WORD, "ostrich"),
        ("cockatiel 95 stone", Doubt.UNKNOWN_UNIT, "stone"),
        ("cockatiel 95 ml", Doubt.UNKNOWN_UNIT, "ml"),
        ("cockatiel -95", Doubt.NEGATIVE, "-95"),
        ("cockatiel minus five", Doubt.NEGATIVE, "minus five"),
        ("cage minus five", Doubt.UNKNOWN_CAGE, "minus five"),
        ("cage zebulon", Doubt.UNKNOWN_CAGE, "zebulon"),
        ("um cage zebulon", Doubt.UNKNOWN_CAGE, "zebulon"),
        ("cockatiel 1e9 g", Doubt.UNKNOWN_WORD, "1e9"),
        ("cockatiel NaN grams", Doubt.UNKNOWN_WORD, "nan"),
        ("cockatiel 95 budgie 30", Doubt.TWO_BIRDS, "cockatiel budgie"),
        ("congo 450", Doubt.NEAR_NAME, "congo"),
        ("cockatiel nintey five", Doubt.NEAR_WORD, "nintey"),
        ("a poem about autumn", Doubt.NOT_UNDERSTOOD, "poem autumn"),
        ("'; DROP TABLE doses;--", Doubt.NOT_UNDERSTOOD, "drop table doses"),
    ],
)  # fmt: skip
def test_a_doubt_names_the_words_in_doubt(phrase: str, doubt: Doubt, words: str):
    found = understood(phrase)
    assert found.doubt is doubt
    assert " ".join(found.words) == words


@pytest.mark.parametrize(
    "phrase",
    ["galah a third of a kilo", "galah vier hundred five", "galah three umpty five",
     "cockatiel number four ninety five", "blue and gold macaw one thousnad and umpty"],
)  # fmt: skip
def test_a_strange_word_in_a_number_leaves_no_weight(phrase: str):
    found = understood(phrase)
    assert found.doubt is not None
    assert [dose.weights for dose in found.requests if isinstance(dose, DoseWanted)] in ([()], [])


@pytest.mark.parametrize(
    "phrase",
    ["thirty budgies", "40 blue budgies", "got eighty cockatiels", "about twelve zebra finches",
     "six galahs left to do", "15 zebra finches"],
)  # fmt: skip
def test_a_number_before_a_plural_counts_birds_and_weighs_none(phrase: str):
    found = understood(phrase)
    assert found.doubt is Doubt.NOT_FOLLOWED
    assert [dose.weights for dose in found.requests if isinstance(dose, DoseWanted)] == [()]


@pytest.mark.parametrize("phrase", ["budgies 36", "the budgies, thirty six", "36 gram budgies"])
def test_a_plural_with_a_weight_is_one_bird(phrase: str):
    assert [str(weight.grams) for weight in the_dose(phrase).weights] == ["36"]


@pytest.mark.parametrize(
    "phrase",
    ["who is still to do in aviary two", "off to look at flight nine", "picked up a clean one",
     "the small one again"],
)  # fmt: skip
def test_a_cage_s_number_and_one_are_no_weight(phrase: str):
    assert understood(phrase).requests == ()


ONE_OF_EACH = (
    "cockatiel 95", "given", "part given", "not given", "don't know", "scratch that",
    "say again", "how many done", "who is left", "new needle", "which medicine",
    "bag is twelve", "help", "stop listening", "start listening", "goodbye", "yes", "no",
    "batch two", "it is coughing", "what is due", "cage four", "stop",
)  # fmt: skip


def test_every_intent_of_the_closed_list_can_be_said():
    assert {intent_of(the_request(phrase)) for phrase in ONE_OF_EACH} == set(Intent)


def test_no_request_is_without_an_intent():
    for row in rows("phrases/requests.csv"):
        assert intent_of(the_request(row["phrase"])) is not None, row["phrase"]


def test_next_is_never_given():
    for phrase in ("next", "next bird", "next one", "done", "ok next"):
        assert the_request(phrase) == Plain("next")
