"""A live session: blocks of sound in, turns out. While we speak only stop and pause are listened for."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from assistant.cranking.arbiter import may_ask
from assistant.english import live as texts
from assistant.errors import DeviceLost, HoodsideError
from assistant.guide import Mode
from assistant.hearing.level import rms_dbfs
from assistant.language.attention import addressed
from assistant.language.commands import CUTS_SPEECH, control_of
from assistant.language.model import Expected, Heard
from assistant.language.plain import plain_words
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock, Keys, Microphone, Pictures, Recogniser, Taps, Voice
from assistant.session.ahead import Ahead
from assistant.session.burst_news import Starter, take_event
from assistant.session.conversation import Conversation
from assistant.session.cut_in import heard_over, taken_over
from assistant.session.keys import meant_by
from assistant.session.lag import IN_TIME_S, SLOW_S, Lag
from assistant.session.listening import listening_for
from assistant.session.losses import Losses
from assistant.session.loudness import Loudness
from assistant.session.microphone_level import MicrophoneLevel, Sound
from assistant.session.misses import Misses
from assistant.session.our_voice import OurVoice
from assistant.session.recent_sound import RecentSound
from assistant.session.taps import take_taps
from assistant.session.watchdog import Watchdog

BLOCK_WAIT_S = 0.1
REDRAW_S = 0.2
SLOW_REDRAW_S = 1.0
"""Between two pictures where we are behind: words come first."""

LAG_SHOWN_S = 3.0
BREATH_S = 0.5
"""Between two sentences of ours it is silent for less than this."""

LOST_SOUND_S = 0.25
"""Lost sound shorter than this cannot hide a command. Source: judgement."""

AROUND_LOSS_S = 0.5
"""Speech so near to lost sound may have gone on in it. Source: judgement."""

OWN_SIGN_S = 0.8
"""What begins so soon after a sign and is as short may be the sign itself, in our own microphone. Source: judgement."""

MISS_SHOWN_S = 4.0
BURST_SHOWN_S = 6.0
BACK_SAID_S = 5.0
"""A microphone that gives sound again for so long, while nothing was said, is told of. Source: judgement."""

DEAD = {
    Sound.MUTED: texts.NO_SOUND,
    Sound.FAINT: texts.HARDLY_A_SOUND,
}

STOP_ONLY = Expected(controls=CUTS_SPEECH)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ears:
    """Everything that listens. `starter`: None where nothing listens for the starter."""

    microphone: Microphone
    recogniser: Recogniser
    starter: Starter | None = None


class LiveLoop:
    """Leads a conversation by sound until the job ends or the microphone's file does."""

    def __init__(
        self,
        *,
        conversation: Conversation,
        ears: Ears,
        voice: Voice,
        now_s: Callable[[], float],
        on_block: Callable[[AudioBlock], None] | None = None,
        keys: Keys | None = None,
        taps: Taps | None = None,
        pictures: Pictures | None = None,
        speech_wrong: Callable[[], HoodsideError | None] = lambda: None,
        minds_level: bool = True,
        cut_in: bool = False,
        asleep_s: Callable[[], float] = lambda: 0.0,
        loudness: Loudness | None = None,
    ) -> None:
        """`now_s`: seconds since the job started. `on_block`: told of each block first, e.g. a clock made of sound.
        `keys`, `taps`: None where there is no keyboard, or no page. `speech_wrong`, `asleep_s`: as Watchdog has them.
        `minds_level`: whether a microphone that gives no sound is told of; a file may be silent. `cut_in`: whether an
        answer said over a prompt ends it. `loudness`: as OurVoice has it."""
        self._cut_in = cut_in
        self._watchdog = Watchdog(
            conversation, voice, now_s, self._notice, speech_wrong=speech_wrong, asleep_s=asleep_s
        )
        self._keys = keys
        self._taps, self._pictures = taps, pictures
        conversation.showing.has_keys = keys is not None
        self._conversation = conversation
        self._ears = ears
        self._voice = voice
        self._now_s = now_s
        self._on_block = on_block
        self._while_speaking = replace(STOP_ONLY, attention=conversation.attention)
        self._recent = RecentSound() if conversation.keeps_sound else None
        self._told: Expected | None = None
        self._misses = Misses()
        self._sign_s = -math.inf
        self._microphone_gone = False
        self._level = MicrophoneLevel() if minds_level else None
        self._dead: Sound | None = None  # told of, and not yet said to be back
        self._back_s: float | None = None
        self._losses = Losses()
        self._notices: dict[str, tuple[str, float]] = {}  # what about -> the notice, and until when it holds
        self._heard_to_s = 0.0  # end of the latest block in the stream
        self._lag = Lag()
        self._taken_s = 0.0  # when the end of that block sounded, in seconds of the job
        self._question: object = None
        self._asked_s = -math.inf  # when the present question was asked
        self._spoke = False  # whether we spoke while the latest block was said
        self._quiet_s = now_s()  # since when nothing was said on either side
        self._sounded_to_s = -math.inf
        self._drawn_s = -REDRAW_S
        self._ahead = Ahead(voice)
        self._our_voice = OurVoice(conversation, voice, ears.recogniser, loudness, now_s())

    def run(self) -> None:
        """Until the job has ended, or the sound has. Raises RecordError when a fact could not be kept."""
        while not self._conversation.ended:
            try:
                self.step()
            except EOFError:
                self._obey(self._ears.recogniser.finish())
                return

    def step(self) -> None:
        """One block: what fell due, what was heard, what the starter did. Raises EOFError at the end of a file."""
        self._mind_the_rest()
        block = self._read()
        if block is None:
            return self._redraw()  # hands and eyes go on without a microphone
        if self._on_block is not None:
            self._on_block(block)
        if self._recent is not None:
            self._recent.add(block)
        self._heard_to_s = block.start_s + block.pcm.size / SAMPLE_RATE_HZ
        self._losses.note(block)
        self._mind_level(block)
        self._listen_for_the_starter(block)
        self._tell_recogniser(block)
        begun_s = self._now_s()
        self._taken_s = begun_s - block.waited_s
        question = self._conversation.question
        heard = self._watchdog.hear(self._ears.recogniser, block)
        if self._watchdog.deaf:
            self._losses.unheard(block)
        self._mind_lag(block.waited_s + self._now_s() - begun_s)
        self._our_voice.mind(block, over_words=self._spoke)
        if heard is not None and self._conversation.question != question and not self._cuts_in(heard):
            self._notice("miss", texts.TOO_EARLY, MISS_SHOWN_S)  # a key has answered meanwhile
        else:
            self._obey(heard)
        if heard is None:
            self._make_ready(block)
        self._redraw(rms_dbfs(block.pcm))

    def _make_ready(self, block: AudioBlock) -> None:
        """What is said to words that wait for their silence, else to what is likely said; not if late or timed."""
        if block.waited_s > IN_TIME_S or self._lag.catching_up or self._conversation.state.mode is Mode.TIMING:
            return
        if (heard := getattr(self._ears.recogniser, "would_tell", None)) is not None:
            self._ahead.answer(heard, self._conversation.likely_reply)
        elif not self._our_voice.hears_voice:
            self._ahead.go_on(self._conversation.question, self._conversation.likely_replies)

    def while_hearing(self, waited_s: float) -> None:
        """While the recogniser works on one block, since `waited_s`: everything but hearing goes on."""
        self._mind_the_rest()
        self._watchdog.hearing_works_since(waited_s)
        self._redraw()

    def _mind_the_rest(self) -> None:
        """What does not wait for sound. Raises VoiceLost."""
        self._watchdog.mind()
        self._let_time_pass()
        self._our_voice.sound_tones(self._now_s())
        self._take_keys()
        if self._taps is not None:
            take_taps(self._taps, self._conversation, self._voice, self._now_s(), self._pictures)

    def _let_time_pass(self) -> None:
        """Deadlines wait until we are silent, so that no tone is late by a sentence; a release call does not wait."""
        if not self._voice.speaking or self._conversation.urgent:
            self._conversation.pass_time(self._now_s())

    def _take_keys(self) -> None:
        for key in self._keys.pressed() if self._keys else ():
            counting = self._conversation.state.mode is Mode.TIMING
            control = meant_by(key, speaking=self._voice.speaking, counting=counting)
            if control is not None and not self._conversation.ended:
                self._conversation.press(control, self._now_s())

    def _tell_recogniser(self, block: AudioBlock) -> None:
        if self._question != self._conversation.question:
            self._question = self._conversation.question
            self._asked_s = self._now_s()
        self._spoke = self._spoke_then(block)
        expected = self._over_speech() if self._spoke else self._conversation.expected
        if expected == self._told:
            return
        self._told = expected
        self._ears.recogniser.expect(listening_for(expected))

    def _over_speech(self) -> Expected:
        conversation = self._conversation
        if not self._cut_in:
            return replace(self._while_speaking, timed=conversation.expected.timed)
        return heard_over(conversation.expected, conversation.state.mode, conversation.mouth.spoken)

    def _read(self) -> AudioBlock | None:
        try:
            block = self._ears.microphone.read(BLOCK_WAIT_S)
        except DeviceLost as lost:
            if not self._microphone_gone:
                self._microphone_gone = True
                self._conversation.remark(lost.spoken or texts.MICROPHONE_GONE, self._now_s())
            return None
        if block is not None and self._microphone_gone:
            self._microphone_gone = False
            self._conversation.remark(texts.MICROPHONE_BACK, self._now_s())
        return block

    def _spoke_then(self, block: AudioBlock) -> bool:
        """Whether words of ours sounded, or the tones of a timed action, while this was said.

        Where we are behind, that is told by what went out then: what is said in a silence is meant for us, even if it
        is heard only while we speak again.
        """
        end_s = block.start_s + block.pcm.size / SAMPLE_RATE_HZ
        if block.played is not None and block.played.any():
            self._sounded_to_s = end_s
        if block.played is None or block.waited_s <= IN_TIME_S:
            return self._voice.speaking and not self._conversation.mouth.only_signs
        return end_s - self._sounded_to_s < BREATH_S

    def _mind_lag(self, behind_s: float) -> None:
        """Say and show that we are slow, rather than let the technician wonder."""
        self._lag.note(behind_s, self._now_s())
        if behind_s > SLOW_S:
            self._notices["lag"] = (texts.behind(round(behind_s)), self._now_s() + LAG_SHOWN_S)
        can_speak = not self._voice.speaking and self._conversation.state.mode is not Mode.TIMING
        if can_speak and self._lag.to_tell():
            self._conversation.remark(texts.SLOW, self._now_s())

    def _said_before_asked(self, heard: Heard) -> bool:
        """Whether it was said before the present question was asked, by somebody who waited for an answer: it cannot
        be the answer to this one."""
        if self._lag.behind_s <= IN_TIME_S:
            return False
        return self._taken_s - (self._heard_to_s - heard.ended_s) < self._asked_s

    def _mind_level(self, block: AudioBlock) -> None:
        """Tell of a microphone that gives no sound, and that it is back unless an answer has already shown that."""
        if self._level is None:
            return
        sound = self._level.hear(block)
        if sound is not Sound.USUAL:
            self._back_s = None
            self._notices["level"] = (DEAD[sound], math.inf)
            if sound is not self._dead and not self._voice.speaking:
                self._dead = sound
                self._conversation.remark(DEAD[sound], self._now_s())
            return
        self._notices.pop("level", None)
        if self._dead is None:
            return
        if self._back_s is None:
            self._back_s = self._now_s()
        free = not self._voice.speaking and not self._conversation.expected.dictation
        if free and self._now_s() - self._back_s >= BACK_SAID_S:
            self._is_back()
            self._conversation.remark(texts.MICROPHONE_BACK, self._now_s())

    def _is_back(self) -> None:
        self._dead = self._back_s = None

    def _obey(self, heard: Heard | None) -> None:
        if heard is None:
            return
        self._quiet_s = self._now_s()
        self._is_back()
        if self._said_before_asked(heard) and not self._cuts_in(heard):
            self._notice("miss", texts.TOO_EARLY, MISS_SHOWN_S)
            return
        if self._spoke and not self._cuts_in(heard):
            over = taken_over(heard, self._conversation.mouth.spoken) if self._cut_in else None
            if over is None:
                if heard.words is None:
                    self._notice("miss", texts.STOPS_ONLY, MISS_SHOWN_S)
                return
            self._voice.stop()
            heard = over
        if heard.words is None and not (heard.free_text and self._conversation.can_use(heard)):
            self._miss(heard)
            return
        self._misses.understood()
        self._notices.pop("miss", None)
        if self._ears.starter is not None:
            self._ears.starter.understood(heard)
        if self._level is not None:
            self._level.understood()
        sound = self._recent.between(heard.began_s, heard.ended_s) if self._recent is not None else None
        self._conversation.hear(self._losses.doubted(heard), self._now_s(), sound)

    def _miss(self, heard: Heard) -> None:
        """Speech that was not understood: a sign for each, none where it need not be meant for us or is our own."""
        now_s = self._now_s()
        ago_s = self._heard_to_s - heard.began_s
        own = 0.0 <= now_s - ago_s - self._sign_s < OWN_SIGN_S and heard.ended_s - heard.began_s < OWN_SIGN_S
        if self._conversation.attention or own:
            return
        around = (heard.began_s - AROUND_LOSS_S, heard.ended_s + AROUND_LOSS_S)
        lost = self._losses.between(*around) >= LOST_SOUND_S
        self._notice("miss", texts.MISSED_SOUND if lost else texts.NOT_UNDERSTOOD, MISS_SHOWN_S)
        if self._conversation.awaits_tone:
            return
        self._sign_s = now_s
        self._conversation.miss(heard, now_s, self._misses.missed(now_s), texts.MISSED_SOUND if lost else "")

    def _notice(self, about: str, text: str, seconds: float) -> None:
        """Put a notice on the screen at once, for so long; none for no time."""
        self._notices[about] = (text, self._now_s() + seconds)
        self._drawn_s = -math.inf

    def _cuts_in(self, heard: Heard) -> bool:
        said = addressed(heard, self._while_speaking)
        return said is not None and control_of(plain_words(said.words or "")) in CUTS_SPEECH

    def _listen_for_the_starter(self, block: AudioBlock) -> None:
        """What sounds like a starter matters where one was asked for: tools and music sound like it, too.

        Where we are behind and none was asked for, nobody listens for it: words come first.
        """
        starter = self._ears.starter
        left_out = self._lag.catching_up and not self._conversation.awaits_burst
        for told in () if starter is None or left_out else starter.accept(block):
            notice = take_event(told, block.waited_s, self._conversation, self._now_s())
            if notice:
                self._notice("burst", notice, BURST_SHOWN_S)
        if self._voice.speaking:
            self._quiet_s = self._now_s()
        else:
            if starter is None or may_ask(starter.quiet_s):
                self._conversation.ask_what_is_due(self._now_s())
            self._conversation.name_after(self._now_s() - self._quiet_s, self._now_s())

    def _redraw(self, level_db: float | None = None) -> None:
        now_s = self._now_s()
        self._notices = {about: each for about, each in self._notices.items() if each[1] > now_s}
        self._conversation.showing.notices = tuple(text for text, _ in self._notices.values())
        if now_s - self._drawn_s >= (SLOW_REDRAW_S if self._lag.catching_up else REDRAW_S):
            self._drawn_s = now_s
            self._conversation.show(now_s, level_db=level_db)
