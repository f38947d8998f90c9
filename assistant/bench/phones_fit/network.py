"""The network in JAX, as `assistant.adapters.ears.phone_head` works it out in NumPy, and its loss.

The loss is that of connectionist temporal classification (Graves et al. 2006, ICML), for each phone
of the text.  While it is fitted, a share of the encoder's 288 numbers is left out for a whole
utterance at a time (Tompson et al. 2015, CVPR), and of the inner ones frame by frame
(Srivastava et al. 2014, JMLR 15).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeAlias

import jax
import jax.numpy as jnp
import numpy as np
import optax

from assistant.adapters.ears.phone_head import NAMES
from assistant.bench.phones_fit.batches import Batch

Weights: TypeAlias = Mapping[str, Any]
"""JAX arrays, by the names that the file of the network has for them."""

HIDDEN = 160
NEAR, AROUND = 5, 3
"""How many frames each convolution looks at; 41 are a second."""

KEPT = 0.85
_GENTLE = 0.5


def first_weights(size: int, chance: np.random.Generator) -> Weights:
    """Weights to begin with, for rows of so many numbers (He et al. 2015, ICCV)."""

    def drawn(*shape: int) -> Any:  # noqa: ANN401 - a JAX array
        spread = float((2 / np.prod(shape[:-1])) ** 0.5)
        return jnp.asarray(chance.normal(0, spread, shape), jnp.float32)

    return {
        "near": drawn(NEAR, size, HIDDEN),
        "near_bias": jnp.zeros(HIDDEN),
        "around": drawn(AROUND, HIDDEN, HIDDEN),
        "around_bias": jnp.zeros(HIDDEN),
        "phones": drawn(HIDDEN, len(NAMES)) * _GENTLE,
        "phones_bias": jnp.zeros(len(NAMES)),
    }


def scores(of: Weights, batch: Batch, key: Any = None) -> Any:  # noqa: ANN401 - JAX arrays
    """Scores of the columns, utterances × frames × columns; with a key, some numbers left out."""
    rows, inner = batch.rows, None
    if key is not None:
        whole, inner = jax.random.split(key)
        rows = _thinned(rows, whole, (rows.shape[0], 1, rows.shape[2]))
    near = jax.nn.relu(_convolved(rows, of["near"]) + of["near_bias"])
    if inner is not None:
        near = _thinned(near, inner, near.shape)
    # beyond its end an utterance is nought, as it is where it is heard alone
    near = near * _within(batch.frames, rows.shape[1])[..., None]
    near = near + jax.nn.relu(_convolved(near, of["around"]) + of["around_bias"])
    return near @ of["phones"] + of["phones_bias"]


def loss(of: Weights, batch: Batch, key: Any) -> Any:  # noqa: ANN401 - JAX arrays
    """The mean of the utterances' losses, each for one of its phones, in natural log units."""
    beyond = 1 - _within(batch.frames, batch.rows.shape[1])
    unsaid = 1 - _within(batch.phone_counts, batch.phones.shape[1])
    each = optax.ctc_loss(scores(of, batch, key), beyond, batch.phones, unsaid, blank_id=0)
    # what only fills the batch up says a blank, which no text does
    said = (batch.phones[:, 0] > 0).astype(jnp.float32)
    return jnp.sum(said * each / batch.phone_counts) / jnp.sum(said)


def _within(lengths: Any, longest: int) -> Any:  # noqa: ANN401 - JAX arrays
    return (jnp.arange(longest)[None] < lengths[:, None]).astype(jnp.float32)


def _convolved(rows: Any, kernel: Any) -> Any:  # noqa: ANN401 - JAX arrays
    shapes = ("NWC", "WIO", "NWC")
    return jax.lax.conv_general_dilated(rows, kernel, (1,), "SAME", dimension_numbers=shapes)


def _thinned(numbers: Any, key: Any, shape: tuple[int, ...]) -> Any:  # noqa: ANN401 - JAX arrays
    return numbers * jax.random.bernoulli(key, KEPT, shape) / KEPT
