"""A voice made of a synthesiser and a speaker: what is said goes out in order, tones stand where they belong."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import suppress

import numpy as np
from numpy.typing import NDArray

from assistant.errors import DeviceLost, HoodsideError, UsageError, VoiceLost
from assistant.language.breaths import breaths
from assistant.ports import Pause, Sentence, Speaker, Synthesiser, Tone, Utterance

SLOWEST_WPM, FASTEST_WPM = 80, 300
"""Words a minute; outside these English is hard to follow (common practice, no source)."""

_BETWEEN_SENTENCES_S = 0.25
"""The synthesiser gives words without silence around them; two sentences in a row need a breath between them."""

_TONE_LEVEL = 0.5
_TONE_EDGE_S = 0.005
"""A tone that starts at full strength clicks; a click is easily taken for the sound of the job."""


_NOTHING = np.zeros(0, dtype=np.int16)

_NO_VOICE = tuple(part for hz in (660.0, 495.0, 330.0) for part in (Tone(hz=hz, seconds=0.25), Pause(seconds=0.1)))
"""Three falling tones: something is wrong with the voice, look at the screen. Source: judgement."""


class SpokenVoice:
    """Speaks on a thread of its own, or at once inside `say` when time is not the room's (`threaded` False).

    On its thread it waits for a lost speaker and then goes on where the sound broke off: a caution that nobody could
    hear has not been spoken, so `speaking` stays true until then.
    """

    def __init__(
        self,
        *,
        synthesiser: Synthesiser,
        speaker: Speaker,
        words_per_minute: int = 165,
        volume: float = 1.0,
        threaded: bool = True,
        on_lost: Callable[[HoodsideError], None] = lambda _lost: None,
        retry_s: float = 0.5,
    ) -> None:
        """`on_lost`: told on the voice's thread, once each time the speaker goes away, and with VoiceLost where nothing
        can speak. `retry_s`: between tries."""
        self._synthesiser = synthesiser
        self._speaker = speaker
        self._words_per_minute = words_per_minute
        self._volume_gain = self._lift_gain = 1.0
        self.set_volume(volume)
        self._lock = threading.Lock()
        self._waiting: queue.SimpleQueue[tuple[int, Sequence[Utterance]] | str | None] = queue.SimpleQueue()
        self._unspoken = 0  # sequences asked for and not yet handed to the speaker
        self._preparing = False
        self._cuts = 0
        self._fault: HoodsideError | None = None
        self._on_lost = on_lost
        self._retry_s = retry_s
        self._cut = threading.Event()
        self._worker = threading.Thread(target=self._work, name="voice", daemon=True) if threaded else None
        if self._worker is not None:
            self._worker.start()

    def say(self, utterances: Sequence[Utterance]) -> None:
        """Begin to speak, after what is still being spoken; returns at once.

        Raises what went wrong with earlier speech, once, such as SetupError; what is said now is then dropped.
        """
        fault, self._fault = self._fault, None
        if fault is not None:
            raise fault
        with self._lock:
            self._unspoken += 1
            asked = (self._cuts, tuple(utterances))
        if self._worker is None:
            self._speak(*asked)
        else:
            self._waiting.put(asked)

    def prepare(self, text: str) -> bool:
        """See ports: one breath of it, which the synthesiser has to remember. What is said meanwhile waits for that."""
        if self._worker is None:
            return True  # nobody waits for words where time is not the room's
        if self._unspoken or self._preparing:
            return False
        self._preparing = True
        self._waiting.put(text)
        return True

    def stop(self) -> None:
        """Cut all sound now, and whatever was still to be spoken."""
        with self._lock:
            self._cuts += 1
            self._unspoken = 0
            self._speaker.cut()
            self._cut.set()

    @property
    def speaking(self) -> bool:
        """Whether sound is still going out, or about to."""
        return self._unspoken > 0 or self._speaker.playing

    def set_volume(self, level: float) -> None:
        """0 to 1, for what is said from now on; half is about 12 dB softer. Raises UsageError outside."""
        if not 0.0 <= level <= 1.0:
            raise UsageError(f"The volume must lie between 0 and 1, not {level}.")
        self._volume_gain = level * level  # the ear takes equal ratios for equal steps; a square is near enough

    def set_lift(self, decibels: float) -> None:
        """So much louder than the volume says, for what is said from now on; what would be cut off is bent."""
        self._lift_gain = 10.0 ** (decibels / 20.0)

    def duck(self, softer: bool) -> None:
        """Let what sounds be softer, or as loud as before."""
        self._speaker.duck(softer)

    def set_rate(self, words_per_minute: int) -> None:
        """Speaking rate of what is said from now on. Raises UsageError outside 80 to 300."""
        if not SLOWEST_WPM <= words_per_minute <= FASTEST_WPM:
            raise UsageError(
                f"The speaking rate must lie between {SLOWEST_WPM} and {FASTEST_WPM} words a minute, "
                f"not {words_per_minute}."
            )
        self._words_per_minute = words_per_minute

    def close(self) -> None:
        """Cut all sound and free synthesiser and speaker; may be called twice."""
        self.stop()
        if self._worker is not None:
            self._waiting.put(None)
            self._worker.join()
            self._worker = None
        self._speaker.close()
        self._synthesiser.close()

    def _work(self) -> None:
        while True:
            try:
                asked = self._waiting.get(timeout=self._retry_s)
            except queue.Empty:
                if self._speaker.playing:
                    self._play(self._cuts, _NOTHING)  # finds out whether the device is still there
                continue
            if asked is None:
                return
            if isinstance(asked, str):
                self._make_ready(asked)
            else:
                self._speak(*asked)

    def _make_ready(self, text: str) -> None:
        """The first breath: those after it are made while it sounds."""
        with suppress(Exception):  # what cannot be made is told where it is to be said
            for breath in breaths(text)[:1]:
                self._synthesiser.render(breath, words_per_minute=self._words_per_minute, rate_hz=self._speaker.rate_hz)
        self._preparing = False

    def _speak(self, cuts: int, utterances: Sequence[Utterance]) -> None:
        try:
            for pcm in self._pieces(cuts, utterances):
                if not self._play(cuts, pcm):
                    break
        except DeviceLost as lost:
            self._fault = lost
        except Exception as error:  # a voice's library may raise anything, and its thread shall not die of it
            self._tell_without_words(error)
        finally:
            with self._lock:
                self._unspoken -= cuts == self._cuts

    def _tell_without_words(self, error: Exception) -> None:
        """Nothing can make words: tones say that something is wrong, and the screen what."""
        told = error if isinstance(error, HoodsideError) else f"The voice failed ({type(error).__name__})."
        self._fault = error if isinstance(error, HoodsideError) else VoiceLost(str(told))
        self.sound_trouble()
        if self._worker is not None:
            self._on_lost(VoiceLost(str(told)))

    def sound_trouble(self) -> None:
        """Three falling tones at once, from any thread, after what has been made: something is wrong with the voice."""
        with suppress(DeviceLost):
            for pcm in self._scaled([np.concatenate(list(self._sounds(self._cuts, _NO_VOICE)))]):
                self._speaker.play(pcm)

    def _play(self, cuts: int, pcm: NDArray[np.int16]) -> bool:
        """Hand samples to the speaker, as soon as there is one; returns False when they were cut before."""
        told = False
        while True:
            try:
                with self._lock:
                    if cuts != self._cuts:
                        return False
                    self._cut.clear()
                    self._speaker.play(pcm)
                return True
            except DeviceLost as lost:
                if self._worker is None:
                    raise
                if not told:
                    self._on_lost(lost)
                    told = True
                self._cut.wait(self._retry_s)

    def _pieces(self, cuts: int, utterances: Sequence[Utterance]) -> Iterator[NDArray[np.int16]]:
        """Breath by breath, so that the first is heard while the next is made; from the first tone or pause to the
        last all in one, because a gap while a sentence is being made would shift what is timed."""
        timed = [place for place, one in enumerate(utterances) if not isinstance(one, Sentence)] or [len(utterances)]
        first, after = timed[0], timed[-1] + 1
        yield from self._scaled(self._sounds(cuts, utterances[:first]))
        whole = list(self._sounds(cuts, utterances[first:after]))
        yield from self._scaled([np.concatenate(whole)] if whole else [])
        yield from self._scaled(self._sounds(cuts, utterances[after:]))

    def _scaled(self, pieces: Iterable[NDArray[np.int16]]) -> Iterator[NDArray[np.int16]]:
        return (_bent(piece, self._volume_gain * self._lift_gain) for piece in pieces if piece.size)

    def _sounds(self, cuts: int, utterances: Sequence[Utterance]) -> Iterator[NDArray[np.int16]]:
        rate_hz = self._speaker.rate_hz
        spoken = False  # whether a breath was the last thing
        for utterance in utterances:
            match utterance:
                case Tone(hz=hz, seconds=seconds, level=level):
                    yield _scaled(_tone(hz, seconds, rate_hz), level)
                    spoken = False
                case Pause(seconds=seconds):
                    yield _silence(seconds, rate_hz)
                    spoken = False
                case Sentence(text=text):
                    for breath in breaths(text):
                        if cuts != self._cuts:
                            return
                        pcm = self._synthesiser.render(breath, words_per_minute=self._words_per_minute, rate_hz=rate_hz)
                        if spoken and pcm.size:
                            yield _silence(_BETWEEN_SENTENCES_S, rate_hz)
                        yield pcm
                        spoken = spoken or pcm.size > 0


def _tone(hz: float, seconds: float, rate_hz: int) -> NDArray[np.int16]:
    frames = round(seconds * rate_hz)
    edge = min(round(_TONE_EDGE_S * rate_hz), frames // 2)
    shape = np.ones(frames)
    rise = 0.5 - 0.5 * np.cos(np.pi * np.arange(edge) / max(edge, 1))
    shape[:edge] = rise
    shape[frames - edge :] = rise[::-1]
    wave = np.sin(2 * np.pi * hz * np.arange(frames) / rate_hz)
    return np.asarray(np.rint(32767 * _TONE_LEVEL * shape * wave), dtype=np.int16)


def _silence(seconds: float, rate_hz: int) -> NDArray[np.int16]:
    return np.zeros(max(0, round(seconds * rate_hz)), dtype=np.int16)


_KNEE = 0.7
"""Share of full scale above which sound that was made louder is bent, so that no peak is cut off."""


def _bent(pcm: NDArray[np.int16], gain: float) -> NDArray[np.int16]:
    """Scaled; where that is louder than the voice was made, peaks above the knee are pressed together."""
    if gain <= 1.0:
        return _scaled(pcm, gain)
    wave = pcm * (gain / 32_768.0)
    size = np.abs(wave)
    over = size > _KNEE
    room = 1.0 - _KNEE
    wave[over] = np.sign(wave[over]) * (_KNEE + room * np.tanh((size[over] - _KNEE) / room))
    return np.asarray(np.rint(32_767.0 * wave), dtype=np.int16)


def _scaled(pcm: NDArray[np.int16], gain: float) -> NDArray[np.int16]:
    return pcm if gain == 1.0 else np.asarray(np.rint(pcm * gain), dtype=np.int16)
