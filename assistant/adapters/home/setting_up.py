"""Making a keeper's home: the invented demo, or the keeper's own by questions."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from functools import partial
from importlib.resources import files
from pathlib import Path
from typing import Final

from assistant.adapters.home import own_files
from assistant.adapters.home.filing import make_folder, write_new
from assistant.adapters.home.folder import Home, read_medicines, species_table
from assistant.adapters.home.grammar_file import GRAMMAR, grammar_text
from assistant.adapters.home.setup_questions import KIT, MEDICINE, Asked, Value
from assistant.adapters.home.toml_file import parse
from assistant.adapters.terminal.asking import Prompter, ask_until, ask_yes
from assistant.adapters.terminal.confirming import Desk, confirm
from assistant.dosing.cautions import unmatched_cautions
from assistant.dosing.kit import read_kit
from assistant.dosing.medicine import read_medicine
from assistant.dosing.species import Aviary
from assistant.dosing.tables import FigureProblems
from assistant.language.attention import attention_problems
from assistant.language.lexicon import build

CAUTIONS: Final = """\
Before anything else:
 - The label and your vet come first. dosewren does the arithmetic on figures that you give it.
 - The rules where you live, and a licensed practice where they ask for one, decide what you may
   give to which bird.
 - The demo medicines are invented. Never use them for a real bird."""

_ANSWER: Final = "your answer"
_KIT_DRAFT: Final[Mapping[str, Value]] = {
    "keeper": "a keeper",
    "scale_step": "1 g",
    "syringe": [{"capacity": "1 mL", "graduation": "0.01 mL"}],
    "needle": [{"gauge": 14, "length": "75 mm"}],
}
_MEDICINE_DRAFT: Final[Mapping[str, Value]] = {
    "name": "a medicine",
    "active": "an active",
    "dose": "1 mL/kg",
    "dilution": "neat",
    "form": "solution",
    "route": "crop",
    "source": "a source",
}


def make_demo(home: Home) -> tuple[Path, ...]:
    """Write the invented demo, ready to answer, and give the files that were written.

    A file that exists stays byte for byte.  Raises PartMissing or DataProblem.
    """
    make_folder(home.path)
    own_medicines = os.path.lexists(home.medicines_file)
    demo = files("assistant") / "data" / "demo"
    written = []
    for target in (home.medicines_file, home.kit_file, home.birds_file):
        text = demo.joinpath(target.name).read_text("utf-8")
        if target == home.kit_file and own_medicines:
            text = _without_default_medicine(text)
        if write_new(target, text):
            written.append(target)
    return tuple(written)


def set_up(desk: Desk) -> tuple[Path, ...]:
    """Ask for the keeper's kit and first medicine, write the files, and offer the confirmation.

    Gives the files that were written.  One that exists is neither asked about nor touched.
    Nothing is written before the last question about the files; raises UsageProblem where the
    answers end early, PartMissing or DataProblem where a file cannot be written.
    """
    home, say = desk.home, desk.prompter.say
    say(CAUTIONS)
    missing = [
        path
        for path in (home.kit_file, home.medicines_file, home.birds_file)
        if not os.path.lexists(path)
    ]
    if not missing:
        say(f"{home.path} is set up already; change its files by hand. Nothing was changed.")
        return ()
    kit = _kit(desk.prompter) if home.kit_file in missing else None
    medicine = _medicine(desk.prompter) if home.medicines_file in missing else None
    texts = {
        home.kit_file: "" if kit is None else own_files.kit_text(kit),
        home.medicines_file: own_files.medicines_text(medicine),
        home.birds_file: own_files.BIRDS_TEXT,
    }
    make_folder(home.path)
    written = tuple(path for path in missing if write_new(path, texts[path]))
    say("Written: " + ", ".join(map(str, written)))
    if medicine is not None and home.medicines_file in written:
        _offer_confirmation(desk, str(medicine["name"]))
    return written


def _offer_confirmation(desk: Desk, name: str) -> None:
    desk.prompter.say(f"{name} answers nothing until its figures are confirmed.")
    if ask_yes(desk.prompter, "Confirm it now, with the label in your hand?"):
        confirm(desk, name)
    else:
        desk.prompter.say(f'Later, run: dosewren confirm "{name}"')


def _kit(prompter: Prompter) -> dict[str, Value]:
    prompter.say("\nFirst, what you work with. Enter alone takes the answer in brackets.")
    answers = _ask_all(prompter, KIT, _check_kit)
    read_kit(parse(own_files.kit_text(answers), Path("kit.toml")), "kit.toml")
    return answers


def _medicine(prompter: Prompter) -> dict[str, Value] | None:
    prompter.say("\nNow your first medicine, with its label in front of you.")
    if not ask_yes(prompter, "Do you want to enter a medicine now?"):
        prompter.say("You can write one into medicines.toml later; the file shows how.")
        return None
    answers = _ask_all(prompter, MEDICINE, _check_medicine)
    read_medicines(own_files.medicines_text(answers), Path("medicines.toml"))
    return answers


def _ask_all(
    prompter: Prompter,
    questions: tuple[Asked, ...],
    check: Callable[[Mapping[str, Value]], None],
) -> dict[str, Value]:
    """Ask each question until the reader of the file takes its answer beside those before it."""
    answers: dict[str, Value] = {}

    def value_of(asked: Asked, answer: str) -> Value | None:
        value = asked.shape(answer)
        if value is not None:
            check({**answers, asked.key: value})
        return value

    for asked in questions:
        value = ask_until(prompter, asked.question, asked.default, partial(value_of, asked))
        if value is not None:
            answers[asked.key] = value
    return answers


def _check_kit(answers: Mapping[str, Value]) -> None:
    kit = read_kit({**_KIT_DRAFT, **answers}, _ANSWER)
    if kit.attention is None:
        return
    lexicon = build(grammar_text(GRAMMAR), Aviary(species_table()), ())
    if problems := attention_problems(kit.attention, lexicon, _ANSWER):
        raise FigureProblems(problems)


def _check_medicine(answers: Mapping[str, Value]) -> None:
    medicine = read_medicine({**_MEDICINE_DRAFT, **answers}, _ANSWER)
    problems = unmatched_cautions(medicine, species_table(), _ANSWER)
    if problems:
        raise FigureProblems(problems)


def _without_default_medicine(kit: str) -> str:
    """The demo's kit beside medicines that are not the demo's: it can name none of them."""
    return kit.replace('\nmedicine = "', '\n# medicine = "')
