"""What is begun in a pause: given up where speech goes on, waited for where an answer hangs on it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded import EmbeddedRecogniser, limits, make_embedded, scribe
from assistant.adapters.recogniser_embedded.again import HeardAgain, on_a_thread
from assistant.adapters.recogniser_embedded.files import find_network
from assistant.adapters.recogniser_embedded.look import Look
from assistant.adapters.recogniser_embedded.network import GivenUp, Network, SpeechPassage
from assistant.adapters.recogniser_embedded.scribe import Sound, UnderWay, WrittenDown, may_stop
from assistant.bench.stream import core_of
from assistant.bench.voices import Speaker, speak
from assistant.grammar.automaton import one_sentence
from assistant.hearing.candidate import Candidates
from assistant.hearing.endpoint import FRAME_S
from assistant.language.grammars import grammar_of
from assistant.language.guess import said_for
from assistant.language.model import Control, Expected, GiveReading, Heard
from assistant.language.understand import understand
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock, Listening
from assistant.procedure.model import Quantity

FRAME = 512
PAUSE_OF_A_LOOK_S = 0.25
"""The gate tells of a silence of 0.1 s in it, of none of 0.2 s."""
VOICE = Speaker("espeak", "en-us")
VOLTS = Expected(
    controls=frozenset({Control.STOP, Control.PAUSE, Control.SKIP}),
    quantity=Quantity.VOLTAGE, unit="V", read_back=True,
)  # fmt: skip
READING = Listening(grammar=grammar_of(VOLTS), read_back=True, second_chance=True, said=said_for(VOLTS))


@pytest.fixture(scope="module")
def recogniser() -> Iterator[EmbeddedRecogniser]:
    """The network of the wheel."""
    made = make_embedded(threads=1)
    yield made
    made.close()


def parts_with_pauses(*parts: str, pause_s: float) -> NDArray[np.int16]:
    """Said with just so long a silence between, in a quiet room."""
    sounds = []
    for part in parts:
        sound = speak(VOICE, part)
        begins, ends = core_of(sound)
        sounds += [sound[begins:ends], np.zeros(int(pause_s * SAMPLE_RATE_HZ), np.int16)]
    room = np.random.default_rng(3).standard_normal(SAMPLE_RATE_HZ) * 40
    spoken = np.concatenate([room, *sounds[:-1], room]).astype(np.int16)
    return spoken


def said_in_volts(heard: Heard) -> float | None:
    """The value, however its unit is said."""
    meant = understand(Heard(words=heard.words, confidence=1.0), VOLTS)
    return meant.value if isinstance(meant, GiveReading) else None


def heard_in(recogniser: EmbeddedRecogniser, pcm: NDArray[np.int16]) -> tuple[list[Heard], list[Look]]:
    """All that was heard, and the looks that were told of."""
    looks: list[Look] = []
    recogniser.on_look = looks.append
    recogniser.expect(READING)
    blocks = (AudioBlock(pcm=pcm[at : at + FRAME], start_s=at / SAMPLE_RATE_HZ) for at in range(0, len(pcm), FRAME))
    heard = [one for one in map(recogniser.accept, blocks) if one is not None]
    recogniser.finish()
    recogniser.on_look = lambda _: None
    return heard, looks


@pytest.mark.parametrize("pause_s", [0.15, 0.3, 0.45])
def test_a_reading_with_a_pause_inside_is_heard_whole(recogniser: EmbeddedRecogniser, pause_s: float) -> None:
    """ "Twelve", a pause, "point four volts": one reading, not the first part of it."""
    heard, _ = heard_in(recogniser, parts_with_pauses("twelve", "point four volts", pause_s=pause_s))
    assert [said_in_volts(one) for one in heard] == [12.4]


def test_what_was_begun_in_a_pause_is_given_up_once_speech_goes_on(
    recogniser: EmbeddedRecogniser, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of what was begun there nothing is told, and the same is heard as where it is waited for."""
    said = parts_with_pauses("twelve", "point four volts", pause_s=PAUSE_OF_A_LOOK_S)
    heard, looks = heard_in(recogniser, said)
    monkeypatch.setattr(limits, "GOES_ON_FRAMES", 10_000)
    all_heard, all_looks = heard_in(recogniser, said)
    assert [one.words for one in heard] == [one.words for one in all_heard]
    assert all_looks[0].best == "twelve" and "twelve" not in [one.best for one in looks]


def test_a_word_that_stops_us_waits_for_no_silence(
    recogniser: EmbeddedRecogniser, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Found by the grammar where its own ear is deaf, though speech goes on before any other word would count."""
    said = parts_with_pauses("stop", "the lamp is not lit", pause_s=PAUSE_OF_A_LOOK_S)
    monkeypatch.setattr(recogniser._stop, "told", lambda *_, **__: None)
    heard, _ = heard_in(recogniser, said)
    assert heard[0].words == "stop"
    monkeypatch.setattr(scribe, "may_stop", lambda _: False)
    heard, _ = heard_in(recogniser, said)
    assert "stop" not in [one.words for one in heard]


def test_a_part_of_a_grammar_may_stop_where_all_words_of_such_a_phrase_are_in_it() -> None:
    """ "hold on" needs both."""
    for sentence, may in (("please stop", True), ("hold on", True), ("lamp is on", False), ("twelve volts", False)):
        assert may_stop((one_sentence(sentence), sentence)) is may


def test_a_passage_that_was_given_up_is_worked_on_no_more() -> None:
    """Neither it nor what was made of it; free writing alone can be given up, too."""
    network = Network(find_network(), threads=1)
    sound = np.random.default_rng(4).normal(0.0, 0.05, SAMPLE_RATE_HZ).astype(np.float32)
    passage = SpeechPassage(network, sound)
    free, again = passage.free(), passage.again()
    free.begin()
    free.give_up()
    with pytest.raises(GivenUp):
        free.step(np.array([0]), np.array([400]))
    passage.begin()
    passage.give_up()
    for work in (passage.begin, passage.again, passage.free, again.begin, lambda: again.spoken([(400,)])):
        with pytest.raises(GivenUp):
            work()


@pytest.mark.parametrize(
    ("words", "later", "written"),
    [
        ("twelve point four volts", True, False),
        ("skip", True, False),
        ("it will not move", True, True),
        ("skip", False, True),
    ],
)
def test_an_answer_alone_is_written_freely_at_its_first_look(
    words: str, monkeypatch: pytest.MonkeyPatch, *, later: bool, written: bool
) -> None:
    """The phones say what it is before anything is begun; at its last look all is written."""
    begun: list[SpeechPassage] = []
    engine = make_embedded(threads=1)
    engine.expect(replace(READING, grammar=grammar_of(replace(VOLTS, results={"stuck": ("it will not move",)}))))
    monkeypatch.setattr(engine._scribe._free, "begin", begun.append)
    pcm = parts_with_pauses(words, pause_s=0.0)[SAMPLE_RATE_HZ // 2 : -SAMPLE_RATE_HZ // 2]
    monkeypatch.setattr(engine._scribe, "_written", lambda *_: None)
    work = engine._scribe.begin if later else engine._scribe.write
    work(Sound(pcm=pcm, began_s=0.0, started=0.0, later=later))
    engine.close()
    assert bool(begun) is written


def test_who_waits_for_a_look_is_told_what_it_failed_with() -> None:
    """And who gives it up, too: an engine that fails is made anew."""

    def fail() -> WrittenDown:
        raise RuntimeError("out of memory")

    network = Network(find_network(), threads=1)
    passage = SpeechPassage(network, np.zeros(SAMPLE_RATE_HZ, np.float32))
    for ask in (UnderWay.result, UnderWay.give_up):
        with pytest.raises(RuntimeError, match="out of memory"):
            ask(UnderWay(on_a_thread(fail, "fails"), passage))


def test_what_waits_for_its_silence_is_known_before_it_is_told(recogniser: EmbeddedRecogniser) -> None:
    """Half a second before "skip" counts its answer can be made ready; while it is being said nothing is known."""
    pcm = parts_with_pauses("skip", pause_s=0.0)
    recogniser.expect(READING)
    known_s: list[float] = []
    for at in range(0, len(pcm), FRAME):
        heard = recogniser.accept(AudioBlock(pcm=pcm[at : at + FRAME], start_s=at / SAMPLE_RATE_HZ))
        if heard is not None:
            break
        if recogniser.would_tell is not None:
            known_s.append((at + FRAME) / SAMPLE_RATE_HZ)
            assert recogniser.would_tell.words == "skip"
    assert heard is not None and heard.words == "skip" and recogniser.would_tell is None
    assert at / SAMPLE_RATE_HZ - known_s[0] > 0.4 and known_s[0] > len(pcm) / SAMPLE_RATE_HZ - 1.0
    recogniser.finish()


def test_a_look_is_begun_before_its_silence(recogniser: EmbeddedRecogniser, monkeypatch: pytest.MonkeyPatch) -> None:
    """It has heard a frame less than one that is begun when it is due, and the same reading."""
    pcm = parts_with_pauses("twelve point four volts", pause_s=0.0)
    _, (early, *_) = heard_in(recogniser, pcm)
    monkeypatch.setattr(recogniser._scribe, "begin_early", lambda _: None)
    _, (late, *_) = heard_in(recogniser, pcm)
    assert [said_in_volts(Heard(words=look.best, confidence=1.0)) for look in (early, late)] == [12.4, 12.4]
    assert late.ended_s - early.ended_s == pytest.approx(FRAME_S, abs=1e-6)


def test_what_was_begun_early_is_given_up_by_the_first_frame_of_speech(
    recogniser: EmbeddedRecogniser, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In a pause that is too short for a look: nothing comes of it."""
    begun: list[UnderWay | None] = []
    given_up: list[UnderWay] = []
    begin, give_up = recogniser._scribe.begin_early, UnderWay.give_up

    def begin_early(sound: Sound) -> UnderWay | None:
        begun.append(begin(sound))
        return begun[-1]

    def count(work: UnderWay) -> None:
        given_up.append(work)
        give_up(work)

    pcm = parts_with_pauses("twelve", "point four volts", pause_s=0.2)
    monkeypatch.setattr(recogniser._scribe, "begin_early", begin_early)
    monkeypatch.setattr(UnderWay, "give_up", count)
    heard, looks = heard_in(recogniser, pcm)
    assert [said_in_volts(one) for one in heard] == [12.4]
    assert len(begun) == 2 and given_up == begun[:1]
    assert "twelve" not in [one.best for one in looks]


def test_what_may_stop_us_is_not_begun_early(recogniser: EmbeddedRecogniser) -> None:
    """It acts by its first look, and waits for that."""
    recogniser.expect(READING)
    for words, early in (("stop", False), ("twelve point four volts", True)):
        pcm = parts_with_pauses(words, pause_s=0.0)[SAMPLE_RATE_HZ // 2 : -SAMPLE_RATE_HZ // 2]
        work = recogniser._scribe.begin_early(Sound(pcm=pcm, began_s=0.0, started=0.0, later=True))
        assert (work is not None) is early
        if work is not None:
            work.result()


def test_a_reading_is_heard_again_beside_as_afterwards(
    recogniser: EmbeddedRecogniser, monkeypatch: pytest.MonkeyPatch
) -> None:
    """To the last digit: what is begun early asks the network the same."""
    said = parts_with_pauses("twelve point four volts", pause_s=0.0)[SAMPLE_RATE_HZ // 2 : -SAMPLE_RATE_HZ // 2]
    noise = np.random.default_rng(6).standard_normal(len(said)) * 900
    sound = Sound(pcm=(said + noise).astype(np.int16), began_s=0.0, started=0.0)
    recogniser.expect(READING)
    asked: list[HeardAgain] = []
    again = HeardAgain.own

    def own(heard_again: HeardAgain) -> Candidates:
        asked.append(heard_again)
        return again(heard_again)

    monkeypatch.setattr(HeardAgain, "own", own)
    beside = recogniser._scribe.write(sound).heard
    assert len(asked) == 1
    monkeypatch.setattr(recogniser._scribe, "_heard_again", lambda *_: None)
    afterwards = recogniser._scribe.write(sound).heard
    assert replace(beside, took_ms=0.0) == replace(afterwards, took_ms=0.0)
