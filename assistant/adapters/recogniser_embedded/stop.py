"""The ear for stop at work: it listens to each frame, and what it proposes is judged at once by the phones."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded.network import Network, SpeechPassage
from assistant.hearing.endpoint import FRAME_S
from assistant.hearing.gate import FRAME
from assistant.hearing.phones import Reading, numbered
from assistant.hearing.sound import cleaned
from assistant.hearing.spotting import Spot, spotted
from assistant.hearing.stop_ear import WORDS, StopEar, StopLayers
from assistant.hearing.stop_trust import Proposal, probability
from assistant.language.commands import control_of, phrase_of
from assistant.procedure.sound import sounds_of

Pcm = NDArray[np.int16]

SPOKEN_OF = {words: phrase_of(control) for words in WORDS if (control := control_of(words)) is not None}
"""By each of the ear's words the phrase that we speak of."""

PROPOSED_AT = 0.15
"""Probability of the ear from which on the phones are asked."""

AGAIN_FRAMES = 3
"""Frames between two looks at the same word: a tenth of a second."""

LOOKED_AT_FRAMES = 36
"""Sound that the phones judge: 1.15 s."""

LATEST_STEPS = 16
"""The word must have ended within so many steps of the network, 0.4 s."""

PAUSE_FRAMES = 30
"""So long after a word nothing is told, for the ear is sure of it for a while, and at first, for what is usual here is
not known yet: a second."""

ALONE_S = 0.5
"""A word that begins so soon after what is being said is none inside a longer sentence."""

CALM_FRAMES, INSIDE_FRAMES = 4, 14
"""Frames without anything said to us after which such a sentence is over, and for which that is waited for."""

REST_FRAMES = 30
"""So long at most after a word that stopped us, till it is calm, nothing begins: its end and its echo are no word."""

LOOKED_AT_TWICE, SURE_AT_ONCE = frozenset(("stop", "hold on")), 0.97
"""Where an answer is waited for these count once a second look finds them again, unless the first is so sure: a "dead"
or an "if" is a stop for one look. Source: of 279 answers of training writers by the tuning voices, 15 and 9 dB over
noise, three were taken for a word that stops us, none is so; none of 25 stops of people (the part for the trust, 9 dB),
24 of the voices' and 23 of their "hold on" is lost, a third of the stops come a tenth of a second later. Of "pause",
"hold it" and "whoa" a second look finds too few again."""

OURS_FALL = -4.0
"""Nats from which on the phones find the same word in what we have just played: what is heard then is
its echo. Source: judgement; a stop said well has 0 to -3."""

OVER_OURS_AT = 0.9
"""How sure each of the words must be over our own voice: what a new room left of it was "hold on" with 0.71."""

OURS_FRAMES = 44
"""What we played is looked at so far back, with its way through the room: 1.4 s."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """A word that stops us. `words`: the phrase that we speak of; `inside`: it seems to end a longer sentence, or comes
    over others' talk; `surely`: it needs no other look."""

    words: str
    sure: float
    began_s: float
    ended_s: float
    inside: bool
    surely: bool

    def since(self, began_s: float) -> tuple[float, float]:
        """Seconds from then to its beginning and its end."""
        return self.began_s - began_s, self.ended_s - began_s


class StopWatch:
    """What its listener is sure of, at once where it stands alone. Inside a longer sentence ("it stopped at fifty") it
    counts once nothing more is said to us. Over others' talk, which has no end, it counts where it stands out of the
    talk before and after it, and so does what else would need a second look. Give it each frame, then ask for it."""

    def __init__(self, listener: StopListener) -> None:
        self._listener = listener
        self._ours_frames = 0
        self._played: Pcm = np.zeros(0, np.int16)
        self._found: Proposal | None = None
        self._inside: Stop | None = None
        self._calm = self._waited = self._rest = 0
        self._seen, self._seen_ago = "", 0

    def forget(self) -> None:
        """Begin anew, as in another shop."""
        self._listener.forget()
        self._found = self._inside = None
        self._rest = 0
        self._seen = ""

    def settle(self) -> None:
        """What was heard so far is known: the same word is not told twice."""
        self._listener.settle()
        self._found = self._inside = None

    def let_go(self) -> None:
        """The word that was told last was none: what is being said goes on."""
        self._rest = 0

    def we_say(self, played: Pcm) -> None:
        """What our own speaker sends out: int16, mono, 16 000 Hz. A word of ours in it is nobody's command."""
        self._played = np.concatenate([self._played, played])[-OURS_FRAMES * FRAME :]
        self._ours_frames = OURS_FRAMES

    def hear(self, frame: Pcm, *, calm: bool) -> bool:
        """Listen to a frame in which, if it is `calm`, nobody speaks to us; whether it still belongs to a word told."""
        self._calm = self._calm + 1 if calm else 0
        self._ours_frames = max(0, self._ours_frames - 1)
        self._seen_ago += 1
        self._rest = 0 if self._calm > CALM_FRAMES else max(0, self._rest - 1)
        self._found = self._listener.frame(frame)
        return self._rest > 0

    def told(
        self, now_s: float, began_s: float | None, legal: Callable[[str], bool],
        stands_out: Callable[[Stop], bool] = lambda _: False, *, asked: bool = False,
    ) -> Stop | None:  # fmt: skip
        """The word that counts now. `now_s`: end of the latest frame; `began_s`: of what is being said to us, None for
        nothing; `legal`: whether the phrase may be said; `stands_out`: whether by now a word is so much louder than all
        around it that it stands alone, and is over; `asked`: an answer is waited for."""
        found, over_ours = self._found, self._ours_frames > 0
        acts = found is not None and found.acts and (found.sure >= OVER_OURS_AT or not over_ours)
        if found is not None and (acts or (found.maybe and not over_ours)):
            if self.is_ours(found.words):
                self.settle()
                return None
            surely = acts and (over_ours or not asked or self._borne_out(found))
            stop = _stop_of(found, now_s, began_s, surely=surely)
            if legal(stop.words):
                if surely:
                    self.settle()
                if surely and not stop.inside:
                    self._rest = REST_FRAMES
                    return stop
                if stop.inside and (surely or self._inside is None):
                    self._inside, self._waited = stop, 0
        return self._told_inside(stands_out) if self._inside is not None else None

    def _told_inside(self, stands_out: Callable[[Stop], bool]) -> Stop | None:
        stop, self._waited = self._inside, self._waited + 1
        if stop is not None and stands_out(stop):
            self.settle()
            return stop
        if self._calm >= CALM_FRAMES or self._waited >= INSIDE_FRAMES:
            self._inside = None
        return stop if stop is not None and stop.surely and self._calm >= CALM_FRAMES else None

    def is_ours(self, words: str) -> bool:
        """Whether they are one of the words that stop us, and we have just said it ourselves."""
        return self._ours_frames > 0 and words in WORDS and self._listener.fall(self._played, words) >= OURS_FALL

    def _borne_out(self, found: Proposal) -> bool:
        """Whether it needs no second look, or this is one."""
        again = self._seen == found.words and self._seen_ago <= AGAIN_FRAMES + 1
        self._seen, self._seen_ago = found.words, 0
        return again or found.sure >= SURE_AT_ONCE or found.words not in LOOKED_AT_TWICE


def _stop_of(found: Proposal, now_s: float, began_s: float | None, *, surely: bool) -> Stop:
    """What is proposed, in the stream's seconds; the phrase that we speak of for its word."""
    ended_s = now_s - found.ago_s
    starts_s = ended_s - found.lasted_s
    inside = began_s is not None and starts_s - began_s >= ALONE_S
    words = SPOKEN_OF[found.words]
    return Stop(words=words, sure=found.sure, began_s=starts_s, ended_s=ended_s, inside=inside, surely=surely)


class StopListener:
    """Give it each frame; it tells each of the words of `hearing.stop_ear` as soon as it was said."""

    def __init__(self, layers: StopLayers, network: Network) -> None:
        self._ear = StopEar(layers)
        self._network = network
        self._readings = [readings_of(words) for words in WORDS]
        self.forget()

    def forget(self) -> None:
        """Begin anew, as in another shop."""
        self._ear.reset()
        self._lately: list[Pcm] = []
        self._since = -PAUSE_FRAMES

    def settle(self) -> None:
        """What was heard so far is known: tell nothing for a while."""
        self._since = -PAUSE_FRAMES

    def frame(self, frame: Pcm) -> Proposal | None:
        """The word that has just been said, if it was one. `frame`: int16, (512,), 16 000 Hz."""
        chance = self._ear.frame(frame)
        self._lately = [*self._lately[1 - LOOKED_AT_FRAMES :], frame]
        self._since += 1
        if chance < PROPOSED_AT or self._since < 0:
            return None
        self._since = -AGAIN_FRAMES
        return self.judged(np.concatenate(self._lately), chance)

    def fall(self, pcm: Pcm, words: str) -> float:
        """By how many nats the word, wherever it lies in this sound, falls short of the best phones."""
        phones = SpeechPassage(self._network, cleaned(pcm)).phones()
        return spotted(phones, [readings_of(words)], latest=phones.shape[1])[0].fall

    def judged(self, pcm: Pcm, chance: float) -> Proposal:
        """The likeliest of the words at the end of this sound, and how far to trust it. `chance`: the ear's."""
        phones = SpeechPassage(self._network, cleaned(pcm)).phones()
        with self._network.one_thread():
            spots = spotted(phones, self._readings, latest=LATEST_STEPS)
        step_s = len(pcm) / FRAME * FRAME_S / phones.shape[1]
        proposals = [
            proposal(number, spot, chance, ago_s=(phones.shape[1] - 1 - spot.ends) * step_s, lasts_s=step_s)
            for number, spot in enumerate(spots)
        ]
        return max(proposals, key=lambda one: one.by_its_limit)


def proposal(number: int, spot: Spot, chance: float, *, ago_s: float, lasts_s: float) -> Proposal:
    """One of the words as found. `ago_s`: since it ended. `lasts_s`: of one step of the network."""
    return Proposal(
        words=WORDS[number],
        sure=probability(WORDS[number], chance, spot),
        ago_s=ago_s,
        lasted_s=(spot.ends - spot.begins + 1) * lasts_s,
    )


def readings_of(words: str) -> list[Reading]:
    """Every way to say the words, by number of the phones."""
    ways = product(*(sounds_of(word) for word in words.split()))
    return [tuple(phone for reading in way for phone in numbered(reading)) for way in ways]
