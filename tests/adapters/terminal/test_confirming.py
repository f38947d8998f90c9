from __future__ import annotations

import tomllib
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from assistant.adapters.home.medicine_file import Vouching, with_confirmation
from assistant.adapters.home.setting_up import make_demo
from assistant.adapters.terminal.confirming import confirm
from assistant.adapters.terminal.read_back import read_back, worked_example
from assistant.dosing.dilution import Dilution
from assistant.dosing.label import Banding, Caution, Form, Interval, LabelDose
from assistant.dosing.medicine import ConfirmationState, Medicine, read_medicine
from assistant.errors import DataProblem, RegisterProblem, UsageProblem

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.adapters.conftest import Desks

YES = ("cockatiel 95 g", "yes", "")
PATH = Path("medicines.toml")
OWN = """\
# my medicines
[[medicine]]
name = "First"      # on the shelf
active="a"
dose   = "0.5 mL/kg"
dilution= { product = 1, water = 9 }
strength = "25 mg/mL"
form = "solution"
route = "crop"
source = "the label"
# a remark about the first

# what comes next is about the second
[[medicine]]
name = "Second"
active = "b"
dose = "1 mL/kg"
dilution = "neat"
form = "solution"
route = "crop"
source = "the label"
"""


def first() -> Medicine:
    return read_medicine(tomllib.loads(OWN)["medicine"][0], "first")


@pytest.fixture
def own(desks: Desks) -> Desks:
    """Desks for the demo's kit and two medicines that are not confirmed."""
    make_demo(desks.home)
    desks.home.medicines_file.write_bytes(OWN.encode("utf-8"))
    kit = desks.home.kit_file.read_text("utf-8").replace('"Marigold Demo"', '"First"')
    desks.home.kit_file.write_text(kit, "utf-8")
    return desks


def state(desks: Desks, name: str = "First") -> ConfirmationState:
    return {one.name: one.confirmation_state for one in desks.home.medicines()}[name]


def test_a_yes_confirms_the_figures_as_they_stand(own: Desks):
    assert confirm(own.answered(*YES), "first") is True

    (first, second) = own.home.medicines()
    assert first.confirmation is not None
    assert (first.confirmation.by, first.confirmation.on) == ("Demo Keeper", date(2026, 3, 1))
    assert first.is_confirmed
    assert second.confirmation is None


def test_the_confirmation_stands_in_the_register_with_its_digest(own: Desks):
    confirm(own.answered("cockatiel 95 g", "yes", "Ann"), "First")

    (note,) = own.register.notes()
    assert note.kind == "confirmed"
    assert note.text.startswith("First, 25 mg per mL, diluted 1 in 10, 0.5 mL/kg: confirmed by Ann")
    assert own.home.medicines()[0].figures in note.text


@pytest.mark.parametrize("answer", ["yes", "Y", "no", "n"])
def test_a_yes_too_many_is_nobodys_name(own: Desks, answer: str):
    assert confirm(own.answered("cockatiel 95 g", "yes", answer, "Ann"), "First") is True

    assert "That is no name." in own.keeper.heard
    confirmation = own.home.medicines()[0].confirmation
    assert confirmation is not None
    assert confirmation.by == "Ann"


def test_a_no_writes_nothing(own: Desks):
    assert confirm(own.answered("cockatiel 95 g", "no"), "First") is False

    assert own.home.medicines_file.read_text("utf-8") == OWN
    assert own.register.notes() == ()
    assert 'dosewren confirm "First"' in own.keeper.heard


@pytest.mark.parametrize("answer", ["", "y", "ok", "yes please", "yess"])
def test_only_a_whole_yes_confirms(own: Desks, answer: str):
    with pytest.raises(UsageProblem):
        confirm(own.answered("cockatiel 95 g", answer), "First")

    assert own.home.medicines_file.read_text("utf-8") == OWN


def test_comments_and_layout_stay_as_they_were(own: Desks):
    confirm(own.answered(*YES), "First")

    digest = own.home.medicines()[0].figures
    written = (
        f'confirmed_by = "Demo Keeper"\nconfirmed_on = 2026-03-01\nconfirmed_figures = "{digest}"\n'
    )
    remark = "# a remark about the first\n"
    expected = OWN.replace(remark, remark + written)
    assert own.home.medicines_file.read_text("utf-8") == expected


@pytest.mark.parametrize(
    "text",
    [
        OWN.replace("\n", "\r\n"),
        OWN.rstrip("\n"),
        OWN + "\n# the end\n",
        OWN.replace("# a remark about the first\n", "[medicine.banding]\nstep_g = 50\n"),
        OWN.replace(
            "dilution = { product = 1, water = 9 }", "dilution.product = 1\ndilution.water = 9"
        ),
        OWN.replace('"the label"', '"""the\nlabel"""'),
        OWN.replace('name = "First"', "confirmed_by = 'Old' # who\nname = \"First\""),
    ],
    ids=["crlf", "no last line end", "end", "subtable", "dotted", "multiline", "old"],
)
@pytest.mark.parametrize("place", [0, 1])
def test_any_layout_takes_a_confirmation_and_loses_no_line(text: str, place: int):
    medicine = read_medicine(tomllib.loads(text)["medicine"][place], "one")

    changed = with_confirmation(text, PATH, medicine, Vouching("Ann", date(2026, 3, 1)))

    after = [read_medicine(one, "after") for one in tomllib.loads(changed)["medicine"]]
    assert [one.is_confirmed for one in after] == [place == 0, place == 1]
    kept = [line for line in changed.splitlines() if not line.startswith("confirmed_")]
    old = [line for line in text.splitlines() if not line.startswith("confirmed_")]
    assert [line for line in kept if line] == [line for line in old if line]
    assert changed.count("\n") - changed.count("\r\n") in {0, changed.count("\n")}


def test_a_second_confirmation_replaces_the_first_in_the_file_and_follows_it_in_the_register(
    own: Desks,
):
    confirm(own.answered(*YES), "First")
    once = own.home.medicines_file.read_text("utf-8")

    confirm(own.answered("cockatiel 95 g", "yes", "Bea"), "First")

    assert own.home.medicines_file.read_text("utf-8") == once.replace("Demo Keeper", "Bea")
    assert len(own.register.notes()) == 2
    assert "was confirmed by Demo Keeper on 2026-03-01" in own.keeper.heard


def test_an_edit_of_a_figure_voids_the_confirmation_and_it_can_be_given_again(own: Desks):
    confirm(own.answered(*YES), "First")
    text = own.home.medicines_file.read_text("utf-8")
    own.home.medicines_file.write_text(text.replace("water = 9", "water = 4"), "utf-8")
    assert state(own) is ConfirmationState.EDITED_SINCE

    confirm(own.answered(*YES), "First")

    assert "its figures have been changed since" in own.keeper.heard
    assert state(own) is ConfirmationState.CONFIRMED


def test_the_keeper_sees_a_dose_at_100_g_and_one_for_a_bird_of_their_own(own: Desks):
    confirm(own.answered("Pepper 95", "no"), "First")

    heard = own.keeper.heard
    # Mission example: 0.5 mL of the 1 + 9 dilution for each 100 g; 95 g is about half a millilitre.
    assert "A bird of 100 g:" in heard
    assert "0.05 × 10 = 0.5 mL of the dilution" in heard
    assert "A bird of 95 g:" in heard
    assert "0.0475 × 10 = 0.475 mL of the dilution" in heard
    assert "on your 1 mL syringe: 0.47 mL (-1.1 % by rounding)" in heard


def test_a_bird_that_would_get_no_dose_is_shown_with_the_reason(own: Desks):
    confirm(own.answered("cockatiel 9500 g", "no"), "First")

    assert "This bird would get no dose: " in own.keeper.heard


@pytest.mark.parametrize(
    ("answer", "told"),
    [
        ("cockatiel", "a bird and its weight"),
        ("95 g", "a bird and its weight"),
        ("cockatile 95 g", "Did you mean “cockatiel”?"),
        ("corella 500 g", "can be Little corella"),
        ("cockatiel 95 cc", "write mL, not cc"),
        ("cockatiel 0 g", "zero is not an amount"),
    ],
)
def test_an_example_bird_that_cannot_be_used_is_asked_again(own: Desks, answer: str, told: str):
    confirm(own.answered(answer, "ring DEMO 12 0.095 kg", "no"), "First")

    assert told in own.keeper.heard
    assert "A bird of 95 g:" in own.keeper.heard


def test_without_a_name_the_one_medicine_in_want_of_it_is_taken(own: Desks):
    confirm(own.answered(*YES), "First")

    confirm(own.answered(*YES))

    assert state(own, "Second") is ConfirmationState.CONFIRMED


def test_without_a_name_and_with_two_in_want_of_it_the_keeper_is_asked(own: Desks):
    confirm(own.answered("third", "second", *YES))

    assert "There is no medicine “third”" in own.keeper.heard
    assert state(own, "Second") is ConfirmationState.CONFIRMED
    assert state(own, "First") is ConfirmationState.UNCONFIRMED


def test_a_name_that_no_medicine_has_is_told_with_the_nearest(own: Desks):
    with pytest.raises(UsageProblem, match="Did you mean “Second”") as caught:
        confirm(own.answered(), "Secondd")

    assert "First, Second" in caught.value.remedy


def test_where_the_register_cannot_be_written_nothing_is_confirmed(own: Desks):
    own.register.path.mkdir()

    with pytest.raises(RegisterProblem):
        confirm(own.answered(*YES), "First")

    assert own.home.medicines_file.read_text("utf-8") == OWN
    assert not [path for path in own.home.path.iterdir() if path.name.startswith(".")]


def test_figures_changed_during_the_confirmation_are_not_confirmed(own: Desks):
    desk = own.answered(*YES)
    say, path = own.keeper.say, own.home.medicines_file

    def change_and_say(text: str) -> None:
        path.write_text(OWN.replace("water = 9", "water = 99"), "utf-8")
        say(text)

    own.keeper.say = change_and_say  # type: ignore[method-assign]  # the keeper's other hand

    with pytest.raises(DataProblem, match="were changed while you looked"):
        confirm(desk, "First")
    assert own.register.notes() == ()


def test_the_read_back_says_what_the_file_says():
    said = "\n".join(read_back(first()))

    for words in ("First", "25 mg in each mL", "0.5 mL/kg", "1 part product and 9 parts water"):
        assert words in said
    assert "1 mL of product and 9 mL of water" in said


@dataclass(frozen=True)
class Change:
    """One figure changed."""

    name: str
    make: Callable[[Medicine], Medicine]


CHANGES = [
    Change("name", lambda one: replace(one, name="Other")),
    Change("active", lambda one: replace(one, active="other")),
    Change("strength", lambda one: replace(one, strength_mg_per_ml=Fraction(1, 3))),
    Change("no strength", lambda one: replace(one, strength_mg_per_ml=None)),
    Change("label", lambda one: replace(one, label=LabelDose("0.5 mL/kg", Fraction(5)))),
    Change("maximum", lambda one: replace(one, label=replace(one.label, is_maximum=True))),
    Change("dilution", lambda one: replace(one, dilution=Dilution(Decimal(1), Decimal(10)))),
    Change("neat", lambda one: replace(one, dilution=Dilution(Decimal(1), Decimal(0)))),
    Change("multiple", lambda one: replace(one, safety_multiple=Decimal(3))),
    Change("form", lambda one: replace(one, form=Form.SUSPENSION)),
    Change("storage", lambda one: replace(one, storage="warm")),
    Change("shelf life", lambda one: replace(one, shelf_life_days=Decimal("1.5"))),
    Change("interval", lambda one: replace(one, interval=Interval(1, 1))),
    Change("window", lambda one: replace(one, interval=Interval(1, 2))),
    Change("caution", lambda one: replace(one, cautions=(Caution("pigeon", "no"),))),
    Change("mild caution", lambda one: replace(one, cautions=(Caution("pigeon", "no", False),))),  # noqa: FBT003 - the record's third field
    Change("source", lambda one: replace(one, source="elsewhere")),
    Change("fictional", lambda one: replace(one, fictional=True)),
    Change("banding", lambda one: replace(one, banding=Banding(Decimal(50)))),
    Change("cap", lambda one: replace(one, banding=Banding(Decimal(50), Decimal(5)))),
]


def test_every_figure_that_the_digest_covers_is_read_back():
    variants = [first(), *(change.make(first()) for change in CHANGES)]
    distinct = len(variants)

    assert len({one.figures for one in variants}) == distinct
    assert len({read_back(one) for one in variants}) == distinct


def test_a_worked_example_says_so_where_it_had_to_round():
    thirds = replace(first(), label=LabelDose("1 mL per 3 kg", Fraction(1, 3)))

    assert any("= about 0.033333 mL" in line for line in worked_example(thirds, Decimal(100)))
    assert not any("about" in line for line in worked_example(first(), Decimal(100)))
