"""Where the hearing draws its lines: leads, pitches, and the phrases of an enrolment."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from assistant.adapters.home.folder import species_table
from assistant.dosing.species import Aviary, read_birds
from assistant.hearing.decision import WITH_BOTH, Opinions, lead, probability
from assistant.hearing.enrolment import ToRead, own_names, phrases
from assistant.hearing.evidence import Evidence
from assistant.hearing.pitches import averaged
from tests.dosing_scene import species
from tests.unit.test_decision import heard, written
from tests.unit.test_pitches import at_pitch


@pytest.mark.parametrize(("strain", "found"), [(4.0, -1.5), (4.01, 0.0)])
def test_a_strain_of_four_is_the_last_at_which_the_writing_ear_speaks_against(
    strain: float, found: float
):
    assert lead(written(strain, 1.5), "b".__eq__) == pytest.approx(found)


@pytest.mark.parametrize("writing", [None, 0.0])
def test_a_writing_ear_without_an_opinion_adds_nothing(writing: float | None):
    by = WITH_BOTH
    score = by.constant + by.margin * 2.0 + by.strain * 1.5 + by.other
    asked = Opinions(writing, other=True)
    assert probability(heard(2.0, 1.5), asked) == pytest.approx(1 / (1 + math.exp(-score)))


def test_what_is_not_found_at_a_pitch_lies_four_behind_what_is():
    both = at_pitch(0.0, eight=2.0, six=2.5)
    found = averaged([at_pitch(0.0, six=1.0), both], str)
    assert [one.score for one in found.readings] == pytest.approx([-1.75, -(5.0 + 2.0) / 2])


def test_where_nothing_is_found_all_lies_four_behind_the_worst_pitch():
    found = averaged([at_pitch(0.0, six=1.0), at_pitch(0.0, six=3.0), at_pitch(0.0)], str)
    assert [one.score for one in found.readings] == pytest.approx([-(1.0 + 3.0 + 7.0) / 3])


def test_what_else_is_known_of_a_sound_is_as_at_its_own_pitch():
    own, other, last = (Evidence((), 1.0, text) for text in ("own", "other", "last"))
    assert averaged([own, other, last], str) is own
    cut = replace(at_pitch(0.0, six=1.0), free="own", cut_off=True)
    found = averaged([cut, at_pitch(0.0, six=1.0), at_pitch(0.0, six=1.0)], str)
    assert (found.free, found.cut_off) == ("own", True)


def test_a_weight_is_read_from_just_above_the_low_end_to_1_3_times_the_high_one():
    # 1.3 times 69.5 g is 90.35 g
    found = phrases(Aviary((species("29", "69.5"),)))
    assert {one.grams for one in found} == {30, 40, 50, 60, 70, 80, 90, 37, 46, 58, 69}
    narrower = phrases(Aviary((species("30", "69.2"),)))
    assert {one.grams for one in found} - {one.grams for one in narrower} == {30, 90}


def test_nine_names_are_read_where_none_is_the_keepers_own():
    read = phrases(Aviary(species_table()))
    assert len({one.name for one in read}) == 9
    common = {one.names[0] for one in species_table()}
    assert {one.name for one in read} <= common


def test_the_first_names_are_of_many_groups():
    groups = {one.names[0]: one.group for one in species_table()}
    assert len({groups[one.name] for one in phrases(Aviary(species_table()))}) == 6


def test_a_name_with_an_apostrophe_is_read_and_one_that_is_there_twice_is_read_as_one():
    table = {
        "aliases": {"kim's bird": "Galah", "galah": "Galah"},
        "bird": [{"name": "Pip", "species": "Cockatiel"}],
    }
    aviary = read_birds(table, species_table(), "birds.toml")
    names = [one.name for one in phrases(aviary)]
    assert {"kim's bird", "galah", "pip"} <= set(names)
    assert len(set(names)) == 9
    assert {name for name, _ in own_names(aviary)} == {"kim's bird", "galah", "pip"}


def test_a_number_is_read_in_words_by_itself():
    assert ToRead("galah", 313) == ToRead("galah", 313, figures=False)
    assert ToRead("galah", 313).number == "three hundred and thirteen"
