"""The colour of a bird: it changes no dose, and is never taken for a part of a name."""

from __future__ import annotations

import pytest

from assistant.conversation.turn import Status
from tests.talk_scene import begun


@pytest.mark.parametrize(
    ("phrase", "species"),
    [
        ("blue budgie thirty eight", "Budgerigar"),
        ("light green budgie cock 38", "Budgerigar"),
        ("grey cockatiel thirty eight", "Cockatiel"),
        ("cockatiel grey 94", "Cockatiel"),
        ("yellow pied cockatiel hen 94", "Cockatiel"),
        ("red canary 20", "Canary"),
    ],
)
def test_a_colour_makes_no_other_bird(phrase: str, species: str):
    plain, coloured = begun().say(f"{species} 94"), begun().say(phrase)
    assert coloured.facts.species == species == plain.facts.species
    assert coloured.reply.said.startswith(species)


@pytest.mark.parametrize(
    ("phrase", "species"),
    [("blue front 400", "Blue-fronted amazon"), ("green cheek 70", "Green-cheeked conure"),
     ("yellow nape 500", "Yellow-naped amazon"), ("golden pheasant 700", "Golden pheasant")],
)  # fmt: skip
def test_a_colour_in_a_name_stays_a_part_of_it(phrase: str, species: str):
    assert begun().say(phrase).facts.species == species


@pytest.mark.parametrize(
    ("phrase", "offered"),
    [("white cockatoo 500", "Sulphur-crested cockatoo or Umbrella cockatoo"),
     ("grey 400", "African grey parrot or Timneh grey parrot"),
     ("blue ringneck 125", "Indian ringneck, Australian ringneck or Barbary dove")],
)  # fmt: skip
def test_a_name_of_several_birds_is_asked_about_with_its_colour_too(phrase: str, offered: str):
    turn = begun().say(phrase)
    assert turn.status is Status.ASKED
    assert offered in turn.reply.said


@pytest.mark.parametrize(
    ("phrase", "colour"),
    [("silver pheasant 700", "silver"), ("yellow rosella 110", "yellow"),
     ("blue masked lovebird 50", "blue"), ("black pepper 95", "black")],
)  # fmt: skip
def test_a_colour_that_may_name_another_species_is_asked_about(phrase: str, colour: str):
    talk = begun()
    turn = talk.say(phrase)
    wanted = f"“{colour}” can be a part of another species' name. Say the species in full."
    assert (turn.status, turn.reply.said) == (Status.ASKED, wanted)
    assert talk.state.pending is None
