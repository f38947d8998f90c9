"""What may be said next: how well each answer fits, and the grammar narrowed to it."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.language.expected import (
    ANYTHING,
    CONTROLS,
    TAGS,
    Expected,
    Fit,
    Saying,
    fit,
)
from assistant.language.heard import Heard
from assistant.language.matching import Matcher
from assistant.language.narrowing import fit_of, narrowed
from assistant.language.requests import (
    Bag,
    DoseWanted,
    Named,
    Plain,
    UnitSaid,
    Unusual,
    Weight,
    WeightFixed,
)
from tests.dosing_scene import species
from tests.talk_scene import demo_lexicon

GALAH = species("270", "400")
WREN = species("8", "12")


def weight(grams: str | None, bag: Bag = Bag.UNSAID) -> Weight:
    known = Decimal(grams) if grams else None
    return Weight("a weight", known or Decimal("0.3"), known, bag)


def birds(*names: str) -> tuple[Named, ...]:
    return tuple(demo_lexicon().birds(name)[0] for name in names)


def test_what_is_typed_is_sure_of_itself():
    typed = Heard("given")
    assert (typed.confidence, typed.engine, typed.doubtful) == (1.0, "keyboard", False)


def test_where_anything_may_be_said_anything_fits():
    assert fit(Plain("given"), ANYTHING) is Fit.OFFERED
    assert ANYTHING.tags == frozenset()


def test_what_may_be_said_comes_with_what_may_always_be_said():
    assert Expected(frozenset({Saying.UNIT})).tags == CONTROLS | {"unit"}
    assert Expected(frozenset({Saying.UNIT, Saying.LISTEN})).tags == {"listen"}


def test_which_weights_are_likely_changes_no_words():
    expected = Expected(frozenset({Saying.WEIGHT}), birds("galah"), (Decimal(330),), (GALAH,))
    assert expected.worded == Expected(frozenset({Saying.WEIGHT}), birds("galah"))


@pytest.mark.parametrize(
    ("tag", "saying"),
    [
        *(("no", saying) for saying in (Saying.YES_NO, Saying.FIX)),
        *(("pot_holds", saying) for saying in (Saying.POT,)),
        *(("next", saying) for saying in (Saying.CORRECTION,)),
        *((end, Saying.END) for end in ("wrong_bird", "other_bird", "crop_full", "crop_sour")),
    ],
)
def test_a_plain_answer_fits_its_question_and_no_other(tag: str, saying: Saying):
    assert fit(Plain(tag), Expected(frozenset({saying}))) is Fit.OFFERED
    assert fit(Plain(tag), Expected(frozenset({Saying.BATCH}))) is Fit.OTHER


def test_the_dose_and_the_volume_are_tags_of_the_grammar():
    assert TAGS[Saying.WEIGHT] == TAGS[Saying.BIRD] == {"dose"}
    assert "volume" in TAGS[Saying.POT]


def test_a_unit_fits_where_it_was_asked_for():
    assert fit(UnitSaid("g"), Expected(frozenset({Saying.UNIT}))) is Fit.OFFERED
    assert fit(UnitSaid("g"), Expected(frozenset({Saying.BIRD}))) is Fit.OTHER


ANY_BIRD = Expected(frozenset({Saying.BIRD}))
ANY_WEIGHT = Expected(frozenset({Saying.WEIGHT}))


def test_a_bird_fits_where_one_was_asked_for_and_is_on_offer():
    galah = DoseWanted(birds("galah"), "galah")
    assert fit(galah, ANY_BIRD) is Fit.OFFERED
    assert fit(galah, ANY_WEIGHT) is Fit.OTHER
    some = Expected(frozenset({Saying.BIRD}), birds("galah", "cockatiel"))
    assert fit(galah, some) is Fit.OFFERED
    assert fit(DoseWanted(birds("budgerigar"), "budgerigar"), some) is Fit.OTHER
    assert fit(DoseWanted(birds("galah", "cockatiel"), "both"), some) is Fit.OTHER


@pytest.mark.parametrize(
    "more",
    [
        {"another": True},
        {"medicine": "marigold"},
        {"unusual": Unusual.HALF_DOSE},
        {"conditions": ("young",)},
        {"pair": True},
        {"weights": (weight("330"),)},
    ],
)
def test_a_bird_with_more_said_of_it_is_something_new(more: dict[str, object]):
    wanted = DoseWanted(birds("galah"), "galah", **more)  # type: ignore[arg-type]  # named above
    assert fit(wanted, ANY_BIRD) is Fit.OTHER


def test_two_weights_are_no_answer():
    both = DoseWanted(weights=(weight("330"), weight("340")))
    assert fit(both, ANY_WEIGHT) is Fit.OTHER
    assert fit(both, ANY_BIRD) is Fit.OTHER


def weighed(one: Weight, expected: Expected) -> Fit:
    return fit(DoseWanted(weights=(one,)), expected)


def test_a_weight_fits_the_bird_that_is_weighed():
    expected = Expected(frozenset({Saying.WEIGHT}), species=(GALAH,))
    assert weighed(weight("330"), expected) is Fit.OFFERED
    assert weighed(weight("33"), expected) is Fit.ABSURD
    assert weighed(weight("33", Bag.WITH), expected) is Fit.OFFERED
    assert weighed(weight("33"), ANY_WEIGHT) is Fit.OFFERED
    assert weighed(weight("10"), Expected(frozenset({Saying.WEIGHT}), species=(GALAH, WREN))) is (
        Fit.OFFERED
    )
    odd = next(Decimal(at) for at in range(270, 100, -1) if GALAH.judge(Decimal(at)).name == "ASK")
    assert weighed(weight(str(odd)), expected) is Fit.ANSWER


def test_a_weight_on_offer_fits_better_than_another():
    expected = Expected(frozenset({Saying.WEIGHT}), grams=(Decimal(330), Decimal(313)))
    assert weighed(weight("313"), expected) is Fit.OFFERED
    assert weighed(weight("320"), expected) is Fit.ANSWER
    assert weighed(weight(None), expected) is Fit.ANSWER
    assert weighed(weight(None), ANY_WEIGHT) is Fit.OFFERED


def test_a_weight_put_right_fits_where_it_may_be():
    assert fit(WeightFixed(weight("330")), Expected(frozenset({Saying.FIX}))) is Fit.OFFERED
    assert fit(WeightFixed(weight("330")), ANY_WEIGHT) is Fit.OTHER


SAID_ANY_TIME = (
    *("how many birds so far", "which birds are left", "which medicine is it", "tare"),
    *("shaken", "how much is left", "spilled it", "what is due", "next cage", "which cage"),
    *("marigold", "recaught", "she's breeding", "it is moulting"),
    *("short answers", "full answers", "slower", "faster", "louder", "quieter", "tones"),
)


def test_nothing_else_is_left_of_the_grammar_where_yes_or_no_was_asked():
    rules = narrowed(demo_lexicon(), Expected(frozenset({Saying.YES_NO})))
    matcher = Matcher(rules)
    assert matcher.readings(("yes",))
    assert matcher.readings(("no",))
    assert matcher.readings(("goodbye",))
    assert [text for text in SAID_ANY_TIME if matcher.readings(tuple(text.split()))] == []
    whole = demo_lexicon().matcher
    assert [text for text in SAID_ANY_TIME if not whole.readings(tuple(text.split()))] == []


def takes(text: str, *sayings: Saying, among: tuple[Named, ...] = ()) -> bool:
    rules = narrowed(demo_lexicon(), Expected(frozenset(sayings), among))
    return bool(Matcher(rules).readings(tuple(text.split())))


DOSES = ("galah 330", "330 g galah", "another one", "half dose galah 330", "pair of galahs")


def test_a_weight_alone_is_left_where_one_was_asked_for():
    assert takes("330 grams", Saying.WEIGHT)
    assert [text for text in ("galah", *DOSES) if takes(text, Saying.WEIGHT)] == []


def test_a_bird_alone_is_left_where_one_was_asked_for():
    assert takes("galah", Saying.BIRD)
    assert [text for text in ("330 grams", *DOSES) if takes(text, Saying.BIRD)] == []


def test_only_the_birds_on_offer_are_left():
    offered = birds("galah", "cockatiel")
    assert takes("galah", Saying.BIRD, among=offered)
    assert not takes("budgerigar", Saying.BIRD, among=offered)
    assert takes("budgerigar", Saying.BIRD)
    assert not takes("galah", Saying.WEIGHT, among=offered)


def test_where_anything_may_be_said_the_whole_grammar_is_left():
    assert narrowed(demo_lexicon(), ANYTHING) is demo_lexicon().grammar


def test_words_of_two_meanings_or_none_are_no_answer():
    lexicon = demo_lexicon()
    assert fit_of("330 grams", ANY_WEIGHT, lexicon) is Fit.OFFERED
    assert fit_of("lovely weather", ANY_WEIGHT, lexicon) is Fit.OTHER
    assert fit_of("one kilo two", ANY_WEIGHT, lexicon) is Fit.OTHER
    assert fit_of("given next galah 330", ANY_WEIGHT, lexicon) is Fit.OTHER
