"""Where an utterance begins and ends, from the probability in each short frame that somebody speaks to us. Pure; counts
frames."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, auto
from math import inf

FRAME_S = 0.032
"""Length of one frame: 512 samples at 16 000 Hz, as the speech detector takes them."""


class Mark(Enum):
    """What a frame means for the utterance."""

    NOTHING = auto()
    BEGAN = auto()
    EARLY = auto()  # a silence that may become such a one: time to begin to work it out
    TRY = auto()  # a short silence: time to work out what was said, in case that was all
    ENDED = auto()
    LET_PASS = auto()  # over, and it was not for us


@dataclass(frozen=True, slots=True, kw_only=True)
class EndpointSettings:
    """Seconds, and probabilities that somebody speaks to us.

    `try_after_s`: silences after which what was said is worked out: the first to act soon, the last for what is decided
    when the utterance ends. `early_s`: a shorter one, after which that is begun, in case it lasts. `fresh_frames`:
    after less new speech than that the first is left out: talk in the background flickers, and little can have changed.

    `sure_ends_below`: where somebody surely spoke, what hovers below this without a voice is noise that the gate does
    not know yet, as when a machine has just begun.

    `sure_at`, `sure_frames`: somebody surely spoke to us where so many frames are so likely. Of what noise alone lets
    begin nine in ten have none, of short words in noise 6 dB below nineteen in twenty have six.

    `clear_at`, `clear_voice_at`: where nobody had been talking, frames so likely count too if the detector hears a
    voice so clearly: in quiet the gate, which learnt in noise, gives the middle of a word 0.3. Of 76 words by people
    in a quiet room 75 are surely somebody's so and 67 with 0.5, in noise as many words, and as much noise, as before.

    `voice_at`: from here on the detector hears a voice, whoever's; as long as it does, the utterance goes on, for parts
    of a stranger's sentence are not to be taken for the whole: unless it is `softer_db` softer than what was said, for
    then it is another's, in the background. Not so where somebody had been talking for `talk_s` and
    it was none of ours: there the talk goes on, so what is said to us ends by itself, and counts only where it is sure:
    one in ten of 46 pieces of an announcement was, and nine in ten words over talk 15 dB below. `let_go_s`: so long
    what is not said to us may trail an utterance. What is softer for `end_after_s` ends it too, whoever it is, once
    `known_frames` have told how loud we are spoken to, counted anew where for `louder_frames` somebody speaks so much
    louder than before: what went before was another's. Of 72 phrases over talk 15 to 6 dB below 61 ended within 1.2 s
    without that, 68 with it, and of 288 none before its end (measured before `last_sound_s`). The last sound of a word
    may be soft: for `last_sound_s` it is no silence yet. It is not worked out before the utterance is over, since a
    soft syllable is as soft.

    Source: `hoodside bench latency` on the tuning voices, and words in noise that the gate had learnt from.
    """

    begins_at: float = 0.2
    ends_below: float = 0.3
    sure_ends_below: float = 0.55
    onset_frames: int = 2
    sure_at: float = 0.8
    sure_frames: int = 3
    clear_at: float = 0.25
    clear_voice_at: float = 0.95
    voice_at: float = 0.35
    softer_db: float = 7.0
    known_frames: int = 8
    louder_frames: int = 2
    last_sound_s: float = 0.16
    talk_s: float = 0.8
    let_go_s: float = 1.0
    fresh_frames: int = 4
    try_after_s: tuple[float, ...] = (0.096, 0.256)
    early_s: float = inf
    end_after_s: float = 0.5
    longest_s: float = 15.0


class Endpoint:
    """Fed with one probability a frame, tells the marks of the utterance."""

    def __init__(self, settings: EndpointSettings) -> None:
        self.settings = settings
        self.speaking = False
        self._loud = 0
        self._quiet = 0
        self._soft = 0  # frames since anything was said as loud as the rest
        self._away = 0  # frames since anything was said to us, whatever voices there are
        self._frames = 0
        self._fresh = 0
        self._sure = 0
        self._power = 0.0  # summed over the frames in which somebody spoke to us aloud
        self._spoken = 0
        self._louder = 0  # frames of late that are far louder than that
        self._louder_power = 0.0
        self._talk = 0
        self._over_talk = False

    @property
    def quiet_s(self) -> float:
        """How long the silence has lasted that may be the end."""
        return self._quiet * FRAME_S

    @property
    def fresh_frames(self) -> int:
        """How many frames were spoken since it was last time to work out what was said."""
        return self._fresh

    @property
    def sure(self) -> bool:
        """Whether in this utterance, or in the last one where none goes on, somebody surely spoke to us."""
        return self._sure >= self.settings.sure_frames

    def frame(self, probability: float, voice: float = 0.0, level_db: float = 0.0) -> Mark:
        """The mark that this frame sets. `probability`: that somebody speaks to us; `voice`: that there is a voice;
        `level_db`: how loud the frame is, against whatever."""
        voices = voice >= self.settings.voice_at
        if not self.speaking:
            return self._waiting(probability, voices)
        self._frames += 1
        self._sure += self._surely(probability, voice)
        hovers = self.sure and voice < self.settings.voice_at and probability < self.settings.sure_ends_below
        spoken = probability >= self.settings.ends_below and not hovers
        self._fresh += spoken
        self._measure_anew(level_db, spoken=spoken)
        as_loud = self._as_loud(level_db) or self._spoken < self.settings.known_frames
        if spoken and as_loud:  # what is softer, and goes on, must not make itself the measure
            self._power, self._spoken = self._power + 10 ** (level_db / 10), self._spoken + 1
        self._away = 0 if spoken else self._away + 1
        goes_on = voices and not self._over_talk and self._as_loud(level_db)
        self._quiet = 0 if spoken or goes_on else self._quiet + 1
        self._soft = 0 if (spoken or goes_on) and as_loud else self._soft + 1
        quiet_s = self._quiet * FRAME_S
        soft_s = self._soft * FRAME_S - self.settings.last_sound_s
        ended = max(quiet_s, soft_s) >= self.settings.end_after_s
        let_go = self._away * FRAME_S >= self.settings.let_go_s
        if ended or let_go or self._frames * FRAME_S >= self.settings.longest_s:
            self.reset()
            if let_go:
                self._talk = self._talk_frames
            return Mark.ENDED if self.sure or not self._over_talk else Mark.LET_PASS
        if self._tries(quiet_s):
            return Mark.TRY
        return Mark.EARLY if self._tries_early(quiet_s) else Mark.NOTHING

    def reset(self) -> None:
        """Wait for the next utterance."""
        self.speaking = False
        self._loud = self._quiet = self._soft = self._away = self._frames = 0

    @property
    def _talk_frames(self) -> int:
        return round(self.settings.talk_s / FRAME_S)

    def _surely(self, probability: float, voice: float) -> bool:
        settings = self.settings
        clear = probability >= settings.clear_at and voice >= settings.clear_voice_at and not self._over_talk
        return clear or probability >= settings.sure_at

    def _as_loud(self, level_db: float) -> bool:
        """Whether a voice so loud may be that of who speaks to us."""
        said = self._power / max(self._spoken, 1)
        return 10 ** ((level_db + self.settings.softer_db) / 10) >= said

    def _measure_anew(self, level_db: float, *, spoken: bool) -> None:
        """Where a nearer voice begins within another's, its loudness is what counts."""
        power = 10 ** (level_db / 10)
        said = self._power / max(self._spoken, 1)
        louder = spoken and self._spoken > 0 and power > said * 10 ** (self.settings.softer_db / 10)
        self._louder = self._louder + 1 if louder else 0
        self._louder_power = self._louder_power + power if louder else 0.0
        if self._louder >= self.settings.louder_frames:
            self._power, self._spoken = self._louder_power - power, self._louder - 1  # this one comes with the rest
            self._louder, self._louder_power = 0, 0.0

    def _tries_early(self, quiet_s: float) -> bool:
        due = quiet_s - FRAME_S < self.settings.early_s <= quiet_s
        return due and self._fresh >= self.settings.fresh_frames and (self.sure or not self._over_talk)

    def _tries(self, quiet_s: float) -> bool:
        due = [after_s for after_s in self.settings.try_after_s if quiet_s - FRAME_S < after_s <= quiet_s]
        if self._over_talk and not self.sure:
            return False
        if not due or (due[0] == self.settings.try_after_s[0] and self._fresh < self.settings.fresh_frames):
            return False
        self._fresh = 0
        return True

    def _waiting(self, probability: float, voices: bool) -> Mark:
        self._loud = self._loud + 1 if probability >= self.settings.begins_at else 0
        if self._loud < self.settings.onset_frames:
            self._talk = min(self._talk + 1, 2 * self._talk_frames) if voices else max(0, self._talk - 2)
            return Mark.NOTHING
        self.speaking = True
        self._over_talk = self._talk >= self._talk_frames
        self._frames = self._quiet = self._soft = self._away = self._sure = self._spoken = 0
        self._power = self._louder_power = 0.0
        self._louder = 0
        self._fresh = self.settings.fresh_frames  # however short it is, it is tried
        return Mark.BEGAN
