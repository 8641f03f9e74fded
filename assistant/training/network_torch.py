"""The speech network's two halves in torch, to learn on from where its maker stopped.

What it does is as its files say; `tests/training/test_network_torch.py` holds it against them, run by onnxruntime. Each
matrix of the network stands still, and beside it a product of two thin ones learns (E. Hu et al., LoRA: Low-Rank
Adaptation of Large Language Models, 2021): a hundredth of the weights, so what was learnt can travel.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from assistant.adapters.recogniser_embedded.network import HEAD_WIDTH, HEADS, LAYERS
from assistant.training.network_weights import Weights

TURNED = 32
"""Of the width of a head, what is turned by where it stands; the rest is not. Source: the network's files."""

TURNS = 10_000.0
"""Source: J. Su et al., RoFormer: Enhanced Transformer with Rotary Position Embedding (2021)."""

STEPS = ((127, 64), (7, 3), (3, 2))
"""Width and stride, in what they are given, of the three convolutions with which the network begins."""

USED, LATER = 1e-5, 1e-12
"""What is added to a spread before it divides."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Thin:
    """What learns: by the name of a matrix the two thin ones, (inputs, rank) and (rank, outputs)."""

    pairs: dict[str, tuple[Any, Any]] = field(default_factory=dict)


class Half:
    """What both halves have: matrices that stand still, thin ones that learn, and what they do with them."""

    def __init__(self, weights: Weights, torch: Any, device: Any) -> None:
        self.torch, self.device = torch, device
        self._still = {
            name: torch.from_numpy(matrix.values).to(device) for name, matrix in weights.matrices.items()
        }  # fmt: skip
        self._arrays = {
            name: torch.from_numpy(np.array(values)).to(device)
            for name, values in weights.arrays.items() if values.dtype == np.float32
        }  # fmt: skip
        self.thin = Thin()

    def learn(self, names: Mapping[str, int], seed: int) -> list[Any]:
        """Thin matrices beside these, of that rank each; what they add is nothing at first. Gives what learns."""
        random = np.random.default_rng(seed)
        for name, rank in names.items():
            inputs, outputs = self._still[name].shape
            first = random.normal(size=(inputs, rank)).astype(np.float32) / math.sqrt(inputs)
            pair = (first, np.zeros((rank, outputs), np.float32))
            self.thin.pairs[name] = tuple(
                self.torch.tensor(each, device=self.device, requires_grad=True) for each in pair
            )  # fmt: skip
        return [each for pair in self.thin.pairs.values() for each in pair]

    @property
    def names(self) -> list[str]:
        """Of all matrices."""
        return sorted(self._still)

    def by(self, name: str, given: Any, *, offset: bool = False) -> Any:
        """`given` times the matrix of that name."""
        found = given @ self._still[name]
        if name in self.thin.pairs:
            first, second = self.thin.pairs[name]
            found = found + (given @ first) @ second
        return found + self._arrays[f"{name}.bias"] if offset else found

    def evened(self, name: str, given: Any) -> Any:
        """Each step with mean nought and spread one, times its weight."""
        weight = self._arrays[f"{name}.weight"]
        return self.torch.nn.functional.layer_norm(given, weight.shape, weight, None, USED)

    def attention(self, name: str, given: Any, of: Any, mask: Any, turn: Any | None) -> Any:
        """`given`: (rows, steps, width) looks at `of`; `mask`: what each may see."""
        query, key, value = (
            self._heads(self.by(f"{name}.{kind}_proj", source))
            for kind, source in (("q", given), ("k", of), ("v", of))
        )  # fmt: skip
        if turn is not None:
            query, key = self._turned(query, turn), self._turned(key, turn)
        seen = self.torch.nn.functional.scaled_dot_product_attention(query, key, value, attn_mask=mask)
        rows, _, steps, _ = seen.shape
        return self.by(f"{name}.o_proj", seen.transpose(1, 2).reshape(rows, steps, HEADS * HEAD_WIDTH))

    def turn(self, steps: int) -> Any:
        """Cosine and sine of how far each step is turned: (steps, TURNED / 2) both."""
        torch = self.torch
        slow = TURNS ** (-torch.arange(0, TURNED, 2, device=self.device).float() / TURNED)
        angle = torch.arange(steps, device=self.device).float()[:, None] * slow
        return angle.cos(), angle.sin()

    def _heads(self, given: Any) -> Any:
        rows, steps, _ = given.shape
        return given.reshape(rows, steps, HEADS, HEAD_WIDTH).transpose(1, 2)

    def _turned(self, given: Any, turn: Any) -> Any:
        cosine, sine = (each.to(given.dtype) for each in turn)
        even, odd, rest = given[..., 0:TURNED:2], given[..., 1:TURNED:2], given[..., TURNED:]
        both = self.torch.stack((even * cosine - odd * sine, odd * cosine + even * sine), dim=-1).flatten(-2)
        return self.torch.cat((both, rest), dim=-1)


class Listening(Half):
    """The half that listens."""

    def __call__(self, sound: Any, frames: Any) -> tuple[Any, Any]:
        """`sound`: (rows, samples), noughts past each row's `frames` -> (rows, steps, 288), and how many each has.

        A row is heard as if it were alone: what the noughts give is left out where all steps are looked at.
        """
        return self.later(*self.first(sound, frames))

    def first(self, sound: Any, frames: Any) -> tuple[Any, Any]:
        """What the convolutions make of it, which nothing is learnt beside: (rows, steps, 288), and how many each
        has."""
        torch, of = self.torch, self._arrays
        nothing = torch.nn.functional
        lengths = frames
        (wide, stride), *later = STEPS
        within = torch.tanh(nothing.conv1d(sound[:, None], of["conv1.weight"], stride=stride))
        lengths = (lengths - wide) // stride + 1
        within = self._even(within, lengths)
        for number, (wide, stride) in enumerate(later, 2):
            name = f"conv{number}"
            within = nothing.gelu(nothing.conv1d(within, of[f"{name}.weight"], of[f"{name}.bias"], stride=stride))
            lengths = (lengths - wide) // stride + 1
        return within.transpose(1, 2), lengths

    def later(self, within: Any, lengths: Any) -> tuple[Any, Any]:
        """What the layers make of that."""
        nothing = self.torch.nn.functional
        there = self.torch.arange(within.shape[1], device=self.device)[None] < lengths[:, None]
        mask, turn = there[:, None, None, :], self.turn(within.shape[1])
        for layer in range(LAYERS):
            name = f"layers.{layer}"
            given = self.evened(f"{name}.input_layernorm", within)
            within = within + self.attention(f"{name}.self_attn", given, given, mask, turn)
            given = self.evened(f"{name}.post_attention_layernorm", within)
            given = nothing.gelu(self.by(f"{name}.mlp.fc1", given, offset=True))
            within = within + self.by(f"{name}.mlp.fc2", given, offset=True)
        return self.evened("layer_norm", within), lengths

    def _even(self, given: Any, lengths: Any) -> Any:
        """All of a row's channels and steps with mean nought and spread one."""
        there = (self.torch.arange(given.shape[2], device=self.device)[None] < lengths[:, None])[:, None]
        many = (lengths * given.shape[1])[:, None, None]
        mean = (given * there).sum((1, 2), keepdim=True) / many
        apart = (given - mean) * there
        spread = (apart**2).sum((1, 2), keepdim=True) / many
        even = apart / self.torch.sqrt(spread + USED)
        return even * self._arrays["onnx::Mul_2080"] + self._arrays["onnx::Add_2081"]


class Writing(Half):
    """The half that writes."""

    def __call__(self, tokens: Any, hidden: Any, lengths: Any, *, last: bool = False) -> Any:
        """`tokens`: (rows, so far), `hidden`: (rows, steps, 288), of which each row has `lengths` -> logits of what
        comes after each, or after the `last` alone: (rows, so far, tokens)."""
        torch = self.torch
        within = self._still["proj_out"].T[tokens]
        there = torch.arange(hidden.shape[1], device=self.device)[None] < lengths[:, None]
        seen, turn = there[:, None, None, :], self.turn(tokens.shape[1])
        past = torch.ones(tokens.shape[1], tokens.shape[1], dtype=torch.bool, device=self.device).tril()[None, None]
        for layer in range(LAYERS):
            name = f"layers.{layer}"
            given = self.evened(f"{name}.input_layernorm", within)
            within = within + self.attention(f"{name}.self_attn", given, given, past, turn)
            given = self.evened(f"{name}.post_attention_layernorm", within)
            within = within + self.attention(f"{name}.encoder_attn", given, hidden, seen, None)
            given = self.by(f"{name}.mlp.fc1", self.evened(f"{name}.final_layernorm", within), offset=True)
            value, gate = given.chunk(2, dim=-1)
            within = within + self.by(f"{name}.mlp.fc2", torch.nn.functional.silu(gate) * value, offset=True)
        return self.by("proj_out", self.evened("norm", within[:, -1:] if last else within))
