"""What a session is made of, and leading it to its end."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import ExitStack, closing, contextmanager
from dataclasses import replace
from functools import partial
from pathlib import Path
from queue import SimpleQueue
from typing import TextIO

from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.adapters.lines_waiting import WaitingLines
from assistant.desk.found import entries_of
from assistant.errors import HoodsideError, ProcedureError, UsageError
from assistant.facts import Fact, FactKind
from assistant.grammar.automaton import automaton_of
from assistant.guide import Library
from assistant.language.attention import check_attention
from assistant.language.grammars import grammar_of, grammar_of_procedures
from assistant.language.manner import Manner, usual
from assistant.ports import Clips, Keys, Listening, Pictures, Screen, Voice
from assistant.reasoning.model import Model
from assistant.record.chain import facts_of
from assistant.record.summary import JobQuery
from assistant.session.conversation import Conversation
from assistant.session.knocks import Knocks
from assistant.session.live import STOP_ONLY, Ears, LiveLoop
from assistant.session.opening import resume_job, start_job
from assistant.session.sound_clock import SoundClock
from assistant.session.tapped import run_tapped
from assistant.session.tones import Tones
from assistant.session.trace import Trace
from assistant.session.typed import lines_of, run_typed
from assistant.session.welcome import MOST_OFFERED, Offer, Welcome, offers, spoken_answers, typed_answers
from assistant.wiring.ahead import learn_ahead
from assistant.wiring.fault_models import can_lead, model_for, model_of_job, told_adviser
from assistant.wiring.files_beside import open_clips, open_pictures
from assistant.wiring.folders import data_folder
from assistant.wiring.library import library_of_job
from assistant.wiring.live import (
    fills_terminal,
    make_keys,
    make_screen,
    make_voice,
    open_ears,
    open_speaker,
    read_say,
    tell,
)
from assistant.wiring.phone import Phone
from assistant.wiring.profiles import voice_wished
from assistant.wiring.records import left_of_car, left_of_unknown, open_journal, seconds_away
from assistant.wiring.screens import Page, beside, open_page
from assistant.wiring.shop_server import drained_beside
from assistant.wiring.speaker_habit import SpeakerHabit
from assistant.wiring.tracing import open_trace
from assistant.wiring.verifying import require_whole
from assistant.wiring.voices import begin_to_load as begin_to_load_voice
from assistant.wiring.wishes import Wishes as Wishes

_SPEECH_POLL_S = 0.05


class Session:
    """A session ready to run: `start` or `resume` opens its job, then `run` leads it to its end."""

    def __init__(
        self,
        *,
        journal: SqliteJournal,
        voice: Voice,
        screen: Screen,
        trace: Trace,
        ears: Ears | None,
        typed: TextIO,
        fills_terminal: bool = False,
        keys: Keys | None = None,
        speech_wrong: Callable[[], HoodsideError | None] = lambda: None,
        attention: str = "",
        clips: Clips | None = None,
        pictures: Pictures | None = None,
        page: Page | None = None,
        manner: Manner | None = None,
        cut_in: bool = False,
        knock: bool = False,
        tones: Tones | None = None,
        habit: SpeakerHabit | None = None,
        data: Path | None = None,
    ) -> None:
        """`manner`: how much is said, None for what is usual. `cut_in`, `speech_wrong`: as in LiveLoop. `ears`: what
        hears speech; None where lines are typed. `fills_terminal`: whether the screen takes all of it. `keys`: None
        without a keyboard. `attention`: as in Wishes, not checked yet. `clips`, `pictures`: keep sound and photographs;
        None unless asked for. `page`: served beside. `tones`, `habit`: as in Conversation; how loud it is wished."""
        self._data = data
        self._tones = tones
        self._habit = habit
        self._page = page
        self._fills_terminal = fills_terminal
        self._keys = keys
        self._speech_wrong = speech_wrong
        self._clips = clips
        self._pictures = pictures
        self._attention = attention
        self._manner = manner
        self._cut_in, self._knock = cut_in, knock
        self._journal = journal
        self._voice = voice
        self._screen = screen
        self._trace = trace
        self._ears = ears
        self._typed = typed
        self._conversation: Conversation | None = None

    @property
    def job(self) -> str:
        """The name of its job; empty before one is opened."""
        return self._conversation.state.job if self._conversation else ""

    @property
    def open(self) -> bool:
        """Whether its job could go on."""
        return self._conversation is not None and not self._conversation.ended

    @property
    def fills_terminal(self) -> bool:
        """Whether nothing else may be printed on the terminal meanwhile."""
        return self._fills_terminal

    @property
    def page(self) -> str:
        """Where its page is; empty where none is served."""
        return self._page.address if self._page else ""

    def start(
        self,
        library: Library,
        *,
        procedure: str,
        file: str | None,
        job: str,
        key: str,
        vehicle: Mapping[str, str | float],
        same_car: str | None = None,
        by_the_book: bool = False,
    ) -> None:
        """Begin a job. `same_car`: a job on the same car, where neither plate nor VIN says so. `by_the_book`: in the
        procedure's own order, though a plan could lead.

        Raises UsageError when its name is taken or there is no such job, RecordError when it cannot be kept.
        """
        self._try_every_word(library)
        self._check_attention(library)
        self._journal.claim(job)
        model = model_for(procedure, file)
        start_job(
            self._converse(library, model),
            library=library,
            journal=self._journal,
            procedure=procedure,
            file=file,
            job=job,
            key=key,
            vehicle=vehicle,
            always_confirm=self._ears is not None and self._ears.recogniser.always_confirm,
            ear=self._ears is not None,
            inherits=left_of_car(self._journal, vehicle, same_car, by_clock=self._ears is not None),
            offers=None if same_car else left_of_unknown(self._journal, vehicle, by_clock=self._ears is not None),
            manner=self._manner or self._usual_manner(),
            model=model,
            leads=not by_the_book and can_lead(model),
            voice=self._habit.wished if self._habit else None,
        )

    def resume(self, job: str) -> None:
        """Take a job up, with the procedures that it was begun with.

        Raises UsageError for an unknown or closed one, or where they cannot be read any more; RecordChanged when it is
        not as it was recorded; RecordError when it is held.
        """
        self._journal.claim(job)
        entries = entries_of(self._journal, job)
        require_whole(self._journal, job)
        facts = facts_of(entries)
        if any(fact.kind is FactKind.JOB_ENDED for fact in facts):  # whatever its procedures were
            raise UsageError(f"The job '{job}' is closed; see its record with: hoodside report '{job}'")
        if self._clips is not None and job != facts[0].job:
            self._clips = self._clips.under(job)
        if self._pictures is not None and job != facts[0].job:
            self._pictures = self._pictures.under(job)
        library = library_of_job(entries, self._journal.text)
        self._check_attention(library)
        resume_job(
            self._converse(library, model_of_job(entries, self._journal.text), facts),
            library=library,
            facts=facts,
            away_s=0.0 if self._ears is None else seconds_away(self._journal, job),
            always_confirm=self._ears is not None and self._ears.recogniser.always_confirm,
            ear=self._ears is not None,
            manner=self._manner,
            voice=self._habit.wished if self._habit else None,
        )

    def choose(self) -> Offer | None:
        """What to go on with or begin, as the technician answers; None for nothing. Raises RecordError."""
        heard = typed_answers(lines_of(self._typed)) if self._ears is None else spoken_answers(self._ears, self._voice)
        jobs = self._journal.search(JobQuery(most=MOST_OFFERED))
        return Welcome(voice=self._voice, screen=self._screen, heard=heard).choose(offers(jobs))

    def _usual_manner(self) -> Manner:
        """Brief after the first jobs that are kept here, by voice; what is typed is read, and stays as it is."""
        return usual(len(self._journal.jobs())) if self._ears is not None else Manner.FULL

    def run(self) -> None:
        """Lead the job until it ends or nothing more is heard, then let the last words be spoken.

        Who interrupts does not wait for them.
        """
        conversation = self._conversation
        if conversation is None:
            raise RuntimeError("no job was opened")
        if self._page is not None and self._fills_terminal:
            conversation.show_also(f"The page is at {self.page}", conversation.state.at_s)
        try:
            if self._ears is None and self._page is not None:
                alone = self._typed.isatty()
                with closing(WaitingLines(lines_of(self._typed))) as lines:
                    beat = time.monotonic
                    run_tapped(
                        conversation, lines, self._page, self._voice,
                        clock_s=beat, pictures=self._pictures, leave_when_ended=alone,
                    )  # fmt: skip
            elif self._ears is None:
                run_typed(conversation, lines_of(self._typed), leave_when_ended=self._typed.isatty())
            else:
                self._run_live(conversation, self._ears)
        except HoodsideError:
            self._finish_speaking()
            raise
        except BaseException:
            self._voice.stop()
            raise
        self._finish_speaking()

    def _finish_speaking(self) -> None:
        while self._voice.speaking:
            time.sleep(_SPEECH_POLL_S)

    def _run_live(self, conversation: Conversation, ears: Ears) -> None:
        from assistant.adapters.clock_boot import asleep_s
        from assistant.adapters.microphone_wav import WavMicrophone
        from assistant.adapters.recogniser_watched import WatchedRecogniser
        from assistant.wiring.starter import begin_to_load, starter_ear  # its arithmetic takes time to load

        ears = replace(ears, starter=starter_ear(conversation))
        begins_s = conversation.state.at_s
        from_file = isinstance(ears.microphone, WavMicrophone)
        if from_file:
            clock = SoundClock(begins_s)
            now_s, on_block = clock.now_s, clock.on_block
        else:
            begin_to_load()
            began_s = time.monotonic()
            now_s, on_block = lambda: begins_s + time.monotonic() - began_s, None
        loop = LiveLoop(
            conversation=conversation,
            ears=ears,
            voice=self._voice,
            now_s=now_s,
            on_block=Knocks(conversation, now_s, on_block) if self._knock else on_block,
            keys=self._keys,
            taps=self._page,
            pictures=self._pictures,
            speech_wrong=self._speech_wrong,
            minds_level=not from_file,
            cut_in=self._cut_in,
            loudness=self._habit.loudness if self._habit and not from_file else None,
            asleep_s=(lambda: 0.0) if from_file else asleep_s,
        )
        if isinstance(ears.recogniser, WatchedRecogniser):
            ears.recogniser.meanwhile = loop.while_hearing
        loop.run()

    def _try_every_word(self, library: Library) -> None:
        """An engine that cannot hear a word of the job says so before the job begins, not in its middle."""
        if self._ears is not None and self._ears.recogniser.always_confirm:
            self._ears.recogniser.expect(Listening(grammar=grammar_of_procedures(library.values())))

    def _check_attention(self, library: Library) -> None:
        """Raises UsageError when the attention word cannot be heard, or not be told from what else is said."""
        if not self._attention:
            return
        vocabulary = automaton_of(grammar_of_procedures(library.values())).vocabulary()
        self._attention = check_attention(self._attention, vocabulary)
        if self._ears is not None:
            words = grammar_of(replace(STOP_ONLY, attention=self._attention))
            try:
                self._ears.recogniser.expect(Listening(grammar=words))
            except ProcedureError as error:
                raise UsageError(f"--attention '{self._attention}' cannot be heard: {error}") from error

    def _converse(self, library: Library, model: Model | None, facts: Sequence[Fact] = ()) -> Conversation:
        recogniser = self._ears.recogniser if self._ears else None
        self._conversation = Conversation(
            library=library,
            journal=self._journal,
            voice=self._voice,
            screen=self._screen,
            trace=self._trace,
            adviser=told_adviser(self._journal, library, model, recogniser, facts, data=self._data) if model else None,
            attention=self._attention,
            clips=self._clips,
            glances=self._page is not None,
            tones=self._tones,
            on_voice_set=self._habit.keep if self._habit else lambda _state: None,
            on_asked=learn_ahead if self._ears else lambda _expected: None,
            aids=self._page,
        )
        return self._conversation


@contextmanager
def open_session(wishes: Wishes, data: Path | None, typed: TextIO, shown: TextIO) -> Iterator[Session]:
    """Everything that a session needs, freed in the end. `typed`: lines of a typed session. `shown`: where it prints.

    Raises SetupError for what the machine lacks, UsageError for a wish that makes no sense, RecordError.
    """
    with ExitStack() as stack:
        trace = stack.enter_context(open_trace(wishes.trace))
        journal = stack.enter_context(closing(open_journal(data)))
        phone = Phone(wishes) if wishes.phone else None
        say = read_say(wishes.say, wishes.hear)
        speaker = phone.speaker() if phone is not None else open_speaker(say, wishes.speaker)
        live = phone is None and say == "speaker"
        wrong: SimpleQueue[HoodsideError] = SimpleQueue()
        told = tell if wishes.hear == "typed" else wrong.put
        stack.enter_context(drained_beside(data, told))
        voice = stack.enter_context(closing(make_voice(speaker, wishes.voice, told)))
        voice_of = partial(voice_wished, wishes, data)
        ears = open_ears(
            wishes.hear, wishes.engine, wishes.models, speaker, wishes.microphone, own_voice=voice_of, phone=phone
        )
        if ears is not None:
            stack.callback(ears.microphone.close)
            stack.callback(ears.recogniser.close)
        if speaker is not None:
            begin_to_load_voice(wishes.voice)
        page = open_page(data, wishes.screen_port, phone=phone.wish() if phone else None) if wishes.screen else None
        if page is not None:
            stack.callback(page.close)
        screen = stack.enter_context(closing(beside(make_screen(shown, heard=ears is not None), page)))
        whole = fills_terminal(shown, heard=ears is not None)
        keys = make_keys(typed) if whole else None
        if keys is not None:
            stack.callback(keys.close)
        yield Session(
            journal=journal,
            voice=voice,
            screen=screen,
            trace=trace,
            ears=ears,
            typed=typed,
            fills_terminal=whole,
            keys=keys,
            speech_wrong=lambda: None if wrong.empty() else wrong.get(),
            attention=wishes.attention,
            clips=open_clips(data) if wishes.keep_sound else None,
            pictures=open_pictures(data) if page is not None else None,
            page=page,
            manner=wishes.manner,
            cut_in=wishes.cut_in,
            knock=wishes.knock,
            tones=Tones(wishes.without_tones),
            habit=SpeakerHabit(data_folder(data), wishes.speaker) if live else None,
            data=data,
        )
