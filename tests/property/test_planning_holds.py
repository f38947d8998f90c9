"""What holds of any plan: order and units change nothing, more birds never need less."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from assistant.dosing.dilution import Dilution
from assistant.dosing.kit import Kit
from assistant.dosing.measures import NeedleChange, Pot
from assistant.dosing.quantities import Kind, grams, parse
from assistant.dosing.syringe import Syringe
from assistant.planning.birds import ListedBird
from assistant.planning.measuring import Wanted, measure, most_in_one
from assistant.planning.round_plan import Plan, Wishes
from assistant.stock.batch import MOST_OFF, why_not_made
from tests.plan_scene import KIT, LARGE, PUMPED, SMALL, plan

weights = st.none() | st.integers(min_value=300, max_value=1300).map(lambda n: Decimal(n) / 10)
birds = st.builds(
    ListedBird,
    species=st.sampled_from([SMALL, LARGE]),
    grams=weights,
    cage=st.sampled_from(["", "Aviary 2", "Aviary 10"]),
    name=st.sampled_from(["", "Pepper", "Saffron"]),
)
changes = st.sampled_from(list(NeedleChange))
kits = st.sampled_from([KIT, PUMPED, replace(KIT, pots=()), replace(KIT, pots=(Pot(Decimal(6)),))])
wishes = st.builds(
    Wishes,
    change=changes,
    spare_percent=st.integers(min_value=0, max_value=30).map(Decimal),
    days=st.integers(min_value=1, max_value=4),
)


def stock(made: Plan) -> tuple[Fraction, ...]:
    """All that a plan wants of the stock."""
    making = made.making
    amounts = [making.total_ml, Decimal(making.batches)] if making else [Decimal(0), Decimal(0)]
    return made.need.total_ml, *map(Fraction, [made.need.kept_ml, *amounts])


@given(
    st.lists(birds, max_size=9).flatmap(
        lambda some: st.tuples(st.just(some), st.permutations(some))
    ),
    wishes,
)
def test_any_order_of_birds_gives_the_same_plan(
    both: tuple[list[ListedBird], list[ListedBird]], wished: Wishes
):
    listed, shuffled = both
    assert plan(*listed, wishes=wished) == plan(*shuffled, wishes=wished)


@given(st.lists(birds, max_size=9), birds, wishes, kits)
def test_one_more_bird_never_needs_less(
    some: list[ListedBird], more: ListedBird, wished: Wishes, kit: Kit
):
    before = stock(plan(*some, wishes=wished, kit=kit))
    after = stock(plan(*some, more, wishes=wished, kit=kit))
    assert all(now >= then for then, now in zip(before, after, strict=True))


@given(st.integers(min_value=26, max_value=130), st.sampled_from([("kg", "0.001"), ("mg", "1000")]))
def test_units_never_change_a_plan(weight: int, unit: tuple[str, str]):
    name, in_a_gram = unit
    read = grams(parse(f"{weight * Decimal(in_a_gram)} {name}", Kind.MASS))
    assert plan(ListedBird(LARGE, read)) == plan(ListedBird(LARGE, Decimal(weight)))


@given(st.lists(birds, min_size=1, max_size=9), wishes, kits)
def test_what_is_made_up_is_enough_fits_and_the_books_take_it(
    some: list[ListedBird], wished: Wishes, kit: Kit
):
    made = plan(*some, wishes=wished, kit=kit)
    if made.making is None:
        assert made.need.total_ml == 0
        return
    mix = made.making.mix
    assert made.making.total_ml >= made.need.total_ml
    assert all(mix.total_ml <= pot.capacity_ml for pot in kit.pots[-1:])
    assert why_not_made(mix.product_ml, mix.water_ml, made.medicine.dilution) is None


sizes = st.sampled_from([("1", "0.01"), ("1", "0.05"), ("2.5", "0.1"), ("5", "0.2"), ("20", "1")])
syringes = st.lists(
    sizes.map(lambda size: Syringe(Decimal(size[0]), Decimal(size[1]))), min_size=1, max_size=4
)
volumes = st.fractions(min_value=Fraction(1, 10), max_value=90, max_denominator=97)

strengths = st.sampled_from([Fraction(0), MOST_OFF])


@given(syringes, volumes, volumes, st.integers(min_value=0, max_value=19), strengths)
def test_more_wanted_never_makes_less_and_every_amount_is_on_a_mark(
    some: list[Syringe], one: Fraction, other: Fraction, water: int, stronger: Fraction
):
    kit = replace(KIT, syringes=tuple(some), pots=())
    dilution = Dilution(Decimal(1), Decimal(water))
    most, totals = most_in_one(kit, dilution), []
    for total in sorted((one, other)):
        mix = measure(Wanted(total, most, dilution, never_stronger=not stronger), kit)
        totals.append(mix.total_ml if mix else None)
        if mix:
            off = mix.percent_off(dilution) / 100
            assert -MOST_OFF <= off <= stronger
            assert mix.total_ml >= total
            for part in filter(None, (mix.product, mix.water)):
                assert isinstance(part.tool, Syringe)
                assert part.volume_ml % part.tool.graduation_ml == 0
    assert None in totals or totals == sorted(filter(None, totals))
