"""The small network that writes phones: its arithmetic, its file, and what damage leads to."""

from __future__ import annotations

import io
import math
import os
from collections.abc import Mapping
from importlib.resources import files
from pathlib import Path
from typing import Any, TypeAlias

import numpy as np
import pytest

from assistant.adapters.ears.moonshine_model import Floats
from assistant.adapters.ears.phone_head import LAYERS, NAMES, packaged_head, read_head
from assistant.adapters.ears.pronunciations import PHONES
from assistant.errors import EngineUnavailable

IN, HIDDEN = 7, 4

Rows: TypeAlias = list[list[float]]

PACKAGED = files("assistant").joinpath("data", "phone_head.npz")


def tiny_layers() -> dict[str, np.ndarray]:
    rng = np.random.default_rng(11)
    shapes = {
        "mean": (IN,),
        "spread": (IN,),
        "near": (5, IN, HIDDEN),
        "near_bias": (HIDDEN,),
        "around": (3, HIDDEN, HIDDEN),
        "around_bias": (HIDDEN,),
        "phones": (HIDDEN, len(NAMES)),
        "phones_bias": (len(NAMES),),
    }
    layers = {name: rng.normal(0, 0.5, shape).astype(np.float16) for name, shape in shapes.items()}
    layers["spread"] = np.abs(layers["spread"]) + np.float16(0.1)
    return layers


def as_file(names: np.ndarray | None = None, **layers: Any) -> bytes:  # noqa: ANN401 - NumPy takes arrays and options by one name
    given = np.array(NAMES) if names is None else names
    content = io.BytesIO()
    np.savez_compressed(content, names=given, **layers)
    return content.getvalue()


def heads() -> list[bytes]:
    packaged = [PACKAGED.read_bytes()] if PACKAGED.is_file() else []
    return [as_file(**tiny_layers()), *packaged]


def plain_table(layers: Mapping[str, Floats], states: Floats) -> Rows:
    """The network by its definition, one number after the other."""
    of = {name: layers[name].astype(float) for name in LAYERS}
    rows = [
        [(x - m) / s for x, m, s in zip(row, of["mean"], of["spread"], strict=True)]
        for row in states
    ]
    near = plain_convolution(rows, of["near"], of["near_bias"])
    around = plain_convolution(near, of["around"], of["around_bias"])
    found = []
    for one, other in zip(near, around, strict=True):
        inner = [a + b for a, b in zip(one, other, strict=True)]
        scores = [
            bias + sum(inner[k] * of["phones"][k][out] for k in range(len(inner)))
            for out, bias in enumerate(of["phones_bias"])
        ]
        total = math.log(math.fsum(math.exp(score) for score in scores))
        found.append([score - total for score in scores])
    return found


def plain_convolution(rows: Rows, kernel: np.ndarray, bias: np.ndarray) -> Rows:
    width, ins, outs = kernel.shape
    found = []
    for at in range(len(rows)):
        row = []
        for out in range(outs):
            total = float(bias[out])
            for offset in range(width):
                place = at + offset - width // 2
                if 0 <= place < len(rows):
                    total += sum(rows[place][k] * kernel[offset][k][out] for k in range(ins))
            row.append(max(total, 0.0))
        found.append(row)
    return found


def states_for(layers: Mapping[str, Floats], count: int) -> Floats:
    chance = np.random.default_rng(count)
    drawn = chance.standard_normal((count, len(layers["mean"])))
    return (layers["mean"] + layers["spread"] * drawn).astype(np.float32)


@pytest.mark.parametrize("content", heads(), ids=["tiny", "packaged"][: len(heads())])
def test_a_head_has_the_blank_and_the_phones_of_the_dictionary_as_its_columns(content: bytes):
    head = read_head(content)
    assert len(head.columns) == 40
    assert sorted(head.columns.values()) == list(range(40))
    assert head.columns["_"] == 0
    assert set(head.columns) - {"_"} == PHONES
    assert head.table(states_for(head.layers, 9)).shape == (9, 40)


@pytest.mark.parametrize("content", heads(), ids=["tiny", "packaged"][: len(heads())])
@pytest.mark.parametrize("count", [1, 2, 60])
def test_each_row_of_a_table_is_a_distribution(content: bytes, count: int):
    head = read_head(content)
    table = head.table(states_for(head.layers, count))
    assert np.exp(table.astype(float)).sum(axis=1) == pytest.approx(np.ones(count), abs=1e-5)


def test_no_frames_give_an_empty_table():
    head = read_head(as_file(**tiny_layers()))
    assert head.table(np.zeros((0, IN), np.float32)).shape == (0, 40)


@pytest.mark.parametrize("count", [1, 3, 12])
def test_a_table_is_that_of_the_network_worked_out_number_by_number(count: int):
    head = read_head(as_file(**tiny_layers()))
    states = states_for(head.layers, count)
    plain = np.array(plain_table(head.layers, states))
    assert head.table(states) == pytest.approx(plain, abs=1e-4)


def test_very_large_states_still_give_finite_rows():
    head = read_head(as_file(**tiny_layers()))
    table = head.table(np.full((4, IN), 1e5, np.float32))
    assert np.isfinite(table).all()


@pytest.mark.parametrize("name", ["names", *LAYERS])
def test_a_file_without_one_of_its_arrays_is_refused(name: str):
    arrays: dict[str, Any] = {"names": np.array(NAMES), **tiny_layers()}
    del arrays[name]
    content = io.BytesIO()
    np.savez(content, **arrays)
    with pytest.raises(EngineUnavailable):
        read_head(content.getvalue())


@pytest.mark.parametrize("name", LAYERS)
@pytest.mark.parametrize("wrong", ["number", "shape", "not a number"])
def test_a_file_with_an_array_that_does_not_fit_is_refused(name: str, wrong: str):
    layers = tiny_layers()
    match wrong:
        case "number":
            layers[name] = np.array(1.0, np.float16)
        case "shape":
            layers[name] = np.concatenate([layers[name]] * 2, axis=-1)
        case _:
            layers[name].flat[0] = np.nan
    with pytest.raises(EngineUnavailable) as caught:
        read_head(as_file(**layers))
    assert caught.value.remedy


@pytest.mark.parametrize(
    "names",
    [NAMES[::-1], (*NAMES[:-1], "XX"), NAMES[1:], (*NAMES[1:], "_")],
    ids=["reversed", "unknown phone", "no blank", "blank last"],
)
def test_a_file_with_other_columns_is_refused(names: tuple[str, ...]):
    with pytest.raises(EngineUnavailable):
        read_head(as_file(names=np.array(names), **tiny_layers()))


def test_a_spread_of_nought_is_refused():
    layers = tiny_layers()
    layers["spread"][2] = 0
    with pytest.raises(EngineUnavailable):
        read_head(as_file(**layers))


def test_a_kernel_with_no_middle_is_refused():
    layers = tiny_layers()
    layers["near"] = layers["near"][:4]
    with pytest.raises(EngineUnavailable):
        read_head(as_file(**layers))


def test_a_file_that_was_cut_or_changed_is_refused():
    whole = as_file(**tiny_layers())
    middle = len(whole) // 2
    changed = whole[:middle] + bytes(byte ^ 0xFF for byte in whole[middle : middle + 8])
    damaged = [b"", b"PK", whole[:200], whole[:-10], changed + whole[middle + 8 :]]
    for content in damaged:
        with pytest.raises(EngineUnavailable):
            read_head(content)


class Unwanted:
    """Makes a folder when it is unpickled."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def __reduce__(self) -> tuple[object, ...]:  # noqa: D105 - what pickle asks
        return os.makedirs, (str(self.folder),)


def test_nothing_in_a_file_is_ever_unpickled(tmp_path: Path):
    array = np.empty(1, dtype=object)
    array[0] = Unwanted(tmp_path / "unpickled")
    for content in (as_file(names=array, **tiny_layers()), _alone(array)):
        with pytest.raises(EngineUnavailable):
            read_head(content)
    assert not (tmp_path / "unpickled").exists()
    np.load(io.BytesIO(_alone(array)), allow_pickle=True)
    assert (tmp_path / "unpickled").exists()


def _alone(array: np.ndarray) -> bytes:
    content = io.BytesIO()
    np.save(content, array, allow_pickle=True)
    return content.getvalue()


def test_the_packaged_head_reads_or_says_what_to_do():
    if PACKAGED.is_file():
        assert len(packaged_head().columns) == 40
        return
    with pytest.raises(EngineUnavailable) as caught:
        packaged_head()
    assert "Install" in caught.value.remedy
