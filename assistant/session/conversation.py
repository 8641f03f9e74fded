"""The one line of every session: heard → understood → advanced → recorded → shown → spoken."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.arbiter import Place, Ruling, rule_burst
from assistant.english import live as texts
from assistant.english import refusals
from assistant.english.heard import say_first
from assistant.errors import DeviceLost, RecordError
from assistant.facts import FactKind
from assistant.guide import Library, Mode, State, Turn, advance, awaits_burst, burst_place, next_deadline
from assistant.guide.expect import yes_is_free
from assistant.guide.places import duty_of
from assistant.guide.words import choices, hint
from assistant.language.attention import addressed
from assistant.language.commands import CUTS_SPEECH, phrase_of
from assistant.language.model import (
    BY_KEY,
    BurstDropped,
    BurstHeard,
    Command,
    Control,
    Expected,
    GiveControl,
    Heard,
    KeepPicture,
    StarterCommand,
    TellTest,
    TimePassed,
    Unclear,
    UnclearReason,
)
from assistant.language.questions import Ask
from assistant.language.signals import Signal
from assistant.language.speech import Sentence, Utterance
from assistant.language.understand import asked, understand
from assistant.ports import Aids, Archive, Clips, Screen, Voice
from assistant.record.build import build_record
from assistant.record.model import JobRecord
from assistant.session.adviser import Adviser
from assistant.session.ahead import likely_replies, reply_to
from assistant.session.aids import aided
from assistant.session.answering import answer
from assistant.session.heard_before import HeardBefore
from assistant.session.kept_sound import with_sound
from assistant.session.legal import Legal
from assistant.session.misses import Sign
from assistant.session.mouth import Mouth, sign_of
from assistant.session.shown import Moment, Showing
from assistant.session.silence import Silence
from assistant.session.tones import Tones
from assistant.session.trace import Trace, written
from assistant.session.unasked import Unasked

NOT_HEARD = Unclear(reason=UnclearReason.NOT_HEARD)
Reply = tuple[Utterance, ...]
Said = Command | Ask | Unclear | None


class Conversation:
    """Carries turns out, in the one order that loses nothing: recorded first, then traced, shown and spoken."""

    def __init__(
        self,
        *,
        library: Library,
        journal: Archive,
        voice: Voice,
        screen: Screen,
        trace: Trace,
        adviser: Adviser | None = None,
        attention: str = "",
        clips: Clips | None = None,
        glances: bool = False,
        tones: Tones | None = None,
        on_voice_set: Callable[[State], None] = lambda _state: None,
        on_asked: Callable[[Expected], None] = lambda _expected: None,
        aids: Aids | None = None,
    ) -> None:
        """`adviser`: thinks along and answers questions; None where no fault model belongs to the procedure.
        `attention`: the words that must stand before each command, checked before; empty for none.
        `clips`: keeps the sound behind each fact; None unless the user asked for it. `glances`: whether the screen
        shows more than words. `tones`: those that stand for words; None for all of them. `aids`: what a page can do by
        word; None without one. `on_voice_set`: told when loudness, speed or tones were changed by voice.
        `on_asked`: told what may be said, once speaking has begun. Of the attributes, `showing` draws what is
        set there with the next view, `mouth` speaks.
        """
        self._library = library
        self.attention = attention
        self._adviser = adviser
        self._clips = clips
        self._aids = aids
        self._journal = journal
        self.mouth = Mouth(voice, tones or Tones())
        self.showing = Showing(screen, library, adviser, glances=glances)
        self._trace = trace
        self._state = State()
        self._legal = Legal(library, adviser, aids)
        self._unasked = Unasked()
        self._before = HeardBefore()
        self._silence = Silence()
        self._on_voice_set = on_voice_set
        self._on_asked = on_asked

    @property
    def state(self) -> State:
        """Where the job stands."""
        return self._state

    @property
    def keeps_sound(self) -> bool:
        """Whether `hear` wants the sound of what was said."""
        return self._clips is not None

    @property
    def ended(self) -> bool:
        """Whether nothing more can happen."""
        return self._state.mode is Mode.ENDED

    @property
    def expected(self) -> Expected:
        """What may be said now."""
        return self._legal.at(self._state, self.attention).expected

    def can_use(self, heard: Heard) -> bool:
        """Whether words that no grammar knows are worth a turn: they are kept, ask something, resemble an answer, or
        there is more to say of them than that they were not caught."""
        now, heard = self.expected, self._before.amid(heard)
        said = understand(heard, now)
        told = not isinstance(said, Unclear) or said.offer is not None or bool(said.detail)
        return now.dictation or told or asked(heard, now) is not None

    @property
    def question(self) -> object:
        """What tells the present question from any other: what was said before it was asked cannot answer it."""
        state = self._state
        return (state.at, state.mode, state.pending, len(state.history))

    def likely_replies(self) -> Iterator[str]:
        """The first breaths of what would be said to what may be said now, likeliest first."""
        return likely_replies(self._library, self._state, self.expected)

    def likely_reply(self, heard: Heard) -> str | None:
        """The first breath of what would be said to this."""
        return reply_to(self._library, self._state, self.expected, heard)

    @property
    def deadline_s(self) -> float | None:
        """When the clock alone will next change something."""
        return next_deadline(self._state)

    @property
    def urgent(self) -> bool:
        """Whether the next deadline is a release call to a burst that is heard, which waits for no sentence."""
        timed = self._state.timed
        return self._state.mode is Mode.TIMING and timed is not None and timed.begun and timed.by == "ear"

    @property
    def awaits_tone(self) -> bool:
        """Whether the next tone begins a timed action, so that no other may sound."""
        timed = self._state.timed
        return self._state.mode is Mode.TIMING and timed is not None and not timed.begun

    @property
    def awaits_burst(self) -> bool:
        """Whether the starter may turn now, because the step asked for it."""
        return awaits_burst(self._library, self._state)

    def open(self, turn: Turn) -> None:
        """Carry out the opening turn of a new or resumed job. Raises RecordError."""
        self.mouth.set_as(turn.state)
        turn = self._adviser.think_over(turn, None) if self._adviser else turn
        rules = (say_first(self.attention) if self.attention else "", texts.SOUND_IS_KEPT if self._clips else "")
        told = (Sentence(text=rule) for rule in rules if rule)
        turn = replace(turn, reply=(*turn.reply[:1], *told, *turn.reply[1:]))
        self._carry_out(turn, None, None, turn.state.at_s)

    def hear(self, heard: Heard, at_s: float, sound: NDArray[np.int16] | None = None) -> Turn:
        """Something was said. Raises RecordError when its facts could not be kept; nothing is spoken then but that.

        `sound`: what it was heard in, int16, mono, (frames,), 16 000 Hz; kept where a fact comes of it.
        """
        now = self.expected
        self.showing.sure = heard.confidence
        heard = self._before.weigh(heard)
        said = addressed(heard, now)
        if said is None:
            why = texts.call_first(self.attention)
            return self._reply((Sentence(text=why, kind="refusal"),), heard.words, None, at_s, refused=why)
        question = asked(said, now)
        if question is not None:
            return self._answer(question, heard, at_s)
        command = understand(said, now)
        self._before.note(heard, taken=not isinstance(command, Unclear))
        if isinstance(command, TellTest) and self._adviser:
            command = self._adviser.as_answer(command, self._state, now)
        if self._aids is not None and (did := aided(self._aids, command)) is not None:
            return self._reply((Sentence(text=did),), heard.words, command, at_s)
        answered = self._answer_unasked(command, heard, at_s)
        if answered is not None:
            return answered
        if isinstance(command, GiveControl) and command.control in CUTS_SPEECH:
            self.mouth.stop()
        return self._advance(command, at_s, heard, sound)

    def press(self, control: Control, at_s: float, *, by: str = BY_KEY) -> Turn:
        """A key that stands for this command, or the machine, gives it: as its word would. Raises RecordError."""
        self._before.forget()
        self.showing.sure = None
        if control in CUTS_SPEECH:
            self.mouth.stop()
        heard = Heard(words=phrase_of(control), confidence=1.0, engine=by)
        return self._advance(GiveControl(control=control), at_s, heard)

    def miss(self, heard: Heard, at_s: float, sign: Sign, why: str = "") -> None:
        """Speech that was not understood gets its sign. `why`: said in place of "I did not catch that"."""
        sounded = self.mouth.signal(Signal.MISSED)
        self._before.note(heard, taken=False)
        if sign is Sign.TONE:
            turn = Turn(state=self._state, reply=tuple(sounded), refused=refusals.NOT_CAUGHT)
            self._trace.write(turn, heard=None, command=NOT_HEARD, at_s=at_s, can_say=self._can_say())
        elif why:
            self.remark(why, at_s)
        elif sign is Sign.CHOICES:
            self._reply(choices(self._library, self._state), None, NOT_HEARD, at_s, refused=refusals.NOT_CAUGHT)
        else:
            self.hear(heard, at_s)

    def sense(self, event: StarterCommand | KeepPicture, at_s: float) -> Turn:
        """The ear for the starter heard something, or a photograph was kept. Raises RecordError."""
        return self._advance(event, at_s)

    def hear_burst(self, burst: BurstHeard, at_s: float) -> bool:
        """A whole burst: taken where asked for and sure, else at most asked about. Whether taken.

        Raises RecordError.
        """
        end_s = at_s - burst.ago_s
        place = burst_place(self._library, self._state, end_s - burst.seconds, end_s)
        ruling = rule_burst(burst.seconds, burst.confidence, place, outcome_known=burst.caught is not None)
        asked_for = ruling is Ruling.TAKEN and place in (Place.ASKED, Place.AWAITED, Place.TOLD)
        if ruling is Ruling.ASKS and self._state.mode is Mode.TIMING:
            self.sense(BurstDropped(), at_s)  # it is no longer timed: not before a yes
        if ruling in (Ruling.TAKEN, Ruling.ASKS):
            (self.sense if asked_for else self._unasked.heard)(burst, at_s)
        return asked_for

    def ask_what_is_due(self, at_s: float) -> None:
        """In a silence of ours: whether the starter turned unasked, where that is sure, matters and may be asked."""
        self._unasked.forget_before(at_s - duty_of(self._library, self._state).rest_s)
        if yes_is_free(self._library, self._state) and self._unasked.may_ask(at_s):
            self.remark(self._unasked.ask(at_s), at_s)

    def name_after(self, silent_s: float, at_s: float) -> None:
        """After a silence of both: the answers that were not named with the question, once."""
        said = self._silence.due(self._library, self._state, self.question, silent_s)
        if said:
            self._reply(said, None, None, at_s)

    def _answer_unasked(self, command: Command | Unclear, heard: Heard, at_s: float) -> Turn | None:
        """A yes or no to the question whether the starter turned; and the question before it turns on our word."""
        control = command.control if isinstance(command, GiveControl) else None
        free = yes_is_free(self._library, self._state)
        answer = self._unasked.take(control, at_s) if control is not None and free else None
        if answer is None:
            return None
        if not isinstance(answer, str):
            return [self._advance(burst, at_s, heard) for burst in answer][-1]
        return self._reply((Sentence(text=answer), *hint(self._library, self._state)), heard.words, command, at_s)

    def pass_time(self, at_s: float) -> bool:
        """Let every deadline up to `at_s` fall due, a turn each, at its own time. Returns whether any did."""
        fell_due = False
        while (due_s := self.deadline_s) is not None and due_s <= at_s:
            self._advance(TimePassed(), max(due_s, self._state.at_s))
            fell_due = True
        return fell_due

    def note_time(self, at_s: float) -> None:
        """A turn of its own for time that passed without anything falling due."""
        self._advance(TimePassed(), at_s)

    def remark(self, text: str, at_s: float) -> None:
        """Say something that changes nothing, e.g. that a line was not understood."""
        self._reply((Sentence(text=text, kind="refusal"),), None, None, at_s, refused=text)

    def show(self, at_s: float, level_db: float | None = None) -> None:
        """Draw the present state again, for count-downs and the input level; what was said and heard stays."""
        self.showing.level_db = level_db
        self.showing.draw(self._moment(at_s))

    def show_also(self, text: str, at_s: float) -> None:
        """Show something beside what was last said that cannot be spoken, e.g. that the speaker went away."""
        self.showing.also(text)
        self.showing.draw(self._moment(at_s))

    def _answer(self, question: Ask, heard: Heard, at_s: float) -> Turn:
        """A question changes nothing: no fact, no state, only words."""
        reply = answer(question, self._adviser, self._library, self._state, self._record_so_far)
        return self._reply(reply, heard.words, question, at_s)

    def _record_so_far(self) -> JobRecord:
        names = self._adviser.fault_names() if self._adviser else {}
        return build_record(self._journal.entries(self._state.key), self._library, names)

    def _reply(self, reply: Reply, heard: str | None, said: Said, at_s: float, *, refused: str | None = None) -> Turn:
        """A turn of words alone."""
        turn = Turn(state=self._state, reply=reply, refused=refused)
        self._carry_out(turn, heard, said, at_s)
        return turn

    def _advance(
        self,
        command: Command | Unclear,
        at_s: float,
        heard: Heard | None = None,
        sound: NDArray[np.int16] | None = None,
    ) -> Turn:
        def made_from(heard: Heard | None) -> Turn:
            choose = self._adviser.leader if self._adviser else None
            return advance(self._library, self._state, command, at_s, heard=heard, choose=choose)

        if heard is not None and self._clips is not None and sound is not None and sound.size:
            turn = with_sound(self._clips, self._state, made_from, heard, sound)
        else:
            turn = made_from(heard)
        turn = self._adviser.think_over(turn, command) if self._adviser else turn
        words = None if heard is None else heard.words or heard.free_text
        self._carry_out(turn, words, command, at_s, sign_of(turn, command, heard))
        return turn

    def _carry_out(self, turn: Turn, heard: str | None, command: Said, at_s: float, sign: Signal | None = None) -> None:
        if turn.facts:
            self._record(turn)
        self._state = turn.state
        self.showing.count(self.question, turn.state)
        self._trace.write(turn, heard=heard, command=command, at_s=at_s, can_say=self._can_say())
        if turn.reply or heard is not None:
            self.showing.turn(written(turn.reply), heard)
        self.showing.draw(self._moment(at_s, speaks=bool(turn.reply)))
        if any(fact.kind is FactKind.VOICE_SET for fact in turn.facts):
            self.mouth.set_as(turn.state)
            if heard is not None:
                self._on_voice_set(turn.state)
        if turn.reply:
            self._silence.heard(self._library, self._state, self.question, turn.reply)
            self._speak(turn, at_s, sign)
            self._on_asked(self.expected)
        self.showing.after_speaking(self._moment(at_s))

    def _speak(self, turn: Turn, at_s: float, sign: Signal | None) -> None:
        """Speak the reply; where the speaker went away the screen says so, and the job goes on."""
        try:
            self.mouth.say(turn.reply, sign)
        except DeviceLost as lost:
            self.show_also(str(lost), at_s)

    def _record(self, turn: Turn) -> None:
        try:
            self._journal.append(turn.facts)
        except RecordError as error:
            self.mouth.stop()
            self.mouth.say((Sentence(text=error.spoken or texts.RECORD_STOPS, kind="refusal"),))
            raise

    def _can_say(self) -> tuple[str, ...]:
        return self._legal.at(self._state, self.attention).can_say

    def _moment(self, at_s: float, *, speaks: bool = False) -> Moment:
        """`speaks`: whether we are about to."""
        speaking = speaks or self.mouth.speaking
        return Moment(self._state, at_s, expected=self.expected, can_say=self._can_say(), speaking=speaking)
