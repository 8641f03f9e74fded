"""Speech comes from the bundled library, as samples, alike every time."""

from __future__ import annotations

import ctypes
import importlib
import os
import shutil
import subprocess
import sys
import threading
from pathlib import Path

import numpy as np
import pytest

from assistant.adapters import synthesiser_pyttsx3
from assistant.adapters.synthesiser_pyttsx3 import Pyttsx3Synthesiser
from assistant.errors import SetupError

SENTENCE = "Keep hands and sleeves out of the belt area."


def test_speech_has_words_and_no_silence_around_them() -> None:
    """A sentence of nine words at 165 a minute lasts about three seconds and begins and ends with sound."""
    pcm = Pyttsx3Synthesiser().render(SENTENCE, words_per_minute=165, rate_hz=16_000)
    assert pcm.dtype == np.int16
    assert 1.5 < pcm.size / 16_000 < 5.0
    for end in (pcm[:800], pcm[-800:]):
        assert np.abs(end.astype(int)).max() > 33


@pytest.mark.parametrize("rate_hz", [16_000, 22_050, 44_100, 48_000])
def test_output_rate_changes_the_samples_not_the_length(rate_hz: int) -> None:
    """The same words last the same time at every output rate, within 20 ms."""
    synthesiser = Pyttsx3Synthesiser()
    asked = synthesiser.render(SENTENCE, words_per_minute=165, rate_hz=rate_hz).size / rate_hz
    assert asked == pytest.approx(
        synthesiser.render(SENTENCE, words_per_minute=165, rate_hz=22_050).size / 22_050, abs=0.02
    )


def test_rate_takes_effect_on_the_very_sentence() -> None:
    """Slow, fast and slow again: each rendering has its own rate, none that of the one before."""
    lengths = []
    for words_per_minute in (120, 240, 120, 240, 120):
        synthesiser = Pyttsx3Synthesiser()  # a new one each time, so that nothing is remembered
        lengths.append(synthesiser.render(SENTENCE, words_per_minute=words_per_minute, rate_hz=16_000).size)
    slow, fast = lengths[::2], lengths[1::2]
    assert min(slow) > 1.5 * max(fast)
    assert max(slow) - min(slow) < 0.02 * min(slow)  # the engine says a word each time a little otherwise


def test_a_sentence_that_the_engine_cuts_is_spoken_again(monkeypatch: pytest.MonkeyPatch) -> None:
    """pyttsx3 takes the last change of rate for speech now and then, and stops the sentence after it: none is lost."""
    Pyttsx3Synthesiser().render(SENTENCE, words_per_minute=165, rate_hz=22_050)
    espeak = importlib.import_module("pyttsx3.drivers._espeak")
    speaking, synth = espeak.IsPlaying, espeak.Synth
    mistaken: list[bool] = []

    def mistake() -> int:
        return int(mistaken.pop()) if mistaken else int(speaking())

    def cut(*words: object, **options: object) -> int:
        answer: int = synth(*words, **options)
        if cuts:
            cuts.pop()
            espeak.Cancel()
        return answer

    monkeypatch.setattr(espeak, "IsPlaying", mistake)
    monkeypatch.setattr(espeak, "Synth", cut)
    for _ in range(20):
        mistaken, cuts = [True], [True]
        pcm = Pyttsx3Synthesiser().render(SENTENCE, words_per_minute=165, rate_hz=22_050)
        assert pcm.size > 2 * 22_050
    nothing = (np.zeros(0, dtype=np.int16), 22_050)
    monkeypatch.setattr(synthesiser_pyttsx3._Engine, "_render_once", lambda *_asked: nothing)
    with pytest.raises(SetupError, match="cut one sentence"):
        Pyttsx3Synthesiser().render(SENTENCE, words_per_minute=165, rate_hz=22_050)


def test_two_voices_in_turn_stay_apart() -> None:
    """Korean between two English sentences leaves the English one as it was."""
    english, korean = Pyttsx3Synthesiser(), Pyttsx3Synthesiser(voice="ko")
    before = english.render("no spark", words_per_minute=165, rate_hz=16_000).size
    assert korean.render("아니요", words_per_minute=165, rate_hz=16_000).size > 4_000
    english.close()
    assert english.render("no spark", words_per_minute=165, rate_hz=16_000).size == pytest.approx(before, abs=800)


def test_an_unknown_voice_is_refused_in_words() -> None:
    """A voice that the engine has not is an error, not another voice."""
    with pytest.raises(SetupError, match="cannot speak"):
        Pyttsx3Synthesiser(voice="no-such-voice").render("yes", words_per_minute=165, rate_hz=16_000)


def test_text_without_words_gives_no_samples() -> None:
    """Dots are not spoken."""
    assert Pyttsx3Synthesiser().render(" ... ", words_per_minute=165, rate_hz=16_000).size == 0


def test_many_threads_may_ask_at_once() -> None:
    """Eight threads each get their own whole sentence."""
    synthesiser = Pyttsx3Synthesiser()
    got: dict[int, int] = {}

    def ask(number: int) -> None:
        got[number] = synthesiser.render(f"reading {number}", words_per_minute=165, rate_hz=16_000).size

    threads = [threading.Thread(target=ask, args=(number,)) for number in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(got) == list(range(8))
    assert min(got.values()) > 8_000


def test_nothing_is_printed_and_no_system_library_is_used() -> None:
    """Standard output stays ours, and the only eSpeak NG in the process is the wheel's."""
    program = (
        "from assistant.adapters.synthesiser_pyttsx3 import Pyttsx3Synthesiser as S\n"
        "S().render('yes', words_per_minute=165, rate_hz=16000)\n"
        "maps = {line.split()[-1] for line in open('/proc/self/maps') if 'espeak' in line}\n"
        "assert maps and all('espeakng_loader' in path for path in maps), maps\n"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=False, timeout=60)
    assert (done.returncode, done.stdout) == (0, ""), done.stderr


SAYS_YES = (
    "import sys; sys.modules['espeakng_loader'] = None\n"
    "from assistant.adapters.synthesiser_pyttsx3 import Pyttsx3Synthesiser as S\n"
    "assert S().render('yes', words_per_minute=165, rate_hz=16000).size > 3000\n"
    "print({line.split()[-1] for line in open('/proc/self/maps') if 'libespeak' in line})\n"
)


def test_without_the_wheel_the_systems_library_speaks(tmp_path: Path) -> None:
    """Played by the wheel's own library, put where the system's loader finds it."""
    import espeakng_loader  # noqa: PLC0415 - the test extra has it

    data = Path(espeakng_loader.get_data_path())
    system = tmp_path / "libespeak-ng.so.1"
    shutil.copy(data.parent / system.name, system)
    environment = os.environ | {"LD_LIBRARY_PATH": str(tmp_path), "ESPEAK_DATA_PATH": str(data)}
    done = subprocess.run(
        [sys.executable, "-c", SAYS_YES], env=environment, capture_output=True, text=True, check=False, timeout=60
    )
    assert done.stdout.strip() == str({str(system)}), done.stderr


def test_with_neither_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    """One sentence that names both ways, and how to go on without a voice."""

    def absent(name: str, mode: int = 0) -> None:
        raise OSError(f"{name}: cannot open shared object file")

    monkeypatch.setitem(sys.modules, "espeakng_loader", None)
    monkeypatch.setattr(ctypes, "CDLL", absent)
    with pytest.raises(SetupError, match=r"install espeakng-loader, or 'apt install libespeak-ng1'.*--say silent"):
        synthesiser_pyttsx3._load_espeak()
