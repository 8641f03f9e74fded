"""What a conversation speaks with: its voice, and the tones that are wanted."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress

from assistant.errors import DeviceLost
from assistant.guide import Mode, State, Turn
from assistant.language.commands import CUTS_SPEECH
from assistant.language.model import BY_KEY, BY_KNOCK, TYPED, Command, GiveControl, Heard, Unclear
from assistant.language.signals import Signal
from assistant.language.speech import Utterance
from assistant.ports import Voice
from assistant.session.tones import ANSWERED, Tones, counts


class Mouth:
    """Of the attributes, `only_signs` says whether nothing but a sign was sounded since the last words, `spoken` is
    what is being said, or was said last."""

    def __init__(self, voice: Voice, tones: Tones) -> None:
        self._voice = voice
        self._tones = tones
        self.only_signs = False
        self.spoken: tuple[Utterance, ...] = ()

    @property
    def speaking(self) -> bool:
        """Whether sound is still going out."""
        return self._voice.speaking

    def set_as(self, state: State) -> None:
        """As loud, as fast and with such tones as this state wishes."""
        self._voice.set_volume(state.volume)
        self._voice.set_rate(state.rate_wpm)
        self._tones.on = state.tones

    def stop(self) -> None:
        """Cut all sound now."""
        self._voice.stop()

    def say(self, reply: Sequence[Utterance], sign: Signal | None = None) -> None:
        """Speak the reply, its tone first. Raises DeviceLost."""
        self.spoken = (*(self.spoken if self._voice.speaking else ()), *reply)
        if sign is not None:
            self.signal(sign)
        self.only_signs = False
        self._voice.say(reply)

    def signal(self, signal: Signal) -> Sequence[Utterance]:
        """Sound a tone that stands for words, and return it: while nothing else sounds, everything is listened for as
        before."""
        tones, silent = self._tones.of(signal), not self._voice.speaking
        if tones:
            with suppress(DeviceLost):
                self._voice.say(tones)
                self.only_signs = self.only_signs or silent
        return tones

    def fell_silent(self, state: State) -> None:
        """We have said what we had to say: where an answer is waited for, a tone tells so."""
        if not self.only_signs and state.mode in ANSWERED:
            self.signal(Signal.LISTENING)

    def count_down(self, state: State, from_s: float, to_s: float) -> None:
        """A tone for one of the last seconds of a count, where it lies between these times."""
        if counts(state, from_s, to_s):
            self.signal(Signal.COUNTING)


def sign_of(turn: Turn, command: Command | Unclear, heard: Heard | None) -> Signal | None:
    """The tone before the answer: that stop was obeyed, whoever gave it, or that spoken words were taken; none while an
    action is to be counted, whose own tones shall be the next."""
    if heard is None or not turn.facts:
        return None
    if isinstance(command, GiveControl) and command.control in CUTS_SPEECH:
        return Signal.STOPPED
    spoken = heard.engine not in (TYPED, BY_KEY, BY_KNOCK)
    return Signal.TAKEN if spoken and turn.state.mode is not Mode.TIMING else None
