"""The ear for stop: the shipped layers and the network on made-up voices; small sums by hand."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded import EmbeddedRecogniser, find_network, make_embedded
from assistant.adapters.recogniser_embedded.files import STOP_LAYERS, read_stop_layers, write_stop_layers
from assistant.adapters.recogniser_embedded.kept import Kept
from assistant.adapters.recogniser_embedded.network import Network
from assistant.adapters.recogniser_embedded.stop import StopListener, StopWatch
from assistant.bench.stop import OURS
from assistant.bench.stream import Stream
from assistant.bench.voices import Speaker, speak
from assistant.hearing.endpoint import FRAME_S
from assistant.hearing.gate import FRAME
from assistant.hearing.phones import PHONES, numbered
from assistant.hearing.spotting import spotted
from assistant.hearing.stop_ear import INPUTS, OUTPUTS, REACHES, StopEar, outputs, shares_of, traits_of
from assistant.hearing.stop_trust import Proposal
from assistant.language.grammars import grammar_of
from assistant.language.model import Control, Expected, Heard
from assistant.ports import SAMPLE_RATE_HZ, Listening
from assistant.training.stop_training import Lesson, trained
from tests.ports.recogniser_suite import hear, listening_for

Pcm = NDArray[np.int16]

VOICE = Speaker("espeak", "en-029", 170)
"""Never learnt from."""

COLLEAGUE = Speaker("espeak", "en-us")
TALK = "the blue van has to be out of here by four this afternoon and she called again about the brakes"
ALL_COMMANDS = Listening(grammar=grammar_of(Expected(controls=frozenset(Control))))


@pytest.fixture(scope="module")
def recogniser() -> Iterator[EmbeddedRecogniser]:
    """The network of the wheel."""
    engine = make_embedded(threads=1)
    yield engine
    engine.close()


def heard(recogniser: EmbeddedRecogniser, pcm: Pcm, listening: Listening = ALL_COMMANDS) -> list[Heard]:
    """What is heard in two seconds of a quiet room, the sound, and a second and a half more."""
    room = np.random.default_rng(2).standard_normal(len(pcm) + 7 * SAMPLE_RATE_HZ // 2) * 30
    room[2 * SAMPLE_RATE_HZ : 2 * SAMPLE_RATE_HZ + len(pcm)] += pcm
    return list(Stream(recogniser).all_heard(room.astype(np.int16), listening))


@pytest.mark.parametrize("words", ["stop", "hold on"])
def test_a_word_that_stops_us_is_told_before_it_is_silent_for_long(recogniser: EmbeddedRecogniser, words: str) -> None:
    """Told once, within a quarter of a second of sound after its end: no silence is waited for."""
    said = speak(VOICE, words)
    room = np.random.default_rng(2).standard_normal(2 * SAMPLE_RATE_HZ + len(said) + SAMPLE_RATE_HZ // 4) * 30
    room[2 * SAMPLE_RATE_HZ : 2 * SAMPLE_RATE_HZ + len(said)] += said
    found = [each for each in Stream(recogniser).all_heard(room.astype(np.int16), ALL_COMMANDS) if each.words]
    assert [each.words for each in found] == ["stop" if words == "stop" else "pause"]


def test_stop_is_heard_though_a_colleague_talks_on(recogniser: EmbeddedRecogniser) -> None:
    """Over talk 15 dB below that has no pause, two of three stops are told, for the plain voice says each a little
    otherwise; the talk alone tells nothing."""
    talk = np.tile(speak(COLLEAGUE, TALK), 4).astype(np.float64)
    talk *= 10 ** (-41 / 20) * 32_768 / np.sqrt((talk**2).mean())
    alone = heard(recogniser, talk.astype(np.int16))
    assert [each.words for each in alone if each.words in ("stop", "pause")] == []
    ends_s = []
    for begin in range(4 * SAMPLE_RATE_HZ, 13 * SAMPLE_RATE_HZ, 4 * SAMPLE_RATE_HZ):
        said = speak(VOICE, "stop").astype(np.float64)
        talk[begin : begin + len(said)] += said * (10 ** (-26 / 20) * 32_768 / np.sqrt((said**2).mean()))
        ends_s.append((begin + len(said)) / SAMPLE_RATE_HZ)
    told = [each.ended_s - 2 for each in heard(recogniser, talk.astype(np.int16)) if each.words == "stop"]
    assert sum(any(abs(told_s - end_s) < 0.3 for told_s in told) for end_s in ends_s) >= 2
    assert len(told) <= 3


def test_a_longer_sentence_that_is_legal_is_not_cut(recogniser: EmbeddedRecogniser) -> None:
    """ "The needle stopped at zero" holds the sound of stop, and is a result."""
    said = "the needle stopped at zero"
    listening = Listening(grammar=grammar_of(Expected(controls=frozenset(Control), results={"zero": (said,)})))
    assert [each.words for each in heard(recogniser, speak(VOICE, said), listening) if each.words] == [said]


def test_where_stop_is_not_legal_nothing_is_told(recogniser: EmbeddedRecogniser) -> None:
    """A grammar of others' making has its own words, and dictated words are words."""
    for listening in (
        Listening(grammar=grammar_of(Expected(controls=frozenset((Control.YES, Control.NO))))),
        Listening(grammar=ALL_COMMANDS.grammar, dictation=True),
    ):
        found = heard(recogniser, speak(VOICE, "stop"), listening)
        assert [each for each in found if each.words == "stop" and each.free_text is None] == []


def test_an_ear_hears_the_same_frame_by_frame_as_at_once() -> None:
    """What is trained on whole streams is what listens."""
    layers = read_stop_layers(STOP_LAYERS)
    ear = StopEar(layers)
    pcm = (np.random.default_rng(3).standard_normal(120 * FRAME) * 500).astype(np.int16)
    pcm[60 * FRAME : 75 * FRAME] *= 4
    one_by_one = [ear.frame(frame) for frame in pcm.reshape(-1, FRAME)]
    at_once = 1.0 - shares_of(outputs(layers, traits_of(pcm)[None])[-1])[0, :, 0]
    assert one_by_one == pytest.approx(at_once.tolist(), abs=1e-4)


class SureListener(StopListener):
    """Proposes stop in every frame, and hears our own words as the shipped one does."""

    def frame(self, frame: Pcm) -> Proposal:
        """Whatever the sound."""
        return Proposal(words="stop", sure=0.99, ago_s=0.0, lasted_s=0.4)


@pytest.mark.parametrize(("we_say", "obeyed"), [("stop", False), ("the lamp goes out", True)])
def test_a_stop_that_we_say_ourselves_is_nobodys_command(we_say: str, *, obeyed: bool) -> None:
    """Our prompts name the word; its echo must not stop us, while any other sentence of ours hides nothing."""
    watch = StopWatch(SureListener(read_stop_layers(STOP_LAYERS), Network(find_network(), threads=1)))
    watch.we_say(np.concatenate([speak(COLLEAGUE, we_say), np.zeros(SAMPLE_RATE_HZ // 4, np.int16)]))
    watch.hear(np.zeros(FRAME, np.int16), calm=True)
    assert (watch.told(1.0, None, lambda _words: True) is not None) is obeyed


@pytest.mark.parametrize(("we_say", "obeyed"), [("stop", False), ("the lamp goes out", True)])
def test_nor_is_one_that_the_grammar_hears(recogniser: EmbeddedRecogniser, we_say: str, *, obeyed: bool) -> None:
    """What the canceller lets through, as when the machine stumbles, is clear enough to be obeyed; here another voice
    says it, of which nothing can be taken out."""
    heard, ours = speak(VOICE, "stop"), speak(COLLEAGUE, we_say)
    room = np.random.default_rng(2).standard_normal(3 * SAMPLE_RATE_HZ) * 30
    room[SAMPLE_RATE_HZ : SAMPLE_RATE_HZ + len(heard)] += heard
    played = np.zeros(len(room), np.int16)
    played[SAMPLE_RATE_HZ // 2 : SAMPLE_RATE_HZ // 2 + len(ours)] = ours
    recogniser.expect(listening_for("stop", "no spark"))
    found = hear(recogniser, room.astype(np.int16), played=played)
    assert [each.words for each in found if each.words] == (["stop"] if obeyed else [])


class ListenerTold(StopListener):
    """Proposes what it is told to, a word and how sure it is of it, frame by frame."""

    looks: Iterator[tuple[str, float] | None]

    def frame(self, frame: Pcm) -> Proposal | None:
        """The next, whatever the sound."""
        look = next(self.looks)
        return None if look is None else Proposal(words=look[0], sure=look[1], ago_s=0.0, lasted_s=0.4)


@pytest.fixture(scope="module")
def told_listener() -> ListenerTold:
    """One for all, since it holds the network."""
    return ListenerTold(read_stop_layers(STOP_LAYERS), Network(find_network(), threads=1))


def obeyed_at(
    listener: ListenerTold, looks: Sequence[tuple[str, float] | None], *, asked: bool = True, over_ours: bool = False
) -> int | None:
    """In which of these frames a word is told; None where in none."""
    listener.looks = iter(looks)
    watch = StopWatch(listener)
    if over_ours:
        watch.we_say(np.zeros(FRAME, np.int16))
    for number in range(len(looks)):
        watch.hear(np.zeros(FRAME, np.int16), calm=False)
        if watch.told(number * 0.032, None, lambda _words: True, asked=asked) is not None:
            return number
    return None


@pytest.mark.parametrize("words", ["stop", "hold on"])
def test_where_an_answer_is_waited_for_one_look_is_not_enough(told_listener: ListenerTold, words: str) -> None:
    """ "Dead" and "if" are a stop for one look; a stop is found again a tenth of a second later, or is beyond doubt."""
    one, none = (words, 0.93), None
    assert obeyed_at(told_listener, [one, *[none] * 12]) is None
    assert obeyed_at(told_listener, [one, none, none, one]) == 3
    assert obeyed_at(told_listener, [one, *[none] * 9, one]) is None
    assert obeyed_at(told_listener, [(words, 0.98)]) == 0


def test_elsewhere_and_over_our_own_voice_one_look_stops_us(told_listener: ListenerTold) -> None:
    """Where something moves or is said a tenth of a second counts; nor do other words wait for a second look."""
    assert obeyed_at(told_listener, [("stop", 0.93)], asked=False) == 0
    assert obeyed_at(told_listener, [("stop", 0.93)], over_ours=True) == 0
    assert obeyed_at(told_listener, [("pause", 0.7)]) == 0


@pytest.mark.parametrize(("stands_out_at", "told_at"), [(None, None), (3, 3), (9, 9), (20, None)])
def test_over_talk_one_look_at_what_stands_out_is_enough(
    told_listener: ListenerTold, stands_out_at: int | None, told_at: int | None
) -> None:
    """Talk never gets calm, and a second look hears the talk after the word; what is as soft again after it as before
    it is over. Only so long as for calm is waited for that."""
    told_listener.looks = iter([("stop", 0.93), *[None] * 24])
    watch, found = StopWatch(told_listener), list[int]()
    for number in range(25):
        watch.hear(np.zeros(FRAME, np.int16), calm=False)
        now = number == stands_out_at
        if watch.told(2 + number * FRAME_S, 0.5, lambda _: True, lambda _, now=now: now, asked=True) is not None:
            found.append(number)
    assert found == ([] if told_at is None else [told_at])


WORD_S = (1.28, 1.536)
"""Where a word lies in the levels below, eight frames long."""


@pytest.mark.parametrize(
    ("before_db", "onset_db", "after_db", "stands_out"),
    [
        (-35.0, -30.0, -35.0, True),  # over a colleague's talk
        (-35.0, -21.0, -35.0, True),  # its own beginning is not what went before it
        (-23.0, -23.0, -35.0, False),  # the end of a sentence as loud
        (-35.0, -30.0, -24.0, False),  # the sentence goes on
    ],
)
def test_a_word_over_talk_stands_out_of_what_is_before_and_after(
    before_db: float, onset_db: float, after_db: float, *, stands_out: bool
) -> None:
    """By 5 dB, both; after it so for four frames."""
    kept = Kept()
    levels = [*[before_db] * 36, *[onset_db] * 4, *[-20.0] * 8, *[after_db] * 4]
    for number, level_db in enumerate(levels):
        assert not kept.stands_out(*WORD_S), number
        kept.add(np.zeros(FRAME, np.int16), level_db)
    assert kept.stands_out(*WORD_S) is stands_out


def test_two_words_do_not_bear_each_other_out(told_listener: ListenerTold) -> None:
    """Each look must find the same."""
    assert obeyed_at(told_listener, [("hold on", 0.93), None, None, ("stop", 0.93)]) is None


@pytest.mark.parametrize(("lasted_s", "acts"), [(0.06, False), (0.3, True)])
def test_a_word_takes_its_time(lasted_s: float, *, acts: bool) -> None:
    """The end of any other word holds a whoa of two steps, however sure both ears are of it."""
    assert Proposal(words="whoa", sure=0.5, ago_s=0.0, lasted_s=lasted_s).acts is acts


def test_layers_are_kept_as_they_are(tmp_path: Path) -> None:
    """Written and read, they give the same but for rounding to 16 bits."""
    layers = read_stop_layers(STOP_LAYERS)
    write_stop_layers(layers, tmp_path / "stop.npz")
    again = read_stop_layers(tmp_path / "stop.npz")
    assert all(np.array_equal(one, other) for one, other in zip(layers.weights, again.weights, strict=True))
    assert [len(bias) for bias in again.biases][-1] == OUTPUTS
    assert len(again.weights) == len(REACHES)


def test_training_learns_what_a_frame_shows() -> None:
    """A made-up trait that goes up eight frames before the word ends, in streams that were not learnt from."""
    random = np.random.default_rng(1)

    def made(number: int) -> Lesson:
        traits = random.standard_normal((200, INPUTS)).astype(np.float32) * 0.1
        word = np.zeros(200, np.int64)
        for at in (40 + number % 9, 120 + number % 7):
            traits[at - 8, 5] += 3.0
            word[at : at + 3] = 1
        return Lesson(traits=traits, word=word, counts=np.ones(200, np.float32))

    layers = trained([made(number) for number in range(60)], rounds=8, seed=0)
    other = made(3)
    shares = shares_of(outputs(layers, other.traits[None])[-1])[0]
    assert shares[other.word == 1, 1].mean() > 0.8
    assert shares[other.word == 0, 1].mean() < 0.1


def test_a_word_is_found_wherever_it_lies() -> None:
    """Two ears that hear its phones at different steps, others before: it falls no nat short; another word does."""
    ears = np.full((2, 30, len(PHONES) + 1), -5.0, np.float32)
    ears[:, :, 0] = 0.0
    for ear, first in ((0, 12), (1, 14)):
        for place, phone in enumerate(numbered(["B", "IY", "S", "T", "AA", "P"])):
            ears[ear, first + 2 * place - 4, :] = -5.0
            ears[ear, first + 2 * place - 4, phone] = 1.0
    said = numbered(["S", "T", "AA", "P"])
    stop, top, start = spotted(ears, [[said], [said[1:]], [numbered(["S", "T", "AA", "R", "T"])]], latest=20)
    assert (stop.fall, top.fall) == (0.0, 0.0)
    assert (stop.begins, stop.ends) == (12, 18)
    assert start.fall < -5.0
    late = spotted(ears, [[said]], latest=5)[0]
    assert late.fall < -5.0


@pytest.mark.parametrize(("text", "ours"), [("it stopped", True), ("hold it there", True), ("hold the lamp", False)])
def test_talk_that_holds_one_of_the_words_is_not_learnt_as_talk(text: str, ours: bool) -> None:
    """Else the ear would learn not to hear them."""
    assert isinstance(OURS, re.Pattern)
    assert bool(OURS.search(text)) is ours
