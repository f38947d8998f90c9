"""A row of the species table, read field by field, and lines drawn through what is read."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from assistant.dosing.cautions import unmatched_cautions
from assistant.dosing.label import Caution
from assistant.dosing.species import Crop, Species, read_species_csv
from assistant.dosing.syringe import Syringe
from tests.dosing_scene import medicine, species

TABLE = """# a comment, which is no row

name,aliases,scientific,group,mean_g,mean_source,low_g,high_g,range_source,range_basis,crop
Demo finch,tiny;small one,Avis parva,finch,12.5,a handbook,10,16,a keeper,keeper,true
Demo gull,,Avis magna,gull,,,300,900,a handbook,handbook,none
"""
"""Invented."""


def test_a_row_of_the_table_is_read_field_by_field():
    finch, gull = read_species_csv(TABLE)
    assert finch == Species(
        name="Demo finch",
        aliases=("tiny", "small one"),
        scientific="Avis parva",
        group="finch",
        mean_g=Decimal("12.5"),
        mean_source="a handbook",
        low_g=Decimal(10),
        high_g=Decimal(16),
        range_source="a keeper",
        range_basis="keeper",
        crop=Crop.TRUE,
    )
    assert (gull.aliases, gull.mean_g, gull.crop) == ((), None, Crop.NONE)


def test_a_syringe_half_full_errs_as_a_full_one():
    # ISO 7886-1:1993 table 1, from memory: from half its capacity on 4 % of what is expelled
    ten = Syringe(Decimal(10), Decimal("0.5"))
    assert ten.tolerance_ml(Decimal(5)) == Decimal("0.2")
    assert ten.tolerance_ml(Decimal("4.5")) == Decimal("0.195")


def test_a_caution_for_one_known_bird_of_many_is_heard():
    told = replace(medicine(), cautions=(Caution("finch", "Slowly.", refuses=False),))
    other = replace(species(), group="gull", name="Demo gull", aliases=())
    assert unmatched_cautions(told, (species(), other), "m") == ()
    assert len(unmatched_cautions(told, (other,), "m")) == 1
