from __future__ import annotations

import re
from dataclasses import replace
from datetime import datetime
from decimal import Decimal
from html.parser import HTMLParser

import pytest

from assistant.adapters.paper.pot_label import label_page
from assistant.adapters.paper.round_sheet import round_sheet
from assistant.adapters.terminal.plan_lines import plan_lines
from assistant.dosing.dose import Dose
from assistant.planning.pot_label import pot_labels
from assistant.planning.round_plan import Plan, Wishes
from tests.plan_scene import KIT, LARGE, SMALL, WISHES, bird, plan

AT = datetime.fromisoformat("2026-11-28T08:00:00+00:00")


class Page(HTMLParser):
    """The elements of a page with their attributes, and its text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Keep the element."""
        self.elements.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        """Keep the text."""
        self.text += data

    def of(self, name: str) -> list[dict[str, str | None]]:
        """The attributes of every element of this class."""
        return [one for _, one in self.elements if (one.get("class") or "").startswith(name)]


def sheet(made: Plan) -> Page:
    return Page(round_sheet(made, AT, KIT))


@pytest.mark.parametrize("grams", ["80", "95", "125"])
def test_both_marks_stand_where_their_volumes_are_on_the_scale(grams: str):
    made = plan(bird(grams))
    page, dose = sheet(made), made.birds[0].outcome
    assert isinstance(dose, Dose)
    (barrel,) = page.of("barrel")
    left, width = Decimal(str(barrel["x"])), Decimal(str(barrel["width"]))
    marks = {str(one["class"]): one for one in page.of("mark")}
    for name, volume in (("mark fill", dose.draw_to_ml), ("mark push", dose.volume_ml)):
        stands = (Decimal(str(marks[name]["x1"])) - left) / width * dose.syringe.capacity_ml
        assert abs(stands - volume) <= Decimal("0.001")
        assert marks[name]["data-ml"] == f"{volume.normalize():f}"
    assert f"push to {dose.volume_ml.normalize():f}" in page.text


def test_only_a_weighed_usual_bird_has_marks():
    made = plan(bird("95"), bird(None), bird("50"), bird("5"))
    page = sheet(made)
    assert len(page.of("mark fill")) == len(page.of("mark push")) == 1
    assert len(page.of("syringe")) == 2
    assert "50 grams? Usually 80 to 125 grams" in page.text
    assert "No dose. " in page.text
    assert page.text.count("not given") == 2


def test_the_sheet_says_what_it_is_for():
    page = sheet(plan(bird("95"), form="suspension"))
    assert "Demo medicine, never for a real bird." in page.text
    assert "1 part product and 9 parts water" in page.text
    assert "Shake the pot before every draw." in page.text
    assert "Check that the needle is tight" in page.text
    assert "Shake" not in sheet(plan(bird("95"), form="solution")).text


def test_a_dose_too_small_for_its_syringe_is_marked_as_such():
    page = sheet(plan(bird("12", replace(SMALL, low_g=Decimal(10))), bird("95")))
    assert page.text.count("A small dose: on this syringe it may be 27 % off.") == 1


def test_what_is_said_with_a_dose_stands_on_the_sheet():
    cautions = [{"for": "tester", "say": "Watch it for an hour.", "refuse": False}]
    page = sheet(plan(bird("95"), cautions=cautions, safety_multiple=Decimal("1.3")))
    assert "Watch it for an hour." in page.text
    assert "Never fill a full needle past the mark" in page.text


def test_names_in_a_list_cannot_change_the_page():
    page = sheet(plan(bird("95", name="<b>Pip</b>", cage="<script>")))
    assert not page.of("script")
    assert "<b>Pip</b>" in page.text
    assert "script" not in [name for name, _ in page.elements]


def test_the_label_says_how_strong_and_until_when():
    made = plan(*[bird("95")] * 18, keeps_days=2, storage="cool and dark")
    text = Page(label_page(pot_labels(made, AT))).text
    for said in (
        "1 in 10: 1 part product and 9 parts water",
        "2.5 mg of demosol in each mL",
        "Batch number \N{NO-BREAK SPACE}",
        "Made up on 28 November 2026, 08:00",
        "Throw away by 30 November 2026, 08:00",
        "Shake before each draw.",
        "Keep: cool and dark",
        "Demo medicine, never for a real bird.",
    ):
        assert said in text


def test_each_pot_of_a_longer_round_has_its_own_label_and_days():
    days = Wishes(WISHES.change, WISHES.spare_percent, days=4)
    labels = pot_labels(plan(*[bird("95")] * 20, wishes=days, keeps_days=2), AT)
    assert [(one.number, one.of, one.made_at.day) for one in labels] == [(1, 2, 28), (2, 2, 30)]
    text = Page(label_page(pot_labels(plan(bird("95")), AT))).text
    assert "Throw away at the end of the day: no keeping time is stated" in text


def test_the_first_lines_say_what_to_make_up_and_lay_out():
    made = plan(bird("95", name="Pip"), bird(None, SMALL), bird("5"))
    head, make, lay_out, tight, demo, *rest = plan_lines(made)
    assert head == (
        "Marigold Demo, 1 in 10: 3 birds, 1 weighed, 1 to be weighed, 1 without a dose."
    )
    assert re.fullmatch(r"Make up \S+ mL: \S+ mL of product and \S+ mL of water\.", make)
    assert lay_out == (
        "Lay out syringes: 1 mL syringe (2). Needles, 14 gauge, 75 mm: 1 and one to spare."
    )
    assert (tight[:5], demo) == ("Check", "Demo medicine, never for a real bird.")
    assert any(line.startswith("No dose: Large bird") for line in rest)
    assert rest[-1] == (
        "  Pip, Large bird, 95 g: 0.47 mL on the 1 mL syringe (may be 6 % off); "
        "dry needle: fill to 0.67, push to 0.47"
    )


def test_birds_of_one_kind_that_get_no_dose_are_told_once():
    lines = list(plan_lines(plan(*[bird("5")] * 3, bird("95", LARGE))))
    assert (
        len([line for line in lines if line.startswith("No dose: Large bird (3 of them). ")]) == 1
    )
