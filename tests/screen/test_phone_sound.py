"""Sound from a phone and to it, without a browser: nothing lost unseen, nothing twice, whatever becomes of the line."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from assistant.adapters.microphone_either import NOBODY, EitherMicrophone
from assistant.adapters.screen_web import PhoneMicrophone, PhoneSpeaker
from assistant.adapters.screen_web.phone_line import AHEAD_S, GONE_S
from assistant.adapters.speaker_either import EitherSpeaker
from assistant.errors import DeviceLost
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock
from tests.screen.phone_stage import a_line, block

BLOCK_S = 0.032


class Clock:
    """A time that tests set."""

    def __init__(self):
        self.s = 100.0

    def __call__(self):
        return self.s


class OwnMicrophone:
    """The laptop's: a block each time it is due."""

    def __init__(self, clock):
        self._clock = clock
        self._began_s = clock()
        self._given = 0

    def read(self, timeout_s):
        """The next block, once it is whole."""
        if self._began_s + (self._given + 1) * BLOCK_S > self._clock() + 1e-9:
            return None
        self._given += 1
        return AudioBlock(pcm=np.full(512, -1, np.int16), start_s=(self._given - 1) * BLOCK_S)

    def close(self):
        """Nothing."""


class OwnSpeaker:
    """The laptop's: keeps what it is given; lost while `gone`."""

    rate_hz = 24_000
    playing = False

    def __init__(self):
        self.heard = []
        self.gone = False

    def play(self, pcm):
        """Keep it."""
        if self.gone:
            raise DeviceLost("gone")
        self.heard += pcm.tolist()

    def cut(self):
        """Forget it."""
        self.heard.clear()

    def played(self, start_s, frames):
        """Nothing."""
        return np.zeros(frames, np.int16)

    def close(self):
        """Nothing."""


@pytest.fixture
def clock():
    """The time."""
    return Clock()


@pytest.fixture
def line(clock):
    """A phone's line."""
    made = a_line(now_s=clock)
    made.admit()
    return made


def begin(line, stream="a", *, rate=16_000, cuts=0, played=0, has=0):
    """The phone says hello."""
    return line.begin(stream, rate, cuts=cuts, played=played, has=has)


def levels(line):
    """What waits, by the level of each block."""
    found = []
    while not line.blocks.empty():
        found.append(int(line.blocks.get().pcm[0]))
    return found


def test_what_comes_twice_is_dropped_and_what_never_came_is_counted(line):
    """After a short break the phone goes on where we are; what it no longer has is marked on the next block."""
    assert begin(line) == (0, True)
    for number in (0, 1, 1, 0, 2):
        assert line.take(block(number, level=number))
    assert levels(line) == [0, 1, 2]
    assert begin(line) == (3, False)  # the line broke for a moment, and nobody else listened
    for number in (2, 3, 6):
        line.take(block(number, level=number))
    first, second = line.blocks.get(), line.blocks.get()
    assert (int(first.pcm[0]), first.lost) == (3, 0)
    assert (int(second.pcm[0]), second.lost) == (6, 2 * 512)
    assert line.lost_frames == 2 * 512


def test_a_full_queue_loses_new_blocks_and_says_so(clock):
    """The same bounded queue as a microphone's."""
    line = a_line(now_s=clock, queue_blocks=2)
    line.admit()
    begin(line)
    for number in range(5):
        line.take(block(number))
    levels(line)
    line.take(block(5))
    assert line.blocks.get().lost == 3 * 512


def test_a_phone_that_sends_nothing_is_gone_and_its_old_sound_is_of_no_use(line, clock):
    """Somebody else listened meanwhile: what it kept is not heard a second time."""
    begin(line)
    line.take(block(0))
    clock.s += GONE_S - 0.01
    assert line.here
    clock.s += 0.02
    assert not line.here
    assert begin(line) == (1, True)


@pytest.mark.parametrize("rate", [44_100, 48_000])
def test_a_native_rate_becomes_ours_without_a_seam(line, clock, rate):
    """A tone sent in blocks at the browser's own rate is the tone at ours, unbroken."""
    microphone = PhoneMicrophone(line, clock)
    begin(line, rate=rate)
    frames = round(rate * BLOCK_S)
    tone = np.rint(8_000 * np.sin(2 * np.pi * 440 * np.arange(frames * 60) / rate)).astype("<i2")
    out = []
    for number in range(60):
        clock.s += frames / rate
        line.take(number.to_bytes(4, "little") + tone[number * frames : (number + 1) * frames].tobytes())
        out.append(microphone.read(0.0))
    heard = np.concatenate([each.pcm for each in out])[4_000:28_000].astype(float)
    power = np.abs(np.fft.rfft(heard * np.hanning(heard.size))) ** 2
    at = round(440 * heard.size / SAMPLE_RATE_HZ)
    assert power[at - 5 : at + 6].sum() > 0.9999 * power.sum()
    assert all(abs(b.start_s - a.start_s - frames / rate) < 1e-6 for a, b in pairwise(out))


def test_a_phone_whose_clock_runs_otherwise_does_not_fall_behind(line, clock):
    """Over hours a quartz that is 100 millionths off makes seconds; what waited is told by the quickest way."""
    microphone = PhoneMicrophone(line, clock)
    for drift in (1.0001, 0.9999):
        begin(line, stream=str(drift))
        for number in range(15_000):
            clock.s += BLOCK_S * drift
            line.take(block(number, frames=512))
            late = microphone.read(0.0).waited_s
        assert late < 0.02


def test_a_word_over_the_change_from_phone_to_laptop_counts_as_broken(line, clock):
    """One row of time; the gap is lost sound; nothing that both heard comes twice; and the same on the way back."""
    either = EitherMicrophone(PhoneMicrophone(line, clock), OwnMicrophone(clock), clock)
    begin(line)
    got, number = [], 0
    for beat in range(400):
        clock.s += BLOCK_S
        if beat < 100 or beat >= 250:
            if beat == 250:
                wanted, skips = begin(line)
                assert skips and wanted == 100
                number = beat  # it counted on meanwhile, and sends only what is new
            line.take(block(number, level=1))
            number += 1
        while (one := either.read(0.0)) is not None:
            got.append(one)
    starts = [each.start_s for each in got]
    assert starts == sorted(starts)
    assert all(b.start_s >= a.start_s + BLOCK_S - 1e-6 for a, b in pairwise(got))
    changes = [b for a, b in pairwise(got) if a.pcm[0] != b.pcm[0]]
    assert [int(each.pcm[0]) for each in changes] == [-1, 1]
    assert changes[0].lost_frames / SAMPLE_RATE_HZ == pytest.approx(GONE_S, abs=0.1)
    assert changes[1].lost_frames / SAMPLE_RATE_HZ < 0.1
    whole = sum(each.pcm.size for each in got) / SAMPLE_RATE_HZ
    assert whole == pytest.approx(400 * BLOCK_S - GONE_S, abs=0.15)


def test_without_a_microphone_here_the_phone_is_waited_for(line, clock):
    """In words that can be said."""
    either = EitherMicrophone(PhoneMicrophone(line, clock), None, clock)
    with pytest.raises(DeviceLost) as lost:
        either.read(0.0)
    assert lost.value.spoken == NOBODY


def sent(line):
    """What goes to the phone now."""
    return [value for piece in line.speech() for value in piece.pcm.tolist()]


def test_what_the_phone_did_not_play_the_laptop_plays(line, clock):
    """From where the phone last was: nothing is lost; and nothing waits for it any more."""
    own = OwnSpeaker()
    either = EitherSpeaker(PhoneSpeaker(line), own)
    begin(line)
    either.play(np.arange(1_000, dtype=np.int16))
    assert sent(line) == list(range(1_000)) and own.heard == []
    line.played(0, 400)
    clock.s += GONE_S + 0.1
    assert not either.playing
    assert own.heard == list(range(400, 1_000))
    either.play(np.array([7], np.int16))
    assert own.heard[-1] == 7
    assert not line.speaking


def test_a_line_that_breaks_for_a_moment_goes_on_where_the_phone_is(line):
    """What the phone has is not sent again; what it has not is."""
    either = EitherSpeaker(PhoneSpeaker(line), OwnSpeaker())
    begin(line)
    either.play(np.arange(100, dtype=np.int16))
    assert len(sent(line)) == 100
    begin(line, played=20, has=60)
    assert sent(line) == list(range(60, 100))
    begin(line, cuts=9, played=5, has=5)  # of another life
    assert sent(line) == list(range(20, 100))


def test_a_caution_is_spoken_only_once_the_phone_has_played_it(line):
    """Sent is not heard: we speak until the phone tells that it has played the last sample."""
    either = EitherSpeaker(PhoneSpeaker(line), None)
    begin(line)
    either.play(np.ones(48_000, np.int16))
    sent(line)
    line.played(0, 47_999)
    assert either.playing
    line.played(0, 48_000)
    assert not either.playing


def test_a_cut_drops_what_the_phone_holds_and_old_news_of_it(line):
    """What it plays of an earlier count is nothing to us."""
    either = EitherSpeaker(PhoneSpeaker(line), None)
    begin(line)
    either.play(np.ones(100, np.int16))
    sent(line)
    either.cut()
    assert line.cuts == 1 and not either.playing
    either.play(np.full(10, 2, np.int16))
    line.played(0, 100)
    assert either.playing and sent(line) == [2] * 10


def test_little_is_on_its_way_however_much_is_said(line):
    """The rest follows as it is played."""
    begin(line)
    line.say(np.zeros(240_000, np.int16))
    first = len(sent(line))
    assert AHEAD_S <= first / 24_000 <= AHEAD_S + 1.0
    assert sent(line) == []
    line.played(0, 24_000)
    assert len(sent(line)) == 24_000


def test_both_speak_and_nothing_is_said_twice_by_one(line, clock):
    """With both wished for the laptop has said all already when the phone goes."""
    own = OwnSpeaker()
    either = EitherSpeaker(PhoneSpeaker(line), own, both=True)
    begin(line)
    either.play(np.array([1, 2, 3], np.int16))
    clock.s += GONE_S + 0.1
    assert not either.playing and own.heard == [1, 2, 3]


def test_a_laptop_that_cannot_speak_either_keeps_what_is_left(line, clock):
    """Until one of them can."""
    own = OwnSpeaker()
    either = EitherSpeaker(PhoneSpeaker(line), own)
    begin(line)
    either.play(np.array([1, 2, 3], np.int16))
    sent(line)
    clock.s += GONE_S + 0.1
    own.gone = True
    assert either.playing
    own.gone = False
    either.play(np.array([4], np.int16))
    assert own.heard == [1, 2, 3, 4]


def test_without_a_phone_or_a_speaker_it_is_lost_until_one_comes(line):
    """So the voice waits, and goes on with the same words."""
    either = EitherSpeaker(PhoneSpeaker(line), None)
    with pytest.raises(DeviceLost):
        either.play(np.array([1], np.int16))
    begin(line)
    either.play(np.array([1], np.int16))
    assert sent(line) == [1]
