"""The port `Recogniser` on the embedded network: silence is skipped, speech is written down inside the grammar."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from time import perf_counter

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded import limits
from assistant.adapters.recogniser_embedded.at_stake import AtStake
from assistant.adapters.recogniser_embedded.kept import Kept
from assistant.adapters.recogniser_embedded.languages import Languages
from assistant.adapters.recogniser_embedded.look import Look, since
from assistant.adapters.recogniser_embedded.network import Network, return_memory
from assistant.adapters.recogniser_embedded.scribe import Scribe, Sound, WrittenDown
from assistant.adapters.recogniser_embedded.stop import Stop, StopWatch
from assistant.adapters.recogniser_embedded.stop_doubt import is_doubted
from assistant.adapters.recogniser_embedded.tried import Looking, Tried, heeded, tried_in
from assistant.grammar.model import Grammar
from assistant.hearing.beam import Language
from assistant.hearing.candidate import BeamSettings
from assistant.hearing.echo import EchoCanceller
from assistant.hearing.endpoint import FRAME_S, Endpoint, Mark
from assistant.hearing.gate import FRAME, Gate
from assistant.hearing.running_talk import RunningTalk, goes_on
from assistant.hearing.sound import speech_span
from assistant.hearing.standing_out import standing_out
from assistant.language.model import Heard
from assistant.language.stakes import Tail
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock, Listening
from assistant.speech_detector import Detector

Pcm = NDArray[np.int16]


class EmbeddedRecogniser:
    """Implements `assistant.ports.Recogniser`. Make it with `make_embedded`."""

    def __init__(
        self,
        network: Network,
        detector: Detector,
        gate: Gate,
        stop: StopWatch,
        *,
        settings: BeamSettings | None = None,
        trade: frozenset[str] = frozenset(),
    ) -> None:
        """`stop`: what listens for nothing but the words that stop us. `trade`: words, in small letters, that are liked
        a little better where somebody dictates."""
        self._stop = stop
        self._scribe = Scribe(network, settings=settings or BeamSettings(), trade=trade, name=self.name)
        self._detector = detector
        self._gate = gate
        self._languages = Languages(network)
        self._listening: Listening | None = None
        self._at_stake = AtStake(tags=self._tags)
        self._language: Language | None = None
        self._endpoint = Endpoint(limits.COMMAND)
        self._echo = EchoCanceller()
        self._loose: Pcm = np.zeros(0, np.int16)  # samples that do not fill a frame yet
        self._kept = Kept()
        self._talk = RunningTalk()
        self._before_db = -math.inf  # of the talk in which what is said now began
        self._own_voice = 0  # frames for which our own voice may still be heard
        self._began_s = 0.0
        self._tried: Tried | None = None
        self._looking: Looking | None = None
        self._early: Looking | None = None  # begun in a silence that is none yet
        self._hurried = False
        self.on_pause: Callable[[], None] = lambda: None
        self.on_look: Callable[[Look], None] = lambda look: None
        self._paused = False  # told of in this utterance

    @property
    def name(self) -> str:
        """Short name for records."""
        return "embedded"

    @property
    def always_confirm(self) -> bool:
        """Its accuracy is measured, so harmless results need no question."""
        return False

    @property
    def hears_voice(self) -> bool:
        """Whether somebody surely speaks or hums just now."""
        return self._endpoint.speaking and self._endpoint.sure

    @property
    def would_tell(self) -> Heard | None:
        """What will be told if nothing more is said, once it is known and waits for its silence only."""
        tried = self._tried if self._endpoint.speaking and self._looking is None else None
        if tried is None or not tried.whole or not tried.holds(len(self._kept), self._endpoint.quiet_s):
            return None
        return tried.heard if tried.heard.words is not None else None

    def expect(self, listening: Listening) -> None:
        """What may be heard from now on. Raises ProcedureError when nothing can be said in the grammar."""
        self._look_no_more()
        if not listening.dictation:
            self._language = self.language(listening.grammar).made_ready()
        if self._listening is None or self._listening.dictation != listening.dictation:
            self._endpoint = Endpoint(limits.DICTATION if listening.dictation else limits.COMMAND)
        self._tried = None
        self._listening = listening
        self._at_stake = AtStake.where(listening, self._tags)
        self._scribe.expect(listening, self._language, self._at_stake)

    def language(self, grammar: Grammar) -> Language:
        """The grammar made ready, from memory when it was heard before."""
        return self._languages.of(grammar)

    def accept(self, block: AudioBlock) -> Heard | None:
        """Something said, once it is complete."""
        if self._listening is None:
            return None
        started = perf_counter()
        self._hurried = block.waited_s > limits.HURRY_S
        first_s = block.start_s - (len(self._loose) + self._echo.waiting) / SAMPLE_RATE_HZ
        samples = np.concatenate([self._loose, self._echo.clean(block.pcm, block.played)])
        if block.played is not None and block.played.any():
            self._own_voice = limits.OWN_VOICE_FRAMES
            self._stop.we_say(block.played)
        whole = len(samples) // FRAME
        self._loose = samples[whole * FRAME :]
        said: Heard | None = None
        for index in range(whole):
            frame = samples[index * FRAME : (index + 1) * FRAME]
            heard = self._frame(frame, first_s + index * FRAME_S, started)
            said = said or heard
        if said is not None and said.words is not None:
            self._stop.settle()
            if not said.unsure and self._at_stake.at_once(said.words):
                self._talk.forget()
        return said

    def finish(self) -> Heard | None:
        """What the sound so far amounts to, as if silence followed; then ready anew."""
        started = perf_counter()
        heard = None
        if self._endpoint.speaking:
            self._kept.add(self._loose)
            heard = self._told(self._decide(started))
        self._forget()
        self._begin_anew()
        self._loose = np.zeros(0, np.int16)
        return heard

    def hear_take(self, pcm: Pcm) -> Heard:
        """A whole recording as one utterance: int16, mono, (frames,), 16 000 Hz. Needs `expect` first."""
        started = perf_counter()
        short = len(pcm) <= limits.SHORT_TAKE_S * SAMPLE_RATE_HZ
        span = speech_span(pcm, [] if short else self._probabilities(pcm))
        if span is None or span[1] - span[0] > limits.LONGEST_TAKE_S * SAMPLE_RATE_HZ:
            return Heard(words=None, confidence=0.0, took_ms=since(started), engine=self.name)
        self._look_no_more()
        sound = Sound(pcm=pcm[span[0] : span[1]], began_s=span[0] / SAMPLE_RATE_HZ, started=started)
        taken = self._scribe.write(sound)
        return_memory()
        return taken.heard

    def close(self) -> None:
        """Free memory; may be called twice."""
        self._look_no_more()
        self._scribe.close()
        self._languages.clear()

    def _probabilities(self, pcm: Pcm) -> list[float]:
        self._begin_anew()
        found = [self._speaks(frame)[0] for frame in pcm[: len(pcm) // FRAME * FRAME].reshape(-1, FRAME)]
        self._begin_anew()
        return found

    def _speaks(self, frame: Pcm) -> tuple[float, float]:
        """Probability that somebody speaks to us in this frame, and that there is a voice at all."""
        levelled = self._gate.levelled(frame)
        voice = self._detector((frame if self._own_voice else levelled).tobytes())
        speaks = self._gate.speaks(frame, voice)
        if self._own_voice:
            self._own_voice -= 1
            speaks = voice if voice >= limits.OWN_VOICE_AT or self._endpoint.speaking else 0.0
        return speaks, voice

    def _begin_anew(self) -> None:
        self._stop.forget()
        self._detector.reset()
        self._gate.reset()
        self._talk.forget()

    def _frame(self, frame: Pcm, at_s: float, started: float) -> Heard | None:
        speaks, voice = self._speaks(frame)
        resting = self._stop.hear(frame, calm=speaks < self._endpoint.settings.ends_below)
        mark = Mark.NOTHING if resting else self._endpoint.frame(speaks, voice, self._gate.level_dbfs)
        looking = self._looking
        if looking is not None and looking.reads and self._endpoint.fresh_frames >= limits.GOES_ON_FRAMES:
            self._look_no_more()
        elif self._early is not None and not self._endpoint.quiet_s:
            self._give_up_early()
        self._kept.add(frame, self._gate.level_dbfs)
        if self._own_voice:
            self._talk.forget()
        else:
            self._talk.frame(self._gate.level_dbfs, voice)
        stopped = self._stopped(at_s, started)
        if stopped is not None:
            self._forget()
            return stopped
        if mark is Mark.BEGAN:
            return_memory()  # of what was said before: nobody waits for an answer now
            self._began_s = at_s - FRAME_S * (len(self._kept) - 1)
            self._before_db = self._talk.loud_db()
        elif mark is Mark.EARLY:
            self._try_early(started)
        elif mark is Mark.TRY:
            if self._endpoint.sure and not self._paused and not self._hurried:
                self._paused = True
                self.on_pause()
            return self._try(started)
        elif mark is Mark.ENDED:
            heard = self._told(self._decide(started))
            self._forget()
            return heard
        elif mark is Mark.LET_PASS:
            self._forget()
        elif not self._endpoint.speaking:
            self._kept.keep_lead()
        return None

    def _stopped(self, at_s: float, started: float) -> Heard | None:
        """A word that stops us, whatever else is being said; a whole sentence that holds its sound, if it is legal."""
        if self._listening is None or self._listening.dictation:
            return None
        began_s = self._began_s if self._endpoint.speaking and not self._own_voice else None

        def stands_out(word: Stop) -> bool:
            return began_s is not None and self._kept.stands_out(*word.since(began_s))

        asked, now_s = self._at_stake.asked, at_s + FRAME_S
        stop = self._stop.told(now_s, began_s, lambda words: words in self._tags(words), stands_out, asked=asked)
        if stop is None:
            return None
        told = Heard(words=stop.words, confidence=round(stop.sure, 4), began_s=stop.began_s, ended_s=stop.ended_s)
        if began_s is not None:
            nearer = stop.inside and self._kept.nearer(*stop.since(began_s))
            if is_doubted(stop, began_s, self._kept, self._scribe, self._at_stake, nearer=nearer, started=started):
                self._stop.let_go()
                return None
            if stop.inside and not nearer:
                self._look_no_more()
                whole = self._scribe.write(self._sound(started)).heard
                told = whole if whole.words is not None and not whole.unsure else told
        return replace(told, took_ms=since(started), engine=self.name)

    def _try(self, started: float) -> Heard | None:
        """Work out what was said so far, at the first silence and where that was not clear once more; act on it once
        the silence is as long as the words need.

        Not where sound waits: what follows is heard already, so once, at the end, is soon enough.
        """
        if self._hurried:
            self._give_up_early()
            return None
        quiet_s = self._endpoint.quiet_s
        tried = self._looked()
        fresh = tried is None or not tried.holds(len(self._kept), quiet_s)
        if tried is None or fresh or (not tried.clear and tried.quiet_s < limits.AGAIN_S <= quiet_s):
            looking = self._look(started, tried)
            if looking.goes_on and (tried is None or not tried.clear):
                self._looking = looking
                return None
            tried = self._tried = self._made_of(looking)
        if quiet_s >= limits.AGAIN_S and self._told(tried.heard) is None:
            self._kept.keep_lead()  # what began was no word, and nobody's: what is said next is worked out without it
            self._let_pass()
            return None
        if tried.silence_s(len(self._kept)) < tried.after_s:
            return None
        self._forget()
        return self._told(replace(tried.heard, took_ms=since(started)) if tried.quiet_s < quiet_s else tried.heard)

    def _try_early(self, started: float) -> None:
        """Begin to work out what was said before the silence is as long as a first look needs: where speech goes on
        that is given up. Not what may stop us, and not where another is louder: that is for the look itself."""
        if self._hurried or standing_out(self._kept.levels) is not None:
            return
        before = self._looked()
        work = self._scribe.begin_early(self._sound(started, later=True))
        if work is not None:
            self._early = Looking(
                work=work, frames=len(self._kept), quiet_s=self._endpoint.quiet_s, part=None, before=before,
            )  # fmt: skip

    def _look(self, started: float, before: Tried | None) -> Looking:
        """Begin to work out what was said so far. On another thread where nothing hangs on it yet, so that what comes
        in meanwhile is heard and can end it. `before`: what was made of the beginning of it."""
        quiet_s, part = self._endpoint.quiet_s, standing_out(self._kept.levels)
        if self._early is not None and part is None:
            early, self._early = self._early, None
            return early
        self._give_up_early()
        later = part is None and quiet_s < limits.AGAIN_S
        waits = later and quiet_s < limits.TAIL_S[Tail.SHORT] and (before is None or not before.clear)
        sound = self._sound(started, part, later=later)
        return Looking(
            work=self._scribe.begin(sound) if waits else self._scribe.write(sound),
            frames=len(self._kept), quiet_s=quiet_s, part=part, before=before,
        )  # fmt: skip

    def _looked(self) -> Tried | None:
        """What the latest look found; one that goes on is waited for."""
        looking, self._looking = self._looking, None
        if looking is not None:
            self._tried = self._made_of(looking)
        return self._tried

    def _look_no_more(self) -> None:
        self._give_up_early()
        looking, self._looking = self._looking, None
        if looking is not None:
            looking.give_up()

    def _give_up_early(self) -> None:
        early, self._early = self._early, None
        if early is not None:
            early.give_up()

    def _made_of(self, looking: Looking) -> Tried:
        written = self._seen(looking.found())
        return tried_in(looking, written, self._at_stake, began_s=self._began_s, over_us=self._own_voice > 0)

    def _told(self, heard: Heard) -> Heard | None:
        """What counts only where somebody surely spoke: the gate lets some noise begin, and that is nobody's business.
        Only stop and its like are taken on less, over our own voice on a little less, unless we have just said them
        ourselves, and what the recogniser itself is surer of than it ever is of noise."""
        words = None if heard.unsure else heard.words
        if words is not None and self._stop.is_ours(words):
            return None
        stops = words is not None and self._at_stake.tail(words) is Tail.NONE
        stops = stops and (not self._own_voice or heard.confidence >= limits.STOP_OVER_US_AT)
        said = words is not None and heard.confidence >= limits.SURELY_SAID
        return heard if stops or said or self._endpoint.sure else None

    def _decide(self, started: float) -> Heard:
        quiet = int(self._endpoint.settings.end_after_s / FRAME_S) + 1
        self._give_up_early()
        tried = self._looked()
        if tried is not None and tried.whole and len(self._kept) - tried.frames <= quiet:
            return replace(tried.heard, took_ms=since(started))
        sound = self._sound(started, standing_out(self._kept.levels))
        return heeded(self._seen(self._scribe.write(sound)), self._at_stake)[0]

    def _seen(self, written: WrittenDown) -> WrittenDown:
        if written.look is not None:
            self.on_look(written.look)
        return written

    def _sound(self, started: float, part: slice | None = None, *, later: bool = False) -> Sound:
        """All that was kept."""
        return Sound(
            pcm=self._kept.pcm(), began_s=self._began_s, started=started, part=part, later=later,
            hurried=self._hurried, sure=self._endpoint.sure, amid=goes_on(self._before_db, self._kept.levels),
        )  # fmt: skip

    def _tags(self, words: str) -> tuple[str, ...]:
        return self._language.tags(words) if self._language is not None else ()

    def _forget(self) -> None:
        self._kept.forget()
        self._let_pass()

    def _let_pass(self) -> None:
        self._look_no_more()
        self._endpoint.reset()
        self._paused = False
        self._tried = None
