"""The ports: protocols and the small frozen types that cross them. Types only."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from assistant.facts import Fact
from assistant.glance import Gauge as Gauge
from assistant.glance import Glance as Glance
from assistant.glance import Turned as Turned
from assistant.glance import View as View
from assistant.grammar.model import Grammar
from assistant.language.model import Control, Heard
from assistant.language.speech import Pause as Pause
from assistant.language.speech import Sentence as Sentence
from assistant.language.speech import Tone as Tone
from assistant.language.speech import Utterance as Utterance
from assistant.record.chain import Entry
from assistant.record.log import Logged, LogHead, Moment
from assistant.record.personal import Belonging, Removal
from assistant.record.summary import JobQuery, Summary

SAMPLE_RATE_HZ = 16_000
"""The one rate inside the house; adapters convert at the edge."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AudioBlock:
    """A stretch of sound from the microphone.

    `pcm`: int16, mono, (frames,), 16 000 Hz. `start_s`: seconds since the stream began.
    `lost_frames`: frames dropped before this block because the queue was full. `waited_s`: how long it lay there,
    seconds from the end of its sound to its being taken; much only on a machine that is too busy.
    `played`: what our own speaker sent out in the same stretch, same shape and rate as `pcm`, for telling
    our own voice from the technician's; None where that is not known. It leads `pcm` by the delay of device and air.
    """

    pcm: NDArray[np.int16]
    start_s: float
    lost_frames: int = 0
    waited_s: float = 0.0
    played: NDArray[np.int16] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Listening:
    """What the recogniser is told before each turn; fields as in `Expected`. `second_chance`: what the grammar refuses
    is written down without it, in `Heard.free_text`, so that it can be compared with the answers.
    `said`: what people say there, which such writing is nudged towards. `timed`: a timed action runs or is about to,
    or the starter may turn: nothing there makes a word that stops us harder to get than it is by itself."""

    grammar: Grammar
    hazardous: bool = False
    read_back: bool = False
    dictation: bool = False
    second_chance: bool = False
    said: tuple[str, ...] = ()
    timed: bool = False


class Microphone(Protocol):
    """Where sound comes from."""

    def read(self, timeout_s: float) -> AudioBlock | None:
        """The next block, or None when none came in time. Raises DeviceLost when the device went away,
        EOFError at the end of a file."""

    def close(self) -> None:
        """Free the device; may be called twice."""


class Recogniser(Protocol):
    """Sound to words inside a grammar."""

    @property
    def name(self) -> str:
        """Short name for records, e.g. `embedded`."""

    @property
    def always_confirm(self) -> bool:
        """Whether every result is confirmed because this engine's accuracy is unmeasured."""

    def expect(self, listening: Listening) -> None:
        """What may be heard from now on. Raises ProcedureError when a word cannot be heard by this engine at all."""

    def accept(self, block: AudioBlock) -> Heard | None:
        """Something said, once it is complete. Never blocks for longer than its own computing."""

    def finish(self) -> Heard | None:
        """What the sound so far amounts to, as if silence followed; then ready anew."""

    def close(self) -> None:
        """Free memory; may be called twice."""


class Voice(Protocol):
    """Words to sound."""

    def say(self, utterances: Sequence[Utterance]) -> None:
        """Begin to speak, after what is still being spoken; returns at once."""

    def prepare(self, text: str) -> bool:
        """Begin to make words ready that may be said soon, so that they sound at once; returns at once. False where
        something else is being made: ask again."""

    def stop(self) -> None:
        """Cut all sound now."""

    @property
    def speaking(self) -> bool:
        """Whether sound is still going out."""

    def set_volume(self, level: float) -> None:
        """0 to 1."""

    def set_lift(self, decibels: float) -> None:
        """So much louder than the volume says, for what is said from now on; softer below zero."""

    def duck(self, softer: bool) -> None:
        """Go on softer, also with what already sounds, while somebody else makes a sound; or as loud as before."""

    def set_rate(self, words_per_minute: int) -> None:
        """Speaking rate."""

    def close(self) -> None:
        """Free the device; may be called twice."""


class Synthesiser(Protocol):
    """Words to samples; never plays them."""

    def render(self, text: str, *, words_per_minute: int, rate_hz: int) -> NDArray[np.int16]:
        """The text spoken: int16, mono, (frames,), at `rate_hz`, without silence at either end. Raises SetupError when
        the machine cannot speak."""

    def close(self) -> None:
        """Free the engine; may be called twice."""


class Speaker(Protocol):
    """Where sound goes."""

    @property
    def rate_hz(self) -> int:
        """The rate at which it takes samples."""

    def play(self, pcm: NDArray[np.int16]) -> None:
        """Put samples (int16, mono, at `rate_hz`) after those still to go out, without a gap; returns at once. Raises
        DeviceLost when the device went away; the next call tries it anew."""

    def duck(self, softer: bool) -> None:
        """Let what still goes out be softer, or as loud as before, within 200 ms."""

    def cut(self) -> None:
        """Drop everything still to go out, so that silence is heard within 200 ms."""

    @property
    def playing(self) -> bool:
        """Whether sound is still going out."""

    def played(self, start_s: float, frames: int) -> NDArray[np.int16]:
        """What went out from `start_s` on (seconds of `time.monotonic`): int16, mono, (frames,), 16 000 Hz; zeros where
        nothing did."""

    def close(self) -> None:
        """Free the device; may be called twice."""


class Journal(Protocol):
    """Where facts are kept. One writer at a time to a job.

    A job is the random key that heads its facts' ids; its name is a label. Where a job is asked for, either will do;
    a label goes before a key.
    """

    def append(self, facts: Sequence[Fact]) -> None:
        """Returns only when all are durable; all or none. Appending the very same fact again changes nothing.

        Raises RecordError: disk full, read-only, gap in numbers, another fact under the same id.
        """

    def facts(self, job: str) -> tuple[Fact, ...]:
        """Every fact of the job in order; empty for an unknown job."""

    def jobs(self) -> tuple[str, ...]:
        """Names of all jobs, oldest first."""

    def close(self) -> None:
        """May be called twice."""


class Archive(Journal, Protocol):
    """A journal as the shop's desk uses it: chains, searches, exchange between machines, removal of personal data."""

    def claim(self, job: str) -> None:
        """Hold the job for this program until `close`, before reading what it would go on from.

        Raises RecordError when another program holds it.
        """

    def entries(self, job: str, *, since: int = 0) -> tuple[Entry, ...]:
        """The job's chain as kept, in order, from behind fact `since` on; empty for an unknown job."""

    def take(self, entries: Sequence[Entry], *, label: str | None = None, key: bytes = b"") -> int:
        """Keep a checked chain from another machine, or the part of it that is new; returns how many were new.

        `label`: what the job is called here where it is new; unless given, as it was begun. `key`: who signed the
        export that it came in; empty where nobody did. Personal values that were removed here stay removed. Raises
        NameTaken (record.admission) when another job is called so, RecordError when the job had another history here.
        """

    def search(self, query: JobQuery) -> tuple[Summary, ...]:
        """The jobs that answer the query, newest first."""

    def remove_personal(self, job: str, belongs: Sequence[Belonging]) -> Removal:
        """Take the job's personal values of these kinds out for good; the chain holds as before.

        Raises RecordError when another program is in the way; then the same call again completes it.
        """

    def follow_removal(self, job: str, places: Sequence[tuple[int, str]], *, key: bytes, utc: str) -> Removal:
        """Take out what was removed elsewhere: the values at these places, each a fact's number and a place in it.

        `key`, `utc`: of the installation where it was asked for, and when. Kept in the log, so that it travels on.
        """

    def keep_texts(self, texts: Mapping[str, str]) -> None:
        """Keep the texts that facts name by their SHA-256 (hexadecimal), each once."""

    def text(self, digest: str) -> str | None:
        """The text of that SHA-256, as kept; None where there is none. Whoever relies on it hashes it."""

    def log_head(self) -> LogHead:
        """Where the store's log ends."""

    def logged(self, job: str | None = None) -> Iterator[Logged]:
        """The leaves of the log, of one job or all, in order."""

    def changes(self, since: int = 0, *, most: int | None = None) -> Iterator[Logged]:
        """The leaves of the log from place `since` on, in the order in which they were kept, at most so many.

        Whoever knows the place behind the last leaf that it saw misses nothing and sees nothing twice.
        """

    def node(self, level: int, index: int) -> bytes:
        """A complete subtree of the log, as `merkle.Nodes`."""

    def rows_of_nodes(self) -> Iterator[tuple[int, tuple[bytes, ...]]]:
        """Each place of the log with its leaf's hash and those of the subtrees that it completes, in order."""

    def key_leaves(self) -> tuple[Logged, ...]:
        """The leaves from which on another key signed."""

    def moment(self, job: str) -> Moment | None:
        """When the job's last fact was kept, by a clock that nobody can set; None where that is not known."""

    def repairs(self) -> tuple[Fact, ...]:
        """Every fact of the store that confirms a repair or takes one back, by job and number."""

    def damage(self) -> tuple[str, ...]:
        """What is wrong with the store itself, one sentence each; empty when it is sound."""

    def line_faults(self) -> tuple[str, ...]:
        """What is wrong with the lines that searches read, one sentence each; empty where they are as the facts say."""


class Clips(Protocol):
    """Where the sound of what was said is kept, for a user who asked for it."""

    def keep(self, job: str, name: str, pcm: NDArray[np.int16]) -> bool:
        """Keep a clip of the job (int16, mono, (frames,), 16 000 Hz); True only once it is durable.

        False where it cannot be kept: a record without sound is still a record.
        """

    def under(self, label: str) -> Clips:
        """The same for the one job that is called `label` here and was begun under another name elsewhere."""


class Pictures(Protocol):
    """Where photographs are kept, beside the record as clips are."""

    def keep(self, job: str, name: str, picture: bytes) -> bool:
        """Keep a photograph of the job; True only once it is durable. False where it cannot be kept."""

    def under(self, label: str) -> Pictures:
        """As `Clips.under`."""


class Clock(Protocol):
    """Seconds since the job started."""

    def now_s(self) -> float:
        """Never falls."""


class Keys(Protocol):
    """Keys that stand for a few words, for whoever has a hand free."""

    def pressed(self) -> Sequence[Control | None]:
        """What the keys pressed since the last call stand for, in order, None for one that stands for nothing; never
        waits."""

    def close(self) -> None:
        """Give the keyboard back as it was; may be called twice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tap:
    """Words given by hand on a page, to be taken as if they had been said.

    `asked`: the question that the page showed, as in `View`; what was meant for another one is not obeyed. `typed`:
    letter by letter, not a phrase that the page offered.
    """

    words: str
    asked: int
    typed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Photo:
    """A photograph that a page took: a JPEG or PNG as `record.photographs.cleaned` leaves it."""

    picture: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class News:
    """What became of phone or camera and must be said aloud, in one sentence."""

    text: str


class Taps(Protocol):
    """What comes from pages: words given by hand, photographs, news; and what is told to the hand alone."""

    def tapped(self) -> Sequence[Tap | Photo | News]:
        """What came since the last call, in order; never waits."""

    def refuse(self, why: str) -> None:
        """Tell the page why the last tap did nothing; returns at once."""


class Aids(Protocol):
    """What a page can do by word: take a picture, let the phone go."""

    def controls(self) -> frozenset[Control]:
        """The commands that it obeys now."""

    def obey(self, control: Control) -> str:
        """Begin to do it; what to say."""


class Screen(Protocol):
    """What is shown while the technician may look."""

    def show(self, view: View) -> None:
        """Draw the view."""

    def close(self) -> None:
        """Give the terminal back."""
