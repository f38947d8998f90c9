"""Which phone is heard when: a small network on what the speech model's encoder makes of a sound.

The encoder writes 41 rows a second, each of 288 numbers (docs/phone-head.md tells how the network
was trained and on what).  Two convolutions over time look at each row and a few around it, and a
last layer gives the log-probability of each of the 39 phones of the CMU dictionary, or of no new
phone, the blank of connectionist temporal classification (Graves et al. 2006, ICML).
"""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np

from assistant.adapters.ears.moonshine_model import Floats
from assistant.adapters.ears.pronunciations import PHONES
from assistant.errors import EngineUnavailable

NAMES = ("_", *sorted(PHONES))
"""What the columns of the table are: the blank, then the phones of CMUdict by their alphabet."""

LAYERS = (
    *("mean", "spread", "near", "near_bias"),
    *("around", "around_bias", "phones", "phones_bias"),
)
"""The arrays of the file beside `names`, in the order in which they are used."""

_FILE = "phone_head.npz"
_KERNEL = 3
_REMEDY = "Install dosewren again."


@dataclass(frozen=True, slots=True)
class PhoneHead:
    """The network; `columns` gives each phone its column in the table, the blank has column 0."""

    columns: Mapping[str, int]
    layers: Mapping[str, Floats]

    def table(self, states: Floats) -> Floats:
        """Log-probabilities, frames × phones, of the encoder's states, frames × 288."""
        of = self.layers
        rows = (states - of["mean"]) / of["spread"]
        near = np.maximum(_convolved(rows, of["near"]) + of["near_bias"], 0)
        near += np.maximum(_convolved(near, of["around"]) + of["around_bias"], 0)
        scores = near @ of["phones"] + of["phones_bias"]
        scores -= scores.max(axis=1, keepdims=True)
        found: Floats = scores - np.log(np.exp(scores).sum(axis=1, keepdims=True))
        return found


def _convolved(rows: Floats, kernel: Floats) -> Floats:
    """The rows weighed with those around them, nought beyond both ends.

    `kernel` is offsets × in × out, its offsets odd in number.
    """
    width = len(kernel)
    padded = np.pad(rows, ((width // 2, width // 2), (0, 0)))
    found: Floats = sum(padded[at : at + len(rows)] @ kernel[at] for at in range(width))
    return found


@cache
def packaged_head() -> PhoneHead:
    """The network that comes with the package; raises EngineUnavailable where it is damaged."""
    try:
        content = files("assistant").joinpath("data", _FILE).read_bytes()
    except OSError as error:
        raise EngineUnavailable(
            f"The phone table {_FILE} cannot be read: {error}.", _REMEDY
        ) from error
    return read_head(content)


def read_head(content: bytes) -> PhoneHead:
    """The network in the content of a file; raises EngineUnavailable where it is damaged."""
    try:
        with np.load(io.BytesIO(content), allow_pickle=False) as kept:
            names = [str(name) for name in kept["names"]]
            layers = {name: kept[name].astype(np.float32) for name in LAYERS}
    except Exception as error:  # a damaged archive fails in zipfile, zlib and NumPy in many ways
        # NumPy's own words advise how to load the file unsafely
        raise EngineUnavailable(f"The phone table {_FILE} is damaged.", _REMEDY) from error
    if not _fits(names, layers):
        raise EngineUnavailable(f"The phone table {_FILE} is not what it should be.", _REMEDY)
    return PhoneHead({name: column for column, name in enumerate(names)}, layers)


def _fits(names: Sequence[str], layers: Mapping[str, Floats]) -> bool:
    """Whether names and layers are those of one network, with no value that is no number."""
    if not layers["near"].ndim == layers["around"].ndim == _KERNEL:
        return False
    _, inner, hidden = layers["near"].shape
    shapes = {
        "mean": (inner,),
        "spread": (inner,),
        "near": (len(layers["near"]), inner, hidden),
        "near_bias": (hidden,),
        "around": (len(layers["around"]), hidden, hidden),
        "around_bias": (hidden,),
        "phones": (hidden, len(names)),
        "phones_bias": (len(names),),
    }
    return (
        tuple(names) == NAMES
        and all(layers[name].shape == shape for name, shape in shapes.items())
        and all(bool(np.isfinite(layer).all()) for layer in layers.values())
        and len(layers["near"]) % 2 == len(layers["around"]) % 2 == 1
        and bool((layers["spread"] > 0).all())
    )
