from __future__ import annotations

import functools
import hashlib
import http.server
import threading
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from assistant.adapters.ears.vosk_models import (
    MODEL_NAME,
    MODEL_VARIABLE,
    MODELS,
    Published,
    fetch_vosk_model,
    find_vosk_model,
)
from assistant.errors import EngineUnavailable


def put_model(folder: Path) -> Path:
    for part in ("am/final.mdl", "conf/model.conf"):
        (folder / part).parent.mkdir(parents=True, exist_ok=True)
        (folder / part).write_bytes(b"for the look of it")
    return folder


def test_no_model_is_no_error(tmp_path: Path):
    assert find_vosk_model(tmp_path, None, {"HOME": str(tmp_path)}) is None


def test_what_is_given_comes_first_then_the_environment_then_the_home(tmp_path: Path):
    given = put_model(tmp_path / "given")
    named = put_model(tmp_path / "named")
    kept = put_model(tmp_path / MODELS / MODEL_NAME)
    environ = {MODEL_VARIABLE: str(named), "HOME": "/nowhere"}

    assert find_vosk_model(tmp_path, given, environ) == given
    assert find_vosk_model(tmp_path, None, environ) == named
    assert find_vosk_model(tmp_path, None, {"HOME": "/nowhere"}) == kept


def test_vosks_own_cache_is_looked_through_too(tmp_path: Path):
    cached = put_model(tmp_path / ".cache" / "vosk" / MODEL_NAME)

    assert find_vosk_model(tmp_path / "home", None, {"HOME": str(tmp_path)}) == cached


def test_a_small_english_model_is_preferred_and_another_language_never_taken(tmp_path: Path):
    put_model(tmp_path / MODELS / "vosk-model-small-cn-0.22")
    put_model(tmp_path / MODELS / "vosk-model-en-us-0.22-lgraph")
    small = put_model(tmp_path / MODELS / "vosk-model-small-en-in-0.4")

    assert find_vosk_model(tmp_path, None, {}) == small


def test_a_folder_around_the_only_model_is_taken_for_it(tmp_path: Path):
    inner = put_model(tmp_path / "unpacked" / "vosk-model")

    assert find_vosk_model(tmp_path, tmp_path / "unpacked", {}) == inner


def test_a_chosen_folder_without_a_model_is_never_passed_over(tmp_path: Path):
    put_model(tmp_path / MODELS / MODEL_NAME)

    with pytest.raises(EngineUnavailable, match=r"no Vosk model in .*typo"):
        find_vosk_model(tmp_path, tmp_path / "typo", {})
    with pytest.raises(EngineUnavailable, match=r"no Vosk model in .*typo"):
        find_vosk_model(tmp_path, None, {MODEL_VARIABLE: str(tmp_path / "typo")})


def test_without_a_network_fetching_ends_in_a_clear_error_and_leaves_nothing(tmp_path: Path):
    # nothing listens on port 9, so this holds on a machine with a network as well
    with pytest.raises(EngineUnavailable, match="could not be fetched") as caught:
        fetch_vosk_model(tmp_path, Published("http://127.0.0.1:9/", 1, ""))

    assert f"{MODEL_NAME}.zip" in caught.value.remedy
    assert list((tmp_path / MODELS).iterdir()) == []
    assert find_vosk_model(tmp_path, None, {}) is None


@dataclass(frozen=True)
class Shelf:
    """A folder with one archive that is served, and how to publish what is in it now."""

    archive: Path
    url: str

    def published(self, content: bytes | None = None) -> Published:
        """The archive with the size and digest of this content, else of its own."""
        told = self.archive.read_bytes() if content is None else content
        return Published(self.url, len(told), hashlib.sha256(told).hexdigest())


@pytest.fixture
def shelf(tmp_path: Path) -> Iterator[Shelf]:
    folder = tmp_path / "shelf"
    folder.mkdir()

    class Quiet(http.server.SimpleHTTPRequestHandler):
        def log_message(self, *_: object) -> None:
            pass

    handler = functools.partial(Quiet, directory=str(folder))
    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        name = f"{MODEL_NAME}.zip"
        yield Shelf(folder / name, f"http://127.0.0.1:{server.server_port}/{name}")
        server.shutdown()


def write_model(shelf: Shelf, folder: Path) -> None:
    source = put_model(folder / MODEL_NAME)
    with zipfile.ZipFile(shelf.archive, "w") as archive:
        for path in source.rglob("*"):
            archive.write(path, path.relative_to(source.parent))


def test_what_is_fetched_is_put_in_place_and_found(tmp_path: Path, shelf: Shelf):
    write_model(shelf, tmp_path / "source")
    published = shelf.published()

    fetched = fetch_vosk_model(tmp_path, published)
    shelf.archive.unlink()

    assert fetched == tmp_path / MODELS / MODEL_NAME
    assert find_vosk_model(tmp_path, None, {}) == fetched
    assert fetch_vosk_model(tmp_path, published) == fetched


@pytest.mark.parametrize("change", ["one byte", "longer", "shorter"])
def test_what_was_not_published_is_never_unpacked(tmp_path: Path, shelf: Shelf, change: str):
    write_model(shelf, tmp_path / "source")
    published, content = shelf.published(), shelf.archive.read_bytes()
    changed = {
        "one byte": content.replace(b"for the look", b"for the loot"),
        "longer": content + b"x",
        "shorter": content[:-1],
    }[change]
    shelf.archive.write_bytes(changed)

    with pytest.raises(EngineUnavailable, match="not the model that was published"):
        fetch_vosk_model(tmp_path, published)

    assert list((tmp_path / MODELS).iterdir()) == []


def test_an_archive_that_is_broken_or_holds_no_model_leaves_nothing(tmp_path: Path, shelf: Shelf):
    shelf.archive.write_bytes(b"no archive")
    with pytest.raises(EngineUnavailable, match="could not be fetched"):
        fetch_vosk_model(tmp_path, shelf.published())

    with zipfile.ZipFile(shelf.archive, "w") as other:
        other.writestr("readme", "another thing")
    with pytest.raises(EngineUnavailable, match="is no model"):
        fetch_vosk_model(tmp_path, shelf.published())

    assert list((tmp_path / MODELS).iterdir()) == []
