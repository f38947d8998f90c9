"""The training: batches in, a network out, with the phone error rate of voices held out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import jax
import numpy as np
import optax
from numpy.typing import NDArray

from assistant.adapters.ears.phone_head import PhoneHead
from assistant.bench.phones_fit.batches import Batch, Scale, batch_count, batches, scale_of
from assistant.bench.phones_fit.kept_head import keep_head
from assistant.bench.phones_fit.network import Weights, first_weights, loss
from assistant.bench.phones_fit.phone_errors import phone_errors
from assistant.bench.phones_fit.shards import Example

_HEARD_OUT = 600
"""So many utterances of the voices held out are heard after each epoch, evenly chosen."""


@dataclass(frozen=True, slots=True)
class Course:
    """How long and how fast; set by hand on development voices."""

    epochs: int
    batch: int = 32
    rate: float = 2.5e-3
    rise: float = 0.15
    """The share of the time in which the rate rises, before it falls (Smith and Topin 2019)."""

    decay: float = 1e-3
    longest_step: float = 5.0
    seed: int = 0
    start: PhoneHead | None = None
    """The network to go on from, with its scale; without it, the weights are drawn by chance."""


@dataclass(slots=True)
class Learner:
    """Weights on their way, and one step further for each batch."""

    weights: Weights
    step: Callable[[Any, Any, Batch, Any], Any]
    memory: Any
    key: Any

    def learn(self, batch: Batch) -> float:
        """Take one step; returns the loss before it."""
        self.key, now = jax.random.split(self.key)
        self.weights, self.memory, lost = self.step(self.weights, self.memory, batch, now)
        return float(lost)


def fit(
    examples: tuple[Sequence[Example], Sequence[Example]],
    course: Course,
    target: Path,
    told: Callable[[str], None],
) -> None:
    """Fit on the first examples, tell the errors on the others, and write after each epoch."""
    kept, out = examples
    chance = np.random.default_rng(course.seed)
    scale, weights = _start(kept, course, chance)
    learner = _learner(weights, course, batch_count(kept, course.batch))
    heard = out[:: max(1, len(out) // _HEARD_OUT)]
    for epoch in range(1, course.epochs + 1):
        losses = [learner.learn(batch) for batch in batches(kept, scale, course.batch, chance)]
        head = keep_head(_plain(learner.weights), scale, target)
        line = f"epoch {epoch}: loss {np.mean(losses):.4f} for each phone"
        if heard:
            wrong, said = phone_errors(head, heard)
            line += f", phone error rate {wrong / said:.1%} of {said} phones held out"
        told(line)


def _start(
    kept: Sequence[Example], course: Course, chance: np.random.Generator
) -> tuple[Scale, Weights]:
    """What the training starts from."""
    if course.start is None:
        scale = scale_of(kept)
        return scale, first_weights(len(scale.mean), chance)
    layers = course.start.layers
    inner = {name: layer for name, layer in layers.items() if name not in {"mean", "spread"}}
    return Scale(layers["mean"], layers["spread"]), inner


def _learner(weights: Weights, course: Course, steps_an_epoch: int) -> Learner:
    steps = course.epochs * steps_an_epoch
    rates = optax.cosine_onecycle_schedule(steps, course.rate, course.rise)
    rule = optax.chain(
        optax.clip_by_global_norm(course.longest_step),
        optax.adamw(rates, weight_decay=course.decay),
    )

    def step(weights: Weights, memory: Any, batch: Batch, key: Any) -> Any:  # noqa: ANN401 - JAX arrays
        lost, slope = jax.value_and_grad(loss)(weights, batch, key)
        change, memory = rule.update(slope, memory, weights)
        return optax.apply_updates(weights, change), memory, lost

    return Learner(weights, jax.jit(step), rule.init(weights), jax.random.PRNGKey(course.seed))


def _plain(weights: Weights) -> dict[str, NDArray[np.float32]]:
    return {name: np.asarray(layer, np.float32) for name, layer in weights.items()}


jax.tree_util.register_dataclass(Batch, ["rows", "frames", "phones", "phone_counts"], [])
