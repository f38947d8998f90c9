"""The process in which espeak-ng spells words, for `assistant.adapters.ears.espeak_phones` alone.

It stands alone (standard library, espeakng-loader).  On standard input it reads one line of JSON,
`{"voices": […], "words": […]}`.  On standard output it answers with `{"ready": VERSION}` and then
one line of JSON for each word in the first voice, then in the second, and so on: the phonemes in
IPA, with "_" between them.  If espeak-ng cannot be used, the answer is `{"problem": …}` instead.

No sound is made and no sound device is opened: espeak-ng is asked for phonemes only.  It is a C
library that holds its voice in global variables and has read past its buffers on odd words before,
so neither the assistant nor the voice shares a process with it here.
"""

from __future__ import annotations

import ctypes
import json
import os
import sys
from collections.abc import Iterator

_SYNCHRONOUS = 2  # AUDIO_OUTPUT_SYNCHRONOUS: no thread, no device (speak_lib.h of espeak-ng 1.52)
_DONT_EXIT = 0x8000  # espeakINITIALIZE_DONT_EXIT: without its data it would end the process
_UTF_8 = 1  # espeakCHARS_UTF8
_IPA_APART = 0x02 | ord("_") << 8  # bit 1: IPA; bits 8 to 23: what to put between phonemes


class CannotSpell(Exception):
    """espeak-ng, its data or a voice of it is not there."""


def load() -> ctypes.CDLL:
    """espeak-ng from the wheel, ready for `spell`; raises CannotSpell."""
    try:
        import espeakng_loader

        library = ctypes.CDLL(espeakng_loader.get_library_path())
        data = espeakng_loader.get_data_path().encode()
        library.espeak_TextToPhonemes.restype = ctypes.c_char_p
        rate_hz = library.espeak_Initialize(_SYNCHRONOUS, 0, data, _DONT_EXIT)
    except (ImportError, OSError, RuntimeError, AttributeError) as error:
        raise CannotSpell(f"espeak-ng cannot be loaded ({error}).") from error
    if rate_hz <= 0:
        raise CannotSpell("espeak-ng cannot read its data.")
    return library


def choose(library: ctypes.CDLL, voice: str) -> None:
    """Take this voice from now on; raises CannotSpell."""
    if library.espeak_SetVoiceByName(voice.encode()) != 0:
        raise CannotSpell(f'espeak-ng has no voice "{voice}".')


def version(library: ctypes.CDLL) -> str:
    """The version of espeak-ng."""
    library.espeak_Info.restype = ctypes.c_char_p
    named: bytes = library.espeak_Info(None)
    return named.decode()


def spell(library: ctypes.CDLL, word: str) -> str:
    """The phonemes of a word; of several clauses, should espeak-ng see them, one after another."""
    rest = ctypes.c_char_p(word.encode())
    clauses: list[str] = []
    while rest.value:
        phonemes = library.espeak_TextToPhonemes(ctypes.byref(rest), _UTF_8, _IPA_APART)
        clauses.append((phonemes or b"").decode(errors="replace"))
    return " ".join(clauses).strip()


def main() -> None:
    """Answer one request and end."""
    replies = os.fdopen(os.dup(1), "w")
    os.dup2(2, 1)  # what the library prints is no answer
    request = json.loads(sys.stdin.buffer.readline())
    for answer in _answers(request["voices"], request["words"]):
        # each line at once: should the next word end the process, it is known which one it was
        replies.write(json.dumps(answer) + "\n")
        replies.flush()


def _answers(voices: list[str], words: list[str]) -> Iterator[str | dict[str, str]]:
    try:
        library = load()
        for voice in voices:
            choose(library, voice)
    except CannotSpell as problem:
        yield {"problem": str(problem)}
        return
    yield {"ready": version(library)}
    for voice in voices:
        choose(library, voice)
        for word in words:
            yield spell(library, word)


if __name__ == "__main__":
    main()
