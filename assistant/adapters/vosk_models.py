"""Where the Vosk ear's model is: given, found in a folder, or fetched when the keeper asks."""

from __future__ import annotations

import shutil
import socket
import tempfile
from collections.abc import Iterator, Mapping
from pathlib import Path
from zipfile import BadZipFile

from assistant.errors import EngineUnavailable

MODEL_NAME = "vosk-model-small-en-us-0.15"
"""The small English model (40 MB), as Vosk's own list of models names it."""

MODELS = "models"
"""The folder in the keeper's home that models are looked for in."""

MODEL_VARIABLE = "DOSEWREN_VOSK_MODEL"

_PATIENCE_S = 30.0
_PARTS = ("am/final.mdl", "conf/model.conf")


def is_vosk_model(folder: Path) -> bool:
    """Whether the folder holds a model."""
    return all((folder / part).is_file() for part in _PARTS)


def find_vosk_model(home: Path, given: Path | None, environ: Mapping[str, str]) -> Path | None:
    """The model to use, or None: the one given, the environment's, the home's, Vosk's own.

    Raises EngineUnavailable when the one given, or named in DOSEWREN_VOSK_MODEL, is no model: what
    the keeper chose is never passed over in silence.
    """
    named = environ.get(MODEL_VARIABLE)
    chosen = given or (Path(named) if named else None)
    if chosen:
        if not (found := _model_in(chosen)):
            raise EngineUnavailable(
                f"There is no Vosk model in {chosen}.",
                "Pass the folder that holds am, conf and graph.",
            )
        return found
    return next(_english_models(home, environ), None)


def fetch_vosk_model(home: Path) -> Path:
    """Fetch the small English model by Vosk's own downloader; returns its folder.

    It is put in place whole or not at all.  Raises EngineUnavailable when there is no network or
    what came is no model.
    """
    models = home / MODELS
    target = models / MODEL_NAME
    if is_vosk_model(target):
        return target
    try:
        models.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=models, prefix=".fetching-") as unfinished:
            fetched = Path(unfinished) / MODEL_NAME
            _download(fetched)
            shutil.rmtree(target, ignore_errors=True)
            fetched.replace(target)
    except (OSError, ImportError, BadZipFile) as error:
        raise EngineUnavailable(
            f"The Vosk model could not be fetched: {error}.",
            f"Try again with a network, or unpack {MODEL_NAME}.zip in {models}. "
            "Until then the embedded ear is used.",
        ) from error
    return target


def _model_in(folder: Path) -> Path | None:
    """The model that is the folder, or the only one just inside it, as an unpacked archive is."""
    if is_vosk_model(folder):
        return folder
    inside = [one for one in _folders(folder) if is_vosk_model(one)]
    return inside[0] if len(inside) == 1 else None


def _english_models(home: Path, environ: Mapping[str, str]) -> Iterator[Path]:
    """English models in the home, then in the places of Vosk's own downloader; small ones first."""
    user = environ.get("HOME") or environ.get("USERPROFILE")
    places = [home / MODELS]
    if user:
        places.append(Path(user) / ".cache" / "vosk")
    places.append(Path("/usr/share/vosk"))
    for place in places:
        english = [one for one in _folders(place) if _is_english(one.name) and is_vosk_model(one)]
        yield from sorted(english, key=lambda one: ("-small-" not in one.name, one.name))


def _is_english(name: str) -> bool:
    return name.startswith(("vosk-model-en-", "vosk-model-small-en-"))


def _folders(place: Path) -> list[Path]:
    try:
        return sorted(one for one in place.iterdir() if one.is_dir())
    except OSError:
        return []


def _download(folder: Path) -> None:
    """Vosk's downloader is a method of its model; this is one that loads nothing."""
    import vosk

    class Downloader(vosk.Model):  # type: ignore[misc]  # vosk ships no types
        def __init__(self) -> None:
            pass

        def __del__(self) -> None:
            pass

    before = socket.getdefaulttimeout()
    socket.setdefaulttimeout(_PATIENCE_S)
    try:
        Downloader().download_model(folder)
    finally:
        socket.setdefaulttimeout(before)
    if not is_vosk_model(folder):
        raise BadZipFile("what came is no model")
