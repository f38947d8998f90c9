"""The fields that published rules ask of a treatment record, each with a column of its own."""

from __future__ import annotations

import pytest

from assistant.adapters.paper.treatment_sheet import sheet_of_treatments

# Regulation (EU) 2019/6, article 108 (2), letters a to i: b, c, f, g, h and i are facts of a
# treatment; d and e (supplier, proof of purchase) are papers that are kept beside the record.
EU = {
    "a: date of first administration": {"at"},
    "b: name of the product": {"medicine"},
    "c: quantity given": {"volume_ml"},
    "f: the animal or group": {"bird", "ring", "cage", "species", "birds"},
    "g: prescribing vet": {"prescriber"},
    "h: withdrawal period, even if zero": {"egg_days", "meat_days"},
    "i: duration": {"next_from", "next_until", "course_doses"},
}

# UK SI 2013/2033 as at October 2013: regulation 17 (at purchase), 18 (a vet gives it), 19 (at use)
UK = {
    "17: name and batch": {"medicine", "product_batch"},
    "18: date, name, batch, quantity, animals": {"at", "medicine", "product_batch", "volume_ml"},
    "19: date, name, quantity, withdrawal, animals": {"at", "egg_days", "meat_days", "species"},
}

# NSW Stock Medicines Regulation 2024: what a vet records
NSW = {
    "date, owner": {"at", "keeper", "holding"},
    "active constituent": {"active", "strength_mg_per_ml"},
    "dosage rate": {"label_dose", "mg_per_kg", "grams"},
    "manner of administration": {"route"},
    "withholding period": {"no_eggs_until", "no_meat_until"},
}


@pytest.mark.parametrize("rule", [*EU.items(), *UK.items(), *NSW.items()], ids=lambda rule: rule[0])
def test_every_field_that_a_rule_asks_for_has_its_columns(rule: tuple[str, set[str]]):
    assert rule[1] <= set(sheet_of_treatments([]).columns)
