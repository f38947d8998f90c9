"""espeak-ng itself, from the wheel, in its own process; faults are put into that process."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pocketsphinx
import pytest

from assistant.adapters.ears import espeak_phones_worker
from assistant.adapters.ears.espeak_phones import ACCENTS, EspeakPhones
from assistant.adapters.talk.voice import EspeakVoice
from assistant.errors import EngineUnavailable

# Birds and medicines that CMUdict lists, with the entry in pocketsphinx's copy of it.
LISTED = {
    "finch": "F IH N CH",
    "canary": "K AH N EH R IY",
    "cockatoo": "K AA K AH T UW",
    "macaw": "M AH K AO",
    "penicillin": "P EH N AH S IH L AH N",
    "tetracycline": "T EH T R AH S AY K L IY N",
}

# Names that it does not list, said as dictionaries give them (from memory).
OWN = {
    "ivermectin": "AY V ER M EH K T IH N",
    "quarrion": "K W AO R IY AH N",
    "conure": "K AH N Y UH R",
    "lorikeet": "L AO R IH K IY T",
    "kakariki": "K AE K AA R IH K IY",
    "levamisole": "L EH V AH M IH S OW L",
}

FAULTY = """
import os, signal, sys, time
sys.path.insert(0, {folder!r})
import espeak_phones_worker as worker
def die(): os.kill(os.getpid(), signal.SIGKILL)
real = worker.spell
def spell(library, word):
    if word == "xyzzy": {fault}
    return real(library, word)
worker.spell = spell
{first}
worker.main()
"""

Faulty = Callable[..., Path]


@pytest.fixture
def faulty(tmp_path: Path) -> Faulty:
    """The real worker with a fault in it: on the word xyzzy, or first of all."""

    def write(fault: str = "die()", first: str = "") -> Path:
        path = tmp_path / "faulty.py"
        folder = str(Path(espeak_phones_worker.__file__).parent)
        path.write_text(FAULTY.format(folder=folder, fault=fault, first=first), encoding="utf-8")
        return path

    return write


@pytest.fixture(scope="module")
def phones() -> EspeakPhones:
    return EspeakPhones()


@pytest.mark.parametrize("word", LISTED)
def test_a_listed_name_comes_out_nearly_as_listed(phones: EspeakPhones, word: str):
    listed = LISTED[word].split()
    made = [said.split() for said in phones.pronounce(word)]
    apart = [sum(a != b for a, b in zip(one, listed, strict=False)) for one in made]
    assert any(len(one) == len(listed) for one in made)
    assert min(apart) <= 2


@pytest.mark.parametrize("word", OWN)
def test_an_own_name_comes_out_as_it_is_said(phones: EspeakPhones, word: str):
    assert OWN[word] in phones.pronounce(word)


def test_britons_and_americans_are_both_heard(phones: EspeakPhones):
    assert phones.pronounce("grassfinch") == ("G R AE S F IH N CH", "G R AA S F IH N CH")
    assert {said[-1] for said in phones.pronounce("turacker")} == {"R", "H"}  # ER and AH


def test_pocketsphinx_takes_every_pronunciation(phones: EspeakPhones):
    decoder = pocketsphinx.Decoder(lm=None, logfn="/dev/null")
    made = phones.missing_pronunciations([*OWN, "o'malley's", "jörg", "b52", "gcc"], ())
    assert len(made) == len(OWN) + 4
    for word, spoken in made.items():
        for nth, said in enumerate(spoken, start=1):
            name = word if nth == 1 else f"{word}({nth})"
            if decoder.lookup_word(name) is None:
                decoder.add_word(name, said, update=False)
            assert decoder.lookup_word(name)


@pytest.mark.parametrize(
    "word", ["", "'", "...", "鸟", "попугай", "two words", "a\n", "x" * 61, "\0"]
)
def test_what_is_no_word_has_no_pronunciation(phones: EspeakPhones, word: str):
    assert phones.pronounce(word) == ()


def test_only_words_that_are_not_known_are_pronounced(phones: EspeakPhones):
    made = phones.missing_pronunciations(["galah", "kakariki", "鸟"], {"galah"})
    assert set(made) == {"kakariki"}


def test_nothing_is_started_when_every_word_is_known(tmp_path: Path):
    nowhere = EspeakPhones(worker=tmp_path / "nowhere.py")
    assert nowhere.missing_pronunciations(["galah", "given"], {"galah", "given"}) == {}


def test_a_word_is_worked_out_once(faulty: Faulty):
    worker = faulty()
    phones = EspeakPhones(worker=worker)
    first = phones.pronounce("kakariki")
    worker.unlink()
    assert phones.pronounce("kakariki") == first != ()


def test_the_order_of_the_words_changes_nothing():
    words = [*OWN, *LISTED, "bourke's", "gcc"]
    assert dict(EspeakPhones().spell(words)) == dict(EspeakPhones().spell(words[::-1]))
    assert {len(said) for said in EspeakPhones().spell(words).values()} == {len(ACCENTS)}


def test_a_word_that_ends_the_process_costs_only_itself(faulty: Faulty):
    phones = EspeakPhones(worker=faulty())
    made = phones.missing_pronunciations(["galah", "xyzzy", "kakariki"], ())
    assert set(made) == {"galah", "kakariki"}
    assert EspeakPhones(worker=faulty()).pronounce("xyzzy") == ()


def test_a_word_that_is_never_answered_costs_only_itself(faulty: Faulty):
    phones = EspeakPhones(worker=faulty("time.sleep(600)"), limit_s=4)
    assert set(phones.missing_pronunciations(["galah", "xyzzy", "caique"], ())) == {
        "galah",
        "caique",
    }


@pytest.mark.parametrize(
    "first",
    [
        "die()",
        "sys.modules['espeakng_loader'] = None",
        "import espeakng_loader; espeakng_loader.get_library_path = lambda: '/nowhere.so'",
        "import espeakng_loader; espeakng_loader.get_data_path = lambda: '/nowhere/espeak-ng-data'",
        "worker.spell = lambda library, word: die()",
    ],
)
def test_without_espeak_the_keeper_is_told_what_to_do(faulty: Faulty, first: str):
    with pytest.raises(EngineUnavailable) as told:
        EspeakPhones(worker=faulty(first=first)).missing_pronunciations(list(OWN), ())
    assert "espeak-ng" in told.value.problem
    assert "espeakng-loader" in told.value.remedy


def test_an_unknown_voice_is_named():
    done = subprocess.run(
        [sys.executable, espeak_phones_worker.__file__],
        input=b'{"voices": ["en-us", "klingonese"], "words": ["galah"]}\n',
        capture_output=True,
        check=True,
    )
    assert done.stdout == b'{"problem": "espeak-ng has no voice \\"klingonese\\"."}\n'


def test_the_voice_speaks_as_before():
    voice = EspeakVoice(165, None)
    before = voice.render("kakariki, given.")
    assert EspeakPhones().pronounce("kakariki")
    assert voice.render("kakariki, given.") == before
    voice.close()
