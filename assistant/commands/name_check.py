"""Names spoken by the voice and listened to by the ears: which ones cannot be heard again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from assistant.adapters.sound.resampling import as_utterance
from assistant.dosing.names import fold
from assistant.dosing.species import Species
from assistant.hearing.enrolment import own_names
from assistant.language.numerals import sounds_alike, words
from assistant.language.requests import DoseWanted, MedicineSaid
from assistant.language.understanding import understand
from assistant.ports import Ears, Voice
from assistant.wiring import Desk, word_sounds


@dataclass(frozen=True, slots=True)
class Name:
    """A name, and a phrase to hear it in; `is_medicine` where it is one of a medicine."""

    said: str
    phrase: str
    is_medicine: bool = False


def names_to_check(desk: Desk, *, everything: bool) -> tuple[Name, ...]:
    """The keeper's own names of birds, species and medicines, or every name in the grammar.

    A name with a figure in it can only be typed, and is left out.
    """
    aviary = desk.holding.aviary
    birds = dict(own_names(aviary))
    if everything:
        birds |= {
            name: species
            for species in aviary.species_list
            for name in species.names
            if name not in birds
        }
    found = [Name(name, f"{name} {_weight(species)} grams") for name, species in birds.items()]
    medicines = dict.fromkeys(name for one in desk.holding.medicines for name in one.spoken)
    found += [Name(name, f"switch to {name}", is_medicine=True) for name in medicines]
    return tuple(one for one in found if not any(sign.isdigit() for sign in one.said))


def _weight(species: Species) -> str:
    """A usual weight that is not easily taken for another number, in words."""
    middle = int((species.low_g + species.high_g) / 2)
    near = next(grams for grams in range(middle, middle + 20) if not sounds_alike(Decimal(grams)))
    return words(Decimal(near))


def unheard(
    desk: Desk, names: Sequence[Name], ears: Ears, voice: Voice
) -> Iterator[tuple[Name, str]]:
    """Each name that is not heard again, with what was heard in its place."""
    for name in names:
        ears.begin()
        ears.feed(as_utterance(voice.render(name.phrase)))
        heard = ears.finish().words
        if not _is_heard(desk, name, heard):
            yield name, heard


def _is_heard(desk: Desk, name: Name, heard: str) -> bool:
    match understand(heard, desk.lexicon).requests:
        case (DoseWanted(named=named),):
            meant = desk.lexicon.birds(name.said)
            return not name.is_medicine and bool(named) and set(named) <= set(meant)
        case (MedicineSaid(spoken),):
            medicine = desk.lexicon.medicine(spoken)
            return name.is_medicine and medicine == desk.lexicon.medicine(name.said)
    return False


def checked(desk: Desk, ears: Ears, voice: Voice, *, everything: bool) -> Iterator[str]:
    """What a keeper is told of the names, with what to do about each that is not heard."""
    names = names_to_check(desk, everything=everything)
    if not names:
        yield "none of your own to listen to"
        return
    lost = list(unheard(desk, names, ears, voice))
    kind = "names" if everything else "names of your own"
    yield f"{len(names)} {kind} spoken and listened to, {len(names) - len(lost)} heard again"
    said = word_sounds(desk).ours if lost else {}
    for name, heard in lost:
        yield f"“{name.said}” {_instead(desk, name, heard)}"
        yield f"  {_remedy(desk, name, said)}"


def _instead(desk: Desk, name: Name, heard: str) -> str:
    if not heard:
        return "was not heard at all"
    others = [
        other
        for other in sorted(desk.lexicon.bird_names, key=len, reverse=True)
        if other != fold(name.said) and f" {other} " in f" {fold(heard)} "
    ]
    return f"was heard as the name “{others[0]}”" if others else f"was heard as “{heard}”"


def _remedy(desk: Desk, name: Name, said: Mapping[str, Sequence[str]]) -> str:
    """Another name in the file that has this one, or how the keeper says it."""
    where = f"spoken in {desk.home.medicines_file.name}" if name.is_medicine else "birds.toml"
    word = max(fold(name.said).split(), key=len)
    example = f"{word}  {said[word][0]}" if said.get(word) else f"{word}  and its sounds"
    return (
        f"Give it another name under {where}, spelt as you say it; or write how you say it into "
        f"{desk.home.pronunciations_file.name}, as in: {example}"
    )
