"""The guided confirmation: without it, a medicine answers nothing.

Every figure of the medicine's file is read back, with doses worked out from it; the keeper
compares them with the label in the hand.  A "yes" is written into the file, bound to a digest of
the figures, and into the register; any later change of a figure makes it void.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final

from assistant.adapters.home.filing import staged
from assistant.adapters.home.folder import Holding, Home, find_medicine, read_medicines
from assistant.adapters.home.medicine_file import Vouching, with_confirmation
from assistant.adapters.home.toml_file import read_text
from assistant.adapters.terminal.asking import Prompter, ask_until, ask_yes, needed
from assistant.adapters.terminal.read_back import example_answer, read_back, worked_example
from assistant.conversation.entries import NoteEntry
from assistant.dosing.medicine import Confirmation, ConfirmationState, Medicine
from assistant.dosing.names import fold
from assistant.dosing.quantities import Kind, grams, parse
from assistant.dosing.species import Bird, Species
from assistant.dosing.tables import nearest
from assistant.errors import DataProblem, UsageProblem
from assistant.ports import Clock, Register

EXAMPLE_G: Final = Decimal(100)
"""The weight of the first worked example: easy to check in the head."""

ROUND: Final = "confirming"
"""What stands in the register for the round, since a confirmation belongs to none."""

_BIRD_AND_WEIGHT: Final = re.compile(r"(?P<bird>.+) (?P<weight>[0-9.]+ ?(?P<unit>[A-Za-z]*))")


@dataclass(frozen=True, slots=True)
class Desk:
    """What a confirmation needs around it."""

    home: Home
    prompter: Prompter
    register: Register
    clock: Clock


@dataclass(frozen=True, slots=True)
class ExampleBird:
    """A bird of the keeper's for the second worked example; the weight is in grams."""

    species: Species
    grams: Decimal


def confirm(desk: Desk, name: str | None = None) -> bool:
    """Lead the keeper through the confirmation, and say whether the medicine is confirmed now.

    Without a name the one medicine in want of it is taken, else the keeper is asked.  Raises
    DataProblem, PartMissing, RegisterProblem or UsageProblem; the file is then unchanged.
    """
    holding = desk.home.holding()
    medicine = _chosen(desk.prompter, holding.medicines, name)
    _show(desk, holding, medicine)
    desk.prompter.say("Take the label, or your vet's words, and compare every line with it.")
    if not ask_yes(desk.prompter, "Does every figure agree, and do both doses look right?"):
        desk.prompter.say(
            f"Not confirmed, and nothing was written. Correct {desk.home.medicines_file}, then "
            f'run: dosewren confirm "{medicine.name}"'
        )
        return False
    by = ask_until(desk.prompter, "Your name, for the register", holding.kit.keeper, _name)
    _write(desk, medicine, by)
    desk.prompter.say(f"{medicine.name} is confirmed. A change of any figure makes this void.")
    return True


def _name(answer: str) -> str:
    """Who confirms; a yes too many is no name."""
    if answer.casefold() in {"yes", "y", "no", "n"}:
        raise ValueError("That is no name. Type the name of whoever compared the label.")
    return needed(answer)


def _show(desk: Desk, holding: Holding, medicine: Medicine) -> None:
    """Read the figures back, with a dose at 100 g and one for a bird of the keeper's."""
    _say(desk.prompter, [_state(medicine), "", *read_back(medicine), ""])
    _say(desk.prompter, [*worked_example(medicine, EXAMPLE_G), ""])
    bird = ask_until(
        desk.prompter,
        "One of your birds and its weight, for a second dose to look at",
        "cockatiel 95 g",
        lambda answer: _example_bird(holding, answer),
    )
    today = desk.clock.now().date()
    taken_as = replace(medicine, confirmation=Confirmation("example", today, medicine.figures))
    answer = example_answer(holding.kit, taken_as, bird.species, bird.grams)
    _say(desk.prompter, [*worked_example(medicine, bird.grams), answer, ""])


def _chosen(prompter: Prompter, medicines: tuple[Medicine, ...], name: str | None) -> Medicine:
    if not medicines:
        raise DataProblem(
            "There is no medicine to confirm.", "Write one into medicines.toml, then try again."
        )
    if name is not None:
        try:
            return _named(medicines, name)
        except ValueError as error:
            raise UsageProblem(str(error), f"Medicines: {_names(medicines)}.") from error
    waiting = [medicine for medicine in medicines if not medicine.is_confirmed]
    if len(waiting) == 1:
        return waiting[0]
    question = f"Which medicine? {_names(medicines)}"
    return ask_until(prompter, question, "", lambda answer: _named(medicines, answer))


def _named(medicines: tuple[Medicine, ...], name: str) -> Medicine:
    found = find_medicine(medicines, name)
    if found is None:
        near = nearest(name, [medicine.name for medicine in medicines])
        hint = f" Did you mean “{near}”?" if near else ""
        raise ValueError(f"There is no medicine “{name}” in medicines.toml.{hint}")
    return found


def _names(medicines: Iterable[Medicine]) -> str:
    return ", ".join(medicine.name for medicine in medicines)


def _state(medicine: Medicine) -> str:
    given = medicine.confirmation
    if given is None:
        return f"{medicine.name} is not confirmed yet, and answers nothing until it is."
    who = f"{given.by} on {given.on.isoformat()}"
    if medicine.confirmation_state is ConfirmationState.CONFIRMED:
        return f"{medicine.name} was confirmed by {who}; this would confirm it anew."
    return f"{medicine.name} was confirmed by {who}, but its figures have been changed since."


def _example_bird(holding: Holding, answer: str) -> ExampleBird:
    """Read "cockatiel 95 g"; raises ValueError with what is wrong."""
    found = _BIRD_AND_WEIGHT.fullmatch(answer)
    if found is None:
        raise ValueError("Write a bird and its weight, as in: cockatiel 95 g")
    weight = found["weight"] if found["unit"] else f"{found['weight']} g"
    return ExampleBird(_species(holding, found["bird"]), grams(parse(weight, Kind.MASS)))


def _species(holding: Holding, name: str) -> Species:
    found = holding.aviary.named(name)
    if not found:
        near = nearest(fold(name), holding.aviary.spoken_names)
        hint = f" Did you mean “{near}”?" if near else ""
        raise ValueError(f"No bird or species is called “{name}”.{hint}")
    if len(found) > 1:
        raise ValueError(f"“{name}” can be {', '.join(one.name for one in found)}: name one.")
    (one,) = found
    return holding.aviary.species(one.species) if isinstance(one, Bird) else one


def _write(desk: Desk, medicine: Medicine, by: str) -> None:
    """Write the confirmation into the register and the file, or into neither."""
    path, now = desk.home.medicines_file, desk.clock.now()
    text = read_text(path)
    current = find_medicine(read_medicines(text, path), medicine.name)
    if current is None or current.figures != medicine.figures:
        raise DataProblem(
            f"The figures of {medicine.name} in {path} were changed while you looked at them.",
            "Nothing was written. Start the confirmation again.",
        )
    changed = with_confirmation(text, path, medicine, Vouching(by, now.date()))
    # The file waits, safe on disk, while the register is written: what can fail comes first.
    with staged(path, changed) as waiting:
        desk.register.append([NoteEntry(now, ROUND, "confirmed", _noted(medicine, by))])
        waiting.take_place()


def _noted(medicine: Medicine, by: str) -> str:
    return (
        f"{medicine.name}, {medicine.said_strength}, {medicine.label.said}: "
        f"confirmed by {by}; figures {medicine.figures}"
    )


def _say(prompter: Prompter, lines: Iterable[str]) -> None:
    prompter.say("\n".join(lines))
