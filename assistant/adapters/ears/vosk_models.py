"""Where the Vosk ear's model is: given, found in a folder, or fetched when the keeper asks."""

from __future__ import annotations

import hashlib
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from urllib.request import urlopen
from zipfile import BadZipFile, ZipFile

from assistant.errors import EngineUnavailable

MODEL_NAME = "vosk-model-small-en-us-0.15"
"""The small English model (40 MB), as Vosk's own list of models names it."""

MODELS = "models"
"""The folder in the keeper's home that models are looked for in."""

MODEL_VARIABLE = "DOSEWREN_VOSK_MODEL"

_PATIENCE_S = 30.0
_PIECE = 1 << 16
_PARTS = ("am/final.mdl", "conf/model.conf")


@dataclass(frozen=True, slots=True)
class Published:
    """An archive as it was published: where, how many bytes, and its SHA-256."""

    url: str
    size: int
    sha256: str


SMALL_ENGLISH = Published(
    f"https://alphacephei.com/vosk/models/{MODEL_NAME}.zip",
    41_205_931,
    "30f26242c4eb449f948e42cb302dd7a686cb29a3423a8367f99ff41780942498",
)
"""Size and digest as packagers of several Linux distributions pin them; not fetched here."""


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


def fetch_vosk_model(home: Path, published: Published = SMALL_ENGLISH) -> Path:
    """Fetch a model, check that it is the one that was published, and return its folder.

    It is put in place whole or not at all, and unpacked only where its digest is right.  Raises
    EngineUnavailable when there is no network or something else came.
    """
    models = home / MODELS
    target = models / MODEL_NAME
    if is_vosk_model(target):
        return target
    try:
        models.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=models, prefix=".fetching-") as unfinished:
            archive = Path(unfinished) / f"{MODEL_NAME}.zip"
            _download(published, archive)
            fetched = _unpacked(archive, Path(unfinished))
            shutil.rmtree(target, ignore_errors=True)
            fetched.replace(target)
    except (OSError, BadZipFile) as error:
        raise EngineUnavailable(
            f"The Vosk model could not be fetched: {error}.",
            f"Try again with a network, or unpack {MODEL_NAME}.zip in {models}. "
            "Until then the embedded ear is used.",
        ) from error
    return target


def _unpacked(archive: Path, folder: Path) -> Path:
    """The model that came in an archive whose digest is known."""
    with ZipFile(archive) as opened:
        opened.extractall(folder)
    found = _model_in(folder)
    if found is None:
        raise BadZipFile("what came is no model")
    return found


def _download(published: Published, archive: Path) -> None:
    """Write the archive; raises OSError where what comes is not what was published."""
    digest, wanted = hashlib.sha256(), published.size
    with (
        urlopen(published.url, timeout=_PATIENCE_S) as source,  # noqa: S310 - an address of ours
        archive.open("xb") as target,
    ):
        while wanted >= 0 and (piece := source.read(_PIECE)):
            digest.update(piece)
            target.write(piece)
            wanted -= len(piece)
    if wanted or digest.hexdigest() != published.sha256:
        raise OSError("what came is not the model that was published, and was thrown away")


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
