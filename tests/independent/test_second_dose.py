"""A hundred thousand random birds, worked out by the package and by `tests/second_dose.py`."""

from __future__ import annotations

import ast
import re
from collections import Counter
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from random import Random
from typing import Any

import pytest

from assistant.conversation.dose_reply import Answer as Telling
from assistant.conversation.dose_reply import dose_reply
from assistant.dosing.dose import Dose, DoseRequest, Refusal, Tools, work_out
from assistant.dosing.medicine import Medicine
from assistant.dosing.needle import Needle, NeedleState
from assistant.dosing.quantities import grams, mass
from assistant.dosing.syringe import Syringe
from tests import second_dose
from tests.dosing_scene import medicine, species
from tests.second_dose import Case

MEDICINES, BIRDS_EACH, PARTS = 10_000, 10, 20
SYRINGES = ("0.3 0.01", "0.5 0.01", "1 0.01", "1 0.02", "2.5 0.1", "3 0.1", "5 0.2", "10 0.5")


def seeded(seed: int) -> Random:
    """The same chances each time."""
    return Random(seed)  # noqa: S311 - the same birds each time


def random_label(chance: Random) -> dict[str, Any]:
    """What a label may say, as the fields of a case."""
    by_mass = chance.random() < 0.4
    return {
        "dose": f"{chance.uniform(1, 40) if by_mass else chance.uniform(0.02, 1.5):.2f}",
        "dose_unit": "mg/kg" if by_mass else "mL/kg",
        "strength": f"{chance.uniform(2, 100):.1f}",
        "product": str(chance.randint(1, 3)),
        "water": str(chance.choice((0, 1, 4, 9, 10, 19, 40))),
        "maximum": chance.random() < 0.2,
        "multiple": f"{chance.uniform(1, 8):.1f}",
    }


def random_case(chance: Random, label: dict[str, Any] | None = None) -> Case:
    """A bird of 8 g to 2 kg, with anything that a label, a scale or a kit may say."""
    low = chance.choice((8, 12, 25, 40, 80, 250, 400, 900))
    unit = chance.choices(("g", "kg", "oz", "lb"), (12, 2, 1, 1))[0]
    weighed = Fraction(low * chance.uniform(0.35, 3.5)) / second_dose.GRAMS[unit]
    held = tuple(tuple(one.split()) for one in chance.sample(SYRINGES, chance.randint(1, 4)))
    return Case(
        **(label or random_label(chance)),
        low_g=str(low),
        high_g=str(round(low * chance.uniform(1, 1.8))),
        weight=f"{float(weighed):.{0 if unit == 'g' else 3}f}",
        unit=unit,
        scale_g=chance.choice(("0.1", "1", "2", "5")),
        syringes=held,  # type: ignore[arg-type]  # each of these texts is two words
        current=chance.choice((None, *range(len(held)))),
        limit_percent=str(chance.choice((2, 5, 10))),
        gauge=chance.randint(8, 24),
        length_mm=str(chance.choice((25, 38, 50, 75, 100))),
        full=chance.random() < 0.5,
    )


def our_medicine(case: Case) -> Medicine:
    """The label of this case, read and confirmed."""
    return medicine(
        dose=f"{case.dose} {case.dose_unit}",
        strength=f"{case.strength} mg/mL",
        dilution={"product": Decimal(case.product), "water": Decimal(case.water)},
        dose_is_maximum=case.maximum,
        safety_multiple=Decimal(case.multiple),
    )


def ours(case: Case, made: Medicine | None = None) -> tuple[DoseRequest, Tools]:
    """The same bird, as the package takes it."""
    held = tuple(Syringe(Decimal(holds), Decimal(step)) for holds, step in case.syringes)
    wanted = DoseRequest(
        species=species(case.low_g, case.high_g),
        grams=grams(mass(Decimal(case.weight), case.unit)),
        medicine=made or our_medicine(case),
        needle=Needle(case.gauge, Decimal(case.length_mm)),
        state=NeedleState.FULL if case.full else NeedleState.DRY,
    )
    current = None if case.current is None else held[case.current]
    limit, scale = Decimal(case.limit_percent), Decimal(case.scale_g)
    return wanted, Tools(held, current, limit, scale)


def agree(case: Case, second: second_dose.Answer, scene: tuple[DoseRequest, Tools]) -> None:
    """Hold the package's answer against the second one."""
    first = work_out(*scene)
    if isinstance(first, Refusal):
        assert str(first.reason) == second.refused, case
        return
    assert second.refused == "", case
    assert first.exact_ml == second.exact, case
    assert Fraction(first.volume_ml) == second.give, case
    assert Fraction(first.draw_to_ml) == second.draw, case
    assert first.syringe == scene[1].syringes[second.syringe], case


def said_volumes(text: str) -> list[Fraction]:
    """Every volume in a reply, in its order."""
    return [Fraction(one) for one in re.findall(r"([0-9.]+) mL(?! syringe)", text)]


@pytest.mark.parametrize("part", range(PARTS))
def test_both_workings_out_agree_on_every_bird(part: int):
    chance = seeded(part)
    met: Counter[str] = Counter()
    labels = [random_label(chance) for _ in range(MEDICINES // PARTS)]
    for label in labels:
        made = our_medicine(random_case(chance, label))
        for _ in range(BIRDS_EACH):
            case = random_case(chance, label)
            second = second_dose.answer(case)
            met[second.refused] += 1
            agree(case, second, ours(case, made))
    # a scene that met no refusal, or no dose, would show little
    assert {"", "weight", "crop", "too_big", "too_small", "margin"} <= met.keys()
    assert met[""] * 5 > met.total()


def told(asked: DoseRequest, dose: Dose) -> str:
    """What is said of a dose in the middle of a round."""
    telling = Telling(
        one=asked.species,
        grams=asked.grams,
        dose=dose,
        medicine=asked.medicine,
        needle=asked.needle,
        state=asked.state,
        say_medicine=False,
        say_syringe=False,
        corrected=False,
        tare_g=None,
        one_shot=False,
        refitted=False,
        shake=False,
        short=False,
    )
    return dose_reply(telling).said


@pytest.mark.parametrize("part", range(4))
def test_what_is_said_is_what_was_worked_out_a_second_time(part: int):
    chance = seeded(1000 + part)
    heard = 0
    while heard < 500:
        case = random_case(chance)
        second = second_dose.answer(case)
        asked, tools = ours(case)
        first = work_out(asked, tools)
        if not isinstance(first, Dose):
            continue
        heard += 1
        spoken = told(asked, first)
        assert said_volumes(spoken)[0] == second.give, spoken
        assert second.draw in said_volumes(spoken), spoken
        weighed = Fraction(case.weight) * second_dose.GRAMS[case.unit]
        read_back = Fraction(spoken.split(" gram")[0].rpartition(" ")[2])
        assert abs(read_back - weighed) <= Fraction(1, 20), spoken


@pytest.mark.parametrize("part", range(4))
def test_a_heavier_bird_never_gets_less_on_the_same_syringe(part: int):
    chance = seeded(2000 + part)
    for _ in range(300):
        case = replace(random_case(chance), unit="g", weight="100", low_g="60", high_g="160")
        case = replace(case, syringes=case.syringes[:1], current=None)
        given = Fraction(0)
        for weight in range(40, 301, 20):
            found = work_out(*ours(replace(case, weight=str(weight))))
            if isinstance(found, Dose):
                assert Fraction(found.volume_ml) >= given, case
                given = Fraction(found.volume_ml)


@pytest.mark.parametrize("part", range(4))
def test_the_same_weight_in_any_unit_gives_the_same_dose(part: int):
    chance = seeded(3000 + part)
    for _ in range(300):
        case = replace(random_case(chance), unit="g", weight=str(chance.randint(20, 900)))
        in_kg = replace(case, unit="kg", weight=f"{int(case.weight) / 1000:.3f}")
        assert work_out(*ours(case)) == work_out(*ours(in_kg))


def test_the_second_working_out_imports_nothing_of_ours():
    tree = ast.parse(Path(second_dose.__file__).read_text("utf-8"))
    imported = {
        node.module if isinstance(node, ast.ImportFrom) else node.names[0].name
        for node in ast.walk(tree)
        if isinstance(node, ast.Import | ast.ImportFrom)
    }
    assert imported == {"__future__", "dataclasses", "fractions"}
