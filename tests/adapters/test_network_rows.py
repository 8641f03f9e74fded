"""One row of sound for all that is written of it, against a copy for each row, as the network's maker runs it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded.files import find_network
from assistant.adapters.recogniser_embedded.network import BEGIN, END, Decoder, Encoder, nothing_heard, nothing_written
from assistant.ports import SAMPLE_RATE_HZ

Floats = NDArray[np.float32]

ROWS = 3


def _sound() -> Floats:
    return np.random.default_rng(4).normal(0.0, 0.05, SAMPLE_RATE_HZ).astype(np.float32)


def _run(decoder: Decoder, feed: dict[str, object]) -> dict[str, Floats]:
    names = [output.name for output in decoder._session.get_outputs()]
    return dict(zip(names, decoder._session.run(None, feed), strict=True))


def test_the_sound_of_one_row_counts_for_each() -> None:
    """The maker's file names one size for the rows of all its inputs; that it reads one row for many is ours to know,
    so each installed version is tried: the same numbers, to the last bit."""
    files, sound = find_network(), _sound()
    hidden, decoder = Encoder(files.encoder)(sound), Decoder(files.decoder)
    copies = np.repeat(hidden, ROWS, axis=0)
    shared = {
        "encoder_attention_mask": np.ones((ROWS, len(sound)), np.int64),
        "encoder_hidden_states": copies,
    }
    begun = _run(
        decoder,
        shared
        | {"input_ids": np.full((ROWS, 1), BEGIN, np.int64), "use_cache_branch": np.array([False])}
        | nothing_written(ROWS)
        | {name: np.repeat(value, ROWS, axis=0) for name, value in nothing_heard().items()},
    )
    memory = {name.replace("present", "past_key_values"): value for name, value in begun.items() if name != "logits"}
    tokens = np.array([[400], [END], [1_000]], np.int64)
    after = _run(decoder, shared | {"input_ids": tokens, "use_cache_branch": np.array([True])} | memory)

    first = decoder(hidden, len(sound), np.array([[BEGIN]], np.int64), None)
    ours = {name: np.repeat(value, ROWS, axis=0) for name, value in first.items() if ".decoder." in name}
    ours |= {name: value for name, value in first.items() if ".encoder." in name}
    found = decoder(hidden, len(sound), tokens, ours)
    assert np.array_equal(found["logits"], after["logits"])
    assert len({row.tobytes() for row in found["logits"]}) == ROWS
