"""The fitted network as a file that `assistant.adapters.ears.phone_head` reads."""

from __future__ import annotations

import io
from collections.abc import Mapping
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.ears.phone_head import LAYERS, NAMES, PhoneHead, read_head
from assistant.bench.phones_fit.batches import Scale


def head_content(layers: Mapping[str, NDArray[np.float32]], scale: Scale) -> bytes:
    """The file's content; the layers lose precision, to 16 bits, the scale does not."""
    whole: dict[str, NDArray[np.floating]] = {"mean": scale.mean, "spread": scale.spread}
    whole |= {name: layers[name].astype(np.float16) for name in LAYERS if name not in whole}
    content = io.BytesIO()
    np.savez_compressed(content, allow_pickle=False, names=np.array(NAMES), **whole)
    return content.getvalue()


def keep_head(layers: Mapping[str, NDArray[np.float32]], scale: Scale, target: Path) -> PhoneHead:
    """Write the network; returns it as it will be read, and raises where it would not be."""
    content = head_content(layers, scale)
    head = read_head(content)
    target.write_bytes(content)
    return head
