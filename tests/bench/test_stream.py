"""How words get into noise, and how a bench spreads its work."""

from __future__ import annotations

import operator

import numpy as np
import pytest

from assistant.bench.short_words import Kept
from assistant.bench.spread import shards, spread
from assistant.bench.stream import LEAD_FRAMES, TAIL_FRAMES, Stream, core_of, in_noise, strung
from assistant.grammar.jsgf import read_jsgf
from assistant.language.model import Heard
from assistant.ports import AudioBlock, Listening


def tone(frames: int, level: float = 3_000.0) -> np.ndarray:
    """A steady 440 Hz."""
    return (level * np.sin(2 * np.pi * 440 * np.arange(frames) / 16_000)).astype(np.int16)


class Ear:
    """Tells of every block that holds sound louder than half of full scale; keeps what it was given."""

    name, always_confirm = "ear", False

    def __init__(self) -> None:
        self.starts: list[float] = []

    def expect(self, listening: Listening) -> None:
        """Anything."""

    def accept(self, block: AudioBlock) -> Heard | None:
        """Words for a loud block, no words for a half loud one."""
        self.starts.append(block.start_s)
        loud = int(np.abs(block.pcm.astype(np.int32)).max(initial=0))
        if loud < 8_000:
            return None
        return Heard(words="loud" if loud > 16_000 else None, confidence=1.0, ended_s=block.start_s)

    def finish(self) -> Heard | None:
        """Nothing is left."""
        return None

    def close(self) -> None:
        """Nothing is held."""


LISTENING = Listening(grammar=read_jsgf("public <said> = loud;"))


@pytest.mark.parametrize("snr_db", [15.0, 6.0])
def test_each_sound_stands_over_the_noise_under_it_as_far_as_was_asked(snr_db: float) -> None:
    """Power of what was added, against the same stream without it."""
    sounds, none = [tone(6_000), tone(9_000)], [np.zeros(6_000, np.int16), np.zeros(9_000, np.int16)]
    with_them, spans = strung(sounds, snr_db, "fan", np.random.default_rng(3), [], level_db=-26.0)
    without, same = strung(none, snr_db, "fan", np.random.default_rng(3), [], level_db=-26.0)
    assert spans == same
    for begins, ends in spans:
        noise = without[begins:ends].astype(float)
        added = with_them[begins:ends].astype(float) - noise
        assert 10 * np.log10((added**2).mean() / (noise**2).mean()) == pytest.approx(snr_db, abs=0.2)


def test_what_is_heard_first_with_words_is_what_counts() -> None:
    """A stretch without words gives none; with both, the words; and the stream's clock goes on."""
    ear = Ear()
    stream = Stream(ear)
    quiet = in_noise(tone(4_000), 30.0, "fan", np.random.default_rng(1), [])
    assert (quiet.begins, len(quiet.pcm)) == (LEAD_FRAMES, LEAD_FRAMES + 4_000 + TAIL_FRAMES)
    assert stream.heard(quiet, LISTENING).words is None
    half, loud = tone(3_200, 10_000.0), tone(3_200, 20_000.0)
    found = list(stream.all_heard(np.concatenate([half, loud]), LISTENING))
    assert [each.words for each in found].index("loud") == 10
    assert found[0].ended_s == pytest.approx(0.0)
    assert ear.starts == sorted(ear.starts)
    assert ear.starts[-1] > len(quiet.pcm) / 16_000


def test_spread_work_comes_back_in_order_whatever_the_number_of_processes() -> None:
    """Tools are made from the key in each process."""
    tasks = [5, 1, 4]
    here = list(spread(operator.mul, tasks, make=int, key="3", jobs=1))
    there = list(spread(operator.mul, tasks, make=int, key="3", jobs=2))
    assert here == there == [15, 3, 12]


def test_shards_hold_every_number_once() -> None:
    """However many there are."""
    assert [number for shard in shards(53) for number in shard] == list(range(53))


def test_the_core_of_a_sound_is_where_it_is_loud() -> None:
    """Quiet around it is left out."""
    quiet = np.zeros(3_200, np.int16)
    assert core_of(np.concatenate([quiet, tone(1_600), quiet])) == (3_200, 4_800)


@pytest.mark.parametrize(
    ("kept", "noticed", "after_s"),
    [
        (Kept(noticed_s=1.1, tried_s=[1.6, 1.8]), True, 0.1),
        (Kept(noticed_s=1.1, tried_s=[1.3, 1.9]), True, 0.4),  # tried in its middle: the next time counts
        (Kept(noticed_s=1.45, tried_s=[1.7]), True, None),  # its beginning is no longer kept
        (Kept(noticed_s=2.0, tried_s=[2.5]), False, None),
        (Kept(noticed_s=0.2, tried_s=[0.9]), False, None),
    ],
)
def test_a_word_passes_when_it_is_noticed_and_is_in_time_when_all_of_it_was_kept(
    kept: Kept, noticed: bool, after_s: float | None
) -> None:
    """A word from 1.0 to 1.5 s."""
    assert kept.notices(1.0, 1.5) is noticed
    found = kept.answers(1.0, 1.5)
    assert found == (None if after_s is None else pytest.approx(after_s))
