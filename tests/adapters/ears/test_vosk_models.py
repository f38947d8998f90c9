from __future__ import annotations

import functools
import http.server
import threading
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
import vosk

from assistant.adapters.vosk_models import (
    MODEL_NAME,
    MODEL_VARIABLE,
    MODELS,
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


def test_without_a_network_fetching_ends_in_a_clear_error_and_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    # nothing listens on port 9, so this holds on a machine with a network as well
    monkeypatch.setattr(vosk, "MODEL_PRE_URL", "http://127.0.0.1:9/")

    with pytest.raises(EngineUnavailable, match="could not be fetched") as caught:
        fetch_vosk_model(tmp_path)

    assert f"{MODEL_NAME}.zip" in caught.value.remedy
    assert list((tmp_path / MODELS).iterdir()) == []
    assert find_vosk_model(tmp_path, None, {}) is None


@pytest.fixture
def shelf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A folder that is served to Vosk's downloader in place of its own address."""
    folder = tmp_path / "shelf"
    folder.mkdir()

    class Quiet(http.server.SimpleHTTPRequestHandler):
        def log_message(self, *_: object) -> None:
            pass

    handler = functools.partial(Quiet, directory=str(folder))
    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        monkeypatch.setattr(vosk, "MODEL_PRE_URL", f"http://127.0.0.1:{server.server_port}/")
        yield folder
        server.shutdown()


def test_what_is_fetched_is_put_in_place_and_found(tmp_path: Path, shelf: Path):
    source = put_model(tmp_path / "source" / MODEL_NAME)
    with zipfile.ZipFile(shelf / f"{MODEL_NAME}.zip", "w") as archive:
        for path in source.rglob("*"):
            archive.write(path, path.relative_to(source.parent))

    fetched = fetch_vosk_model(tmp_path)
    (shelf / f"{MODEL_NAME}.zip").unlink()

    assert fetched == tmp_path / MODELS / MODEL_NAME
    assert find_vosk_model(tmp_path, None, {}) == fetched
    assert fetch_vosk_model(tmp_path) == fetched


def test_an_archive_that_is_broken_or_holds_no_model_leaves_nothing(tmp_path: Path, shelf: Path):
    archive = shelf / f"{MODEL_NAME}.zip"
    archive.write_bytes(b"no archive")
    with pytest.raises(EngineUnavailable, match="could not be fetched"):
        fetch_vosk_model(tmp_path)

    with zipfile.ZipFile(archive, "w") as other:
        other.writestr("readme", "another thing")
    with pytest.raises(EngineUnavailable, match="is no model"):
        fetch_vosk_model(tmp_path)

    assert list((tmp_path / MODELS).iterdir()) == []
