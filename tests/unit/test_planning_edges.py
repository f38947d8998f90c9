"""What a plan says of a round, of its pots and of small doses, each at its ends."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from assistant.dosing.dilution import Dilution
from assistant.dosing.dose import Dose
from assistant.dosing.label import Caution
from assistant.dosing.measures import Pot
from assistant.dosing.species import Crop, Species
from assistant.dosing.syringe import Syringe
from assistant.planning.birds import in_order
from assistant.planning.doses import ToAsk
from assistant.planning.measuring import Measured, Mix
from assistant.planning.past import Had, Past
from assistant.planning.pot_label import pot_labels, strength_words
from assistant.planning.round_plan import Making, plan_round
from assistant.planning.small_doses import SmallDoses, reading_error_percent, small_doses
from tests.dosing_scene import confirmed, medicine
from tests.plan_scene import KIT, LARGE, SMALL, WISHES, bird, plan
from tests.stock_scene import MORNING

TEN = Syringe(Decimal(10), Decimal("0.5"))
TINY: Species = replace(SMALL, low_g=Decimal(5), high_g=Decimal(900), mean_g=None)


def test_a_ring_or_a_name_puts_a_bird_before_those_with_neither():
    both, ringed = bird("95", name="Zoe", ring="9"), bird("95", ring="5")
    named, neither = bird("95", name="Kim"), bird("90")
    assert in_order((neither, both, named, ringed)) == (ringed, both, named, neither)


def test_of_birds_that_are_alike_the_weighed_ones_come_first():
    assert [one.grams for one in in_order((bird(None), bird("95"), bird("90")))] == [90, 95, None]


def test_a_dose_of_the_plan_bears_the_cautions_for_its_bird():
    told = Caution("finch", "May bring it up.", refuses=False)
    (planned,) = plan_round(
        [bird("95")], confirmed(replace(medicine(), cautions=(told,))), KIT, WISHES
    ).birds
    assert isinstance(planned.outcome, Dose)
    assert [one.text for one in planned.outcome.warnings] == ["May bring it up."]


def test_an_odd_weight_is_told_to_a_tenth_of_a_gram():
    (planned,) = plan(bird("24.26", SMALL)).birds
    assert isinstance(planned.outcome, ToAsk)
    assert planned.outcome.said.startswith("24.3 grams? ")


def test_the_last_weighing_is_the_one_that_counts():
    earlier = Had(date(2026, 1, 5), Decimal("0.47"), Decimal("60.26"))
    later = Had(date(2026, 2, 1), Decimal("0.47"), Decimal("95.26"))
    past = Past(date(2026, 3, 11), {"Pepper": {"One": earlier, "Two": later}})
    (planned,) = plan_round([bird("85.14", name="Pepper")], medicine(), KIT, WISHES, past).birds
    assert isinstance(planned.outcome, ToAsk)
    assert planned.outcome.said == ("85.1 grams? It was 95.3 grams on 1 February. Weigh it again.")
    (fine,) = plan_round([bird("94", name="Pepper")], medicine(), KIT, WISHES, past).birds
    assert isinstance(fine.outcome, Dose)


def test_a_label_tells_what_is_in_the_pot():
    made = plan(bird("95"))
    (label,) = pot_labels(made, MORNING)
    assert made.making is not None
    product, water = made.making.mix.product_ml, made.making.mix.water_ml
    assert label.made == f"{product} mL of product and {water} mL of water"
    (neat,) = pot_labels(plan(bird("95"), dilution={"product": 1, "water": 0}), MORNING)
    assert "water" not in neat.made


def test_where_nothing_is_made_up_no_label_is_printed():
    assert pot_labels(plan(), MORNING) == ()


@pytest.mark.parametrize(
    ("off", "said"), [("0", ""), ("2", "2 % stronger than meant"), ("-1", "1 % weaker than meant")]
)
def test_without_a_strength_a_label_tells_only_how_far_it_is_off(off: str, said: str):
    unknown = replace(medicine(), strength_mg_per_ml=None)
    mix = Mix(Measured(TEN, Decimal(5), 1, Decimal(5)), None)
    assert strength_words(unknown, Making(1, mix, Fraction(off))) == said


def test_the_birds_of_a_plan_are_told_apart_by_what_they_get():
    made = plan(bird("95"), bird(None), bird("50"), bird("95", replace(LARGE, crop=Crop.NONE)))
    told = [made.dosed, made.unweighed, made.questions, made.refused]
    assert [len(one) for one in told] == [1, 1, 1, 1]
    assert made.unweighed[0].bird.grams is None


def test_a_round_of_more_than_five_hundred_pots_is_not_planned():
    most = plan(bird("95"), wishes=replace(WISHES, days=500))
    assert most.making is not None
    assert most.making.batches == 500
    assert plan(bird("95"), wishes=replace(WISHES, days=501)).making is None


def test_what_cannot_be_drawn_from_a_pot_any_more_is_the_largest_draw_of_each_but_one():
    need = plan(bird("95"), bird("80"), wishes=replace(WISHES, days=3)).need
    assert need.unreached_ml == 2 * Decimal("0.67")
    assert (
        need.total_ml
        == (Fraction(need.upper_ml) + Fraction(need.kept_ml) + Fraction(need.unreached_ml))
        + need.spare_ml
    )


def test_one_pot_more_is_made_up_where_the_marks_make_one_too_many():
    # 20 birds of 95 g and the needle want 10.8 mL; 9.5 mL of water make less, 10 mL too much
    kit = replace(KIT, syringes=(KIT.syringes[0], TEN), pots=(Pot(Decimal("10.9")),))
    wished = replace(WISHES, spare_percent=Decimal("12.5"))
    made = plan(*[bird("95")] * 20, kit=kit, wishes=wished)
    assert made.making is not None
    assert made.making.batches == 2


def found(*grams: str, **kit: object) -> SmallDoses | None:
    """The small doses among birds of these weights, with some things of the kit changed."""
    changed = replace(KIT, **kit)  # type: ignore[arg-type]  # each test names a field it knows
    return small_doses(plan(*[bird(one, TINY) for one in grams], kit=changed), changed)


def test_the_error_of_a_dose_is_that_of_its_mark_and_of_its_syringe():
    # 13 g at 5 mL/kg are 0.065 mL, read as 0.06; ISO 7886-1 from memory: 1.5 % of 1 mL, 2 % of it
    (planned,) = plan(bird("13", TINY)).birds
    assert isinstance(planned.outcome, Dose)
    mark, standard = Fraction("0.005") / Fraction("0.065"), Fraction("0.0162") / Fraction("0.06")
    assert reading_error_percent(planned.outcome) == (mark + standard) * 100


def test_an_error_on_the_limit_is_no_small_dose():
    # 12 g are 0.06 mL, 27 % off by the standard
    assert found("12", rounding_limit_percent=Decimal(27)) is None
    assert found("12", rounding_limit_percent=Decimal("26.9")) is not None


def test_the_worst_of_several_small_doses_is_told():
    small = found("12", "20")
    assert small is not None
    assert (small.worst_percent, len(small.birds)) == (Fraction(27), 2)


def test_a_finer_syringe_on_the_limit_will_do():
    # a 0.3 mL syringe reads 0.06 mL to 1.5 % of 0.3 mL and 2 % of 0.06 mL, which is 9.5 %
    small = found("12", rounding_limit_percent=Decimal("9.5"))
    assert small is not None
    assert small.finer == Syringe(Decimal("0.3"), Decimal("0.02"))
    tighter = found("12", rounding_limit_percent=Decimal("9.4"))
    assert tighter is not None
    assert tighter.finer != Syringe(Decimal("0.3"), Decimal("0.02"))


def test_a_finer_syringe_reads_the_smallest_dose_and_all_that_it_holds():
    small = found("12", "40", syringes=(TEN,))
    assert small is not None
    alone = found("12", syringes=(TEN,))
    assert alone is not None
    assert small.finer == alone.finer == Syringe(Decimal("0.3"), Decimal("0.02"))


def test_birds_that_are_asked_about_or_refused_are_no_small_doses():
    odd, uncropped = bird("60", SMALL), bird("12", replace(TINY, crop=Crop.NONE))
    assert small_doses(plan(odd, uncropped), KIT) is None


def test_a_weaker_dilution_on_the_limit_will_do():
    # 1 in 25 makes 0.2 mL of 16 g: 1.5 % of 1 mL and 2 % of it are 9.5 %
    kit = replace(KIT, rounding_limit_percent=Decimal("9.5"))
    made = plan(bird("16", replace(TINY, high_g=Decimal(16))), kit=kit, weaker_dilutions=["1 + 24"])
    small = small_doses(made, kit)
    assert small is not None
    assert small.weaker == Dilution(Decimal(1), Decimal(24))
