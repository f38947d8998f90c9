"""What the pictures of a record are drawn from."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.adapters.paper import plots
from assistant.dosing.dose_end import DoseEnd
from assistant.records.glance import (
    ENDS,
    MOST_BARS,
    SpeciesWeights,
    doses_over_time,
    over_time,
    weights_by_bird,
    weights_by_species,
)
from assistant.records.treatment import Treatment
from tests.talk_scene import demo_holding
from tests.unit.test_records_treatment import SAID

FIRST = date(2026, 3, 1)  # a Sunday


def labels(*days: int) -> list[str]:
    return [one.label for one in over_time([(FIRST + timedelta(days=d), "k", 1) for d in days])]


def test_a_few_days_are_counted_by_the_day_with_the_empty_ones_between():
    assert labels(0, 3) == ["1 Mar", "2 Mar", "3 Mar", "4 Mar"]


def test_more_days_are_counted_by_the_week_that_begins_on_monday():
    # ISO 8601: a week begins on Monday; 1 March 2026 is a Sunday
    assert labels(0, 31)[:3] == ["23 Feb", "2 Mar", "9 Mar"]
    assert len(labels(0, 31)) == 6


def test_years_are_counted_by_the_month_and_many_years_by_the_year():
    assert labels(0, 300)[:2] == ["Mar 2026", "Apr 2026"]
    assert labels(0, 3000) == [str(year) for year in range(2026, 2035)]


@given(st.lists(st.tuples(st.integers(0, 4000), st.sampled_from("ab"), st.integers(0, 9))))
def test_no_count_is_lost_and_there_are_never_too_many_bars(events: list[tuple[int, str, int]]):
    dated = [(FIRST + timedelta(days=day), kind, number) for day, kind, number in events]
    found = over_time(dated)
    total: Counter[str] = Counter()
    for one in found:
        total.update(one.counts)
    wanted: Counter[str] = Counter()
    for _, kind, number in events:
        wanted[kind] += number
    assert +total == +wanted
    assert len(found) <= MOST_BARS + 2
    assert len({one.label for one in found}) == len(found)


def ended(end: DoseEnd | None, grams: int = 95) -> Treatment:
    return replace(SAID, end=end, patient=replace(SAID.patient, grams=Decimal(grams)))


@pytest.mark.parametrize("end", [*DoseEnd, None])
def test_every_end_has_its_kind_and_only_one(end: DoseEnd | None):
    (tally,) = doses_over_time([ended(end)])
    assert sum(tally.counts.values()) == 1
    assert sum(end in ends for ends in ENDS.values()) == 1


def test_weights_stand_beside_the_range_of_their_species():
    some = [ended(DoseEnd.GIVEN), ended(DoseEnd.NOT_GIVEN, 88), ended(DoseEnd.SCRATCHED, 30)]
    (found,) = weights_by_species(some, demo_holding().aviary.species_list)
    weights = (Decimal(95), Decimal(88))
    assert found == SpeciesWeights("Cockatiel", weights, Decimal(80), Decimal(125))
    (unknown,) = weights_by_species(some, ())
    assert (unknown.low_g, unknown.high_g) == (None, None)


def weighed(name: str, day: int, grams: int, end: DoseEnd = DoseEnd.GIVEN) -> Treatment:
    patient = replace(SAID.patient, bird=name, ring=None, grams=Decimal(grams))
    return replace(SAID, patient=patient, said_at=SAID.said_at + timedelta(days=day), end=end)


def test_the_weights_of_a_bird_stand_in_the_order_of_time_without_what_was_scratched():
    rows = [("Pepper", 9, 84), ("Saffron", 1, 31), ("Pepper", 0, 96)]
    some = [weighed(*row) for row in rows] + [weighed("Pepper", 5, 40, DoseEnd.SCRATCHED)]
    pepper, saffron = weights_by_bird(some)
    assert [one.grams for one in pepper.weighings] == [96, 84]
    assert pepper.fast_loss is not None
    assert (pepper.fast_loss.percent, pepper.fast_loss.days) == (Fraction(25, 2), 9)
    assert saffron.fast_loss is None


@given(st.lists(st.tuples(st.integers(0, 900), st.integers(1, 5000)), min_size=2, max_size=12))
def test_every_weight_of_a_line_lies_in_the_picture(rows: list[tuple[int, int]]):
    (one,) = weights_by_bird([weighed("Pepper", day, grams) for day, grams in rows])
    text = plots.weight_line(one.weighings)
    across = [float(part.split('"')[0]) for part in text.split('cx="')[1:]]
    down = [float(part.split('"')[0]) for part in text.split('cy="')[1:]]
    assert len(across) == len(down) == len(rows)
    assert all(90 < place < plots.WIDTH - 20 for place in across)
    assert all(0 < place < 240 for place in down)


@given(
    st.lists(st.decimals(1, 5000, places=1), min_size=1, max_size=20),
    st.none() | st.tuples(st.integers(1, 500), st.integers(1, 500)).map(sorted),
)
def test_every_mark_of_a_strip_lies_in_the_picture(grams: list[Decimal], ends: list[int] | None):
    low, high = map(Decimal, ends) if ends else (None, None)
    text = plots.strip(SpeciesWeights("A bird", tuple(grams), low, high))
    places = [float(part.split('"')[0]) for part in text.split('cx="')[1:]]
    places += [float(part.split(" ")[0]) for part in text.split('d="M')[1:]]
    assert places
    assert all(200 < place < plots.WIDTH for place in places)
