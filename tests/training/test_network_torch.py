"""The network in torch does what the installed one does, run by onnxruntime."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

from assistant.adapters.recogniser_embedded.files import find_network
from assistant.adapters.recogniser_embedded.network import BEGIN, Network, SpeechPassage
from assistant.adapters.recogniser_embedded.taught import read_taught
from assistant.bench.voices import Speaker, speak
from assistant.errors import SetupError
from assistant.hearing.sound import LEVEL, cleaned
from assistant.training.network_weights import read_weights
from assistant.training.writing_sounds import PARTS, as_written, is_left_out, spoken_texts, texts_of
from assistant.wiring import load_library

WORDS = "the pump hums for two seconds and then it stops"


def _out(folder: Path) -> list[str]:
    return ["--out", str(folder / "writing.npz"), "--heard", str(folder / "hearing.npz")]


def test_without_torch_it_says_what_is_missing(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Torch is needed to learn, never to hear."""
    from assistant.training import writing  # noqa: PLC0415 - as the command line imports it

    monkeypatch.setitem(sys.modules, "torch", None)
    with pytest.raises(SetupError, match="torch is not installed"):
        writing.command.main(_out(tmp_path), standalone_mode=False)


def test_it_hears_and_writes_as_the_installed_network_does() -> None:
    """Two sounds of unlike length at once, as each alone: the installed one rounds to bytes, so nearly the same."""
    torch = pytest.importorskip("torch")
    from assistant.training.network_torch import Listening, Writing  # noqa: PLC0415

    files = find_network()
    network = Network(files, threads=1)
    whole = cleaned(speak(Speaker("hibari", "own"), WORDS))
    sounds = [whole, whole[: len(whole) * 3 // 5]]
    padded = np.zeros((2, len(whole)), np.float32)
    for row, sound in enumerate(sounds):
        padded[row, : len(sound)] = sound
    listening = Listening(read_weights(files.encoder), torch, "cpu")
    writing = Writing(read_weights(files.decoder), torch, "cpu")
    tokens = np.array([[BEGIN, *network.vocabulary.encode(f" {WORDS.capitalize()}.")]], np.int64)
    with torch.no_grad():
        hidden, lengths = listening(torch.from_numpy(padded), torch.tensor([len(each) for each in sounds]))
        for row, sound in enumerate(sounds):
            theirs = SpeechPassage(network, sound).hidden
            ours = hidden[row, : int(lengths[row])].numpy()
            assert ours.shape == theirs.shape
            assert np.abs(ours - theirs).mean() < 0.1 * np.abs(theirs).mean()
        ours = writing(torch.from_numpy(tokens), hidden[:1], lengths[:1])[0].numpy()
        theirs = network.decode(hidden[:1, : int(lengths[0])].numpy(), len(whole), tokens, None)["logits"][0]
    assert (ours.argmax(1) == theirs.argmax(1)).mean() > 0.9


def test_it_learns_what_it_hears(tmp_path: Path) -> None:
    """Some rounds over few things said and it writes them with less doubt; what it learnt is kept for the installed
    network."""
    torch = pytest.importorskip("torch")
    from assistant.training import writing  # noqa: PLC0415

    torch.set_num_threads(1)
    told = writing.command.main(
        ["--count", "12", "--tested", "2", "--rounds", "1", "--rank", "2", *_out(tmp_path)], standalone_mode=False
    )
    assert told is None
    assert len(read_taught(tmp_path / "writing.npz")) == len(read_weights(find_network().decoder).matrices) - 1
    assert len(read_taught(tmp_path / "hearing.npz")) == len(read_weights(find_network().encoder).matrices)


def test_what_is_weighed_with_is_never_learnt_from() -> None:
    """Own words fall into a part to learn from and one that is left out, and none is in both."""
    _, library = load_library("no-start")
    procedures = list(library.values())
    learnt, left = (texts_of(procedures, varied=0.5, seed=1, left_out=out) for out in (False, True))
    assert not set(learnt.own) & set(left.own)
    assert 0.7 < (PARTS * len(left.own)) / (len(left.own) + len(learnt.own)) < 1.3
    assert all(map(is_left_out, left.own))


def test_the_same_is_said_each_time() -> None:
    """All follows from the seed, but the breath of some of eSpeak NG's throats."""
    _, library = load_library("no-spark")
    texts = texts_of(list(library.values()), varied=0.5, seed=3)
    once, twice = (next(spoken_texts(texts, count=6)) for _ in range(2))
    assert [each.words for each in once] == [each.words for each in twice]
    assert [each.sound.dtype for each in once] == [np.int16] * 6


def test_it_is_written_as_the_network_writes() -> None:
    """A capital, a full stop, "I" alone as a capital; nothing stays nothing."""
    assert as_written("i'm not sure i saw it") == " I'm not sure I saw it."
    assert as_written("") == ""


def test_what_is_said_is_put_into_a_shop_as_the_bench_puts_it() -> None:
    """The level, the high-pass and the noise of that ratio of `bench.noises.mixed` and `hearing.sound.cleaned`."""
    torch = pytest.importorskip("torch")
    from assistant.training.writing_noise import Shop  # noqa: PLC0415

    random = np.random.default_rng(3)
    tone = np.asarray(3_000 * np.sin(2 * np.pi * 700 * np.arange(16_000) / 16_000), np.int16)
    shop = Shop([random.standard_normal(40_000).astype(np.float32)], torch, "cpu")
    sounds, frames = shop([tone, np.zeros(5_000, np.int16)], random)
    assert sounds.shape == (2, int(frames.max()))
    for sound, many in zip(sounds.numpy(), frames.tolist(), strict=True):
        assert np.sqrt((sound[:many] ** 2).mean()) == pytest.approx(LEVEL, rel=0.05)
        assert not sound[many:].any()
