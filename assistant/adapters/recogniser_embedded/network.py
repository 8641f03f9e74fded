"""Moonshine tiny-en on onnxruntime: sound in, log-probabilities of text pieces out."""

from __future__ import annotations

import ctypes
from collections import OrderedDict
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager
from copy import copy
from functools import cache
from pathlib import Path
from threading import Event, Lock
from typing import Any

import numpy as np
import soxr
from numpy.typing import NDArray
from threadpoolctl import ThreadpoolController

from assistant.adapters.recogniser_embedded.files import (
    PHONE_LAYERS,
    NetworkFiles,
    read_phone_layers,
    read_token_texts,
)
from assistant.adapters.recogniser_embedded.taught import HEARING, WRITING, read_taught, taught_network
from assistant.errors import SetupError
from assistant.hearing.correction import Correction, corrected
from assistant.hearing.passage import log_softmax, log_sums
from assistant.hearing.tokens import Vocabulary
from assistant.onnx_runtime import load_onnxruntime
from assistant.ports import SAMPLE_RATE_HZ

Floats = NDArray[np.float32]

PREFIXES_KEPT = 100
"""Beginnings whose memory the habits keep, so that the next token costs one step: 14 kB for each of their tokens."""

SLOWER = 1.06
"""How much longer the sound is made when it is heard again. Source: the tuning voices gain alike by 0.95 and 1.06,
other voices more by 1.06; both together bring hardly more."""

BEGIN, END = 1, 2
HEADS, HEAD_WIDTH, LAYERS = 8, 36, 6
"""Shape of the decoder's memory, as the model file declares it."""


class Encoder:
    """The half of the network that listens. `file`: it, or its bytes. `threads`: how many cores a call may use."""

    def __init__(self, file: Path | bytes, *, threads: int = 1) -> None:
        self._session = _session(file, threads)

    def __call__(self, samples: Floats) -> Floats:
        """`samples`: float32, mono, (frames,), 16 000 Hz, -1 to 1 -> (1, steps, 288)."""
        mask = np.ones((1, len(samples)), np.int64)
        hidden: Floats = self._session.run(None, {"input_values": samples[None, :], "attention_mask": mask})[0]
        return hidden


class Decoder:
    """The half of the network that writes. `file`: it, or its bytes. `threads`: how many cores a call may use."""

    def __init__(self, file: Path | bytes, *, threads: int = 1) -> None:
        self._session = _session(file, threads)
        self._outputs = [output.name for output in self._session.get_outputs()]
        # What the network remembers of the sound does not change; asking for it again would copy it at every step.
        self._growing = [name for name in self._outputs if ".encoder." not in name]

    def __call__(
        self, hidden: Floats, frames: int, tokens: NDArray[np.int64], memory: dict[str, Floats] | None
    ) -> dict[str, Floats]:
        """`tokens`: (rows, new). The answer holds `logits` and the memory by input name.

        The sound and what is remembered of it are one row for all of `tokens`: the network holds each of them against
        it. Source: the same numbers, bit by bit, as with a copy for each row, in three fifths of the time for 14 rows
        of two seconds, where the copies were padded anew at each step.
        """
        feed: dict[str, Any] = {
            "encoder_attention_mask": np.ones((1, frames), np.int64),
            "input_ids": tokens,
            "encoder_hidden_states": hidden,
            "use_cache_branch": np.array([memory is not None]),
        }
        feed |= nothing_written(len(tokens)) | nothing_heard() if memory is None else memory
        wanted = self._outputs if memory is None else self._growing
        answers = self._session.run(wanted, feed)
        return {
            name.replace("present", "past_key_values"): answer for name, answer in zip(wanted, answers, strict=True)
        }


class Network:
    """The two halves of the network. `threads`: how many cores a call of the half that listens may use.

    The half that writes uses one: parted between two its calls take as long, and a fifth more computing.

    Both are there twice: as their maker has them, to weigh the sentences of a grammar and for the ears, and as they
    were taught the trade's words, to write freely.
    """

    def __init__(self, files: NetworkFiles, *, threads: int = 2) -> None:
        self.encode = Encoder(files.encoder, threads=threads)
        self.decode = Decoder(files.decoder)
        self._pools = ThreadpoolController()
        with self.one_thread():
            self.listen = Encoder(taught_network(files.encoder, read_taught(HEARING)), threads=threads)
            self.write = Decoder(taught_network(files.decoder, read_taught(WRITING)))
        self.vocabulary = Vocabulary(read_token_texts(files.tokenizer), begin=BEGIN, end=END)
        self.phone_ears = tuple(map(read_phone_layers, PHONE_LAYERS))

    def correct(self, corrections: Sequence[Correction]) -> None:
        """Hear one person as their corrections say, one for each ear."""
        self.phone_ears = tuple(corrected(ear, one) for ear, one in zip(self.phone_ears, corrections, strict=True))

    def one_thread(self) -> AbstractContextManager[object]:
        """While it lasts, array sums run on one core."""
        limited: AbstractContextManager[object] = self._pools.limit(limits=1)
        return limited

    def log_likelihoods(
        self, hidden: Floats, frames: int, heard: dict[str, Floats], sentences: Sequence[tuple[int, ...]]
    ) -> list[float]:
        """Of each sentence of tokens over the sound, its end included: all of them in one call. `heard`: what is
        remembered of the sound."""
        longest = max(map(len, sentences)) + 1
        tokens = np.full((len(sentences), longest), END, np.int64)
        tokens[:, 0] = BEGIN
        for row, sentence in enumerate(sentences):
            tokens[row, 1 : len(sentence) + 1] = sentence
        logits = self.decode(hidden, frames, tokens, heard | nothing_written(len(sentences)))["logits"]
        found = []
        for row, sentence in zip(logits, sentences, strict=True):
            said = row[: len(sentence) + 1]
            logs = said[np.arange(len(said)), [*sentence, END]] - log_sums(said)
            found.append(float(logs.sum()))
        return found


class GivenUp(Exception):
    """Nobody wants to know any more what the sound says: no error, but the end of work on another thread."""


class SpeechPassage:
    """A stretch of sound that the beam writes down; see `assistant.hearing.passage.Passage`. Each call raises GivenUp
    once it was given up."""

    def __init__(self, network: Network, samples: Floats, given_up: tuple[Event, ...] = ()) -> None:
        """`given_up`: by any of these too."""
        self._own_end = Event()
        self._given_up = (self._own_end, *given_up)
        self._network = network
        self.vocabulary = network.vocabulary
        self.seconds = len(samples) / SAMPLE_RATE_HZ
        self._decode = network.decode
        self._samples = samples
        self._frames = len(samples)
        self._heard = self._hidden = network.encode(samples)  # for the ears, and for who writes
        self._fixed: dict[str, Floats] = {}  # keys and values of the sound, the same for every row
        self._grown: dict[str, Floats] = {}
        self._first: dict[str, Floats] = {}
        self._phones: Floats | None = None
        self._at_the_ears = Lock()
        self._slower: SpeechPassage | None = None
        self._at_slowing = Lock()

    def give_up(self) -> None:
        """Nobody asks for it any more. May be called on another thread than that which works on it."""
        self._own_end.set()

    def _go_on(self) -> None:
        if any(event.is_set() for event in self._given_up):
            raise GivenUp

    def begin(self) -> Floats:
        """Logits of the first token; may be called again to write the same sound anew."""
        self._go_on()
        answer = self._first or self._decode(self._hidden, self._frames, np.array([[BEGIN]], np.int64), None)
        self._first = answer
        self._fixed = {name: value for name, value in answer.items() if ".encoder." in name}
        self._grown = {name: value for name, value in answer.items() if ".decoder." in name}
        logits: Floats = answer["logits"][:, -1]
        return logits

    @property
    def hidden(self) -> Floats:
        """What the listening half made of the sound: (steps, 288)."""
        found: Floats = self._hidden[0]
        return found

    def phones(self) -> Floats:
        """By ear, how far each phone is likelier than usual at each step of the sound: (ears, steps, 40)."""
        self._go_on()
        with self._at_the_ears:
            if self._phones is None:
                # Two threads that meet for a millisecond's work wait ten times as long for each other on a busy machine
                with self._network.one_thread():
                    self._phones = np.stack([ear(self._heard[0]) for ear in self._network.phone_ears])
            return self._phones

    def spoken(self, sentences: Sequence[tuple[int, ...]]) -> list[float]:
        """Log-probability of each whole sentence of tokens, its end included."""
        self._go_on()
        if not self._fixed:
            self.begin()
        return self._network.log_likelihoods(self._hidden, self._frames, self._fixed, sentences)

    def again(self) -> SpeechPassage:
        """The same sound slowed down, as said by somebody larger: what the network mishears, it mishears otherwise."""
        self._go_on()
        with self._at_slowing:
            if self._slower is None:
                slower = soxr.resample(self._samples, SAMPLE_RATE_HZ, round(SLOWER * SAMPLE_RATE_HZ))
                self._slower = SpeechPassage(self._network, np.asarray(slower, np.float32), self._given_up)
            return self._slower

    def beside(self, given_up: Event | None = None) -> SpeechPassage:
        """The same, to be written on another thread, and given up by itself. `given_up`: by this."""
        self._go_on()
        other = copy(self)
        other._own_end = given_up or Event()
        other._given_up = (other._own_end, *self._given_up)
        other._go_on()
        return other

    def free(self, given_up: Event | None = None) -> SpeechPassage:
        """The same sound, heard and written by the halves that were taught the trade's words; its phones stay. May be
        asked for, and written, on another thread. `given_up`: by this too."""
        other = self.beside(given_up)
        other._decode, other._hidden = self._network.write, self._network.listen(self._samples)
        other._first, other._fixed, other._grown = {}, {}, {}
        return other

    def step(self, parents: NDArray[np.int64], tokens: NDArray[np.int64]) -> Floats:
        """Logits after each token was added to its parent row."""
        self._go_on()
        memory = {name: value[parents] for name, value in self._grown.items()} | self._fixed
        answer = self._decode(self._hidden, self._frames, tokens[:, None], memory)
        self._grown = {name: value for name, value in answer.items() if ".decoder." in name}
        logits: Floats = answer["logits"][:, -1]
        return logits


class NoiseHabits:
    """What the network writes when there is only noise to hear: its habits. See `assistant.hearing.habits.Habits`."""

    def __init__(self, network: Network, noise: Floats) -> None:
        self._network = network
        self._frames = len(noise)
        self._hidden = network.encode(noise)
        first = network.decode(self._hidden, self._frames, np.array([[BEGIN]], np.int64), None)
        self._fixed = {name: value for name, value in first.items() if ".encoder." in name}
        self._begun = {name: value[0] for name, value in first.items() if ".decoder." in name}
        self._first = log_softmax(first["logits"][:, -1])
        self._remembered: OrderedDict[tuple[int, ...], dict[str, Floats]] = OrderedDict()

    def __call__(self, prefixes: Sequence[tuple[int, ...]]) -> Floats:
        """Log-probability of each next token after each prefix. All prefixes have the same length."""
        if not prefixes[0]:
            return np.repeat(self._first, len(prefixes), axis=0)
        before = [self._memory_of(prefix[:-1]) for prefix in prefixes]
        memory = {name: np.stack([each[name] for each in before]) for name in self._begun} | self._fixed
        tokens = np.array([prefix[-1:] for prefix in prefixes], np.int64)
        answer = self._network.decode(self._hidden, self._frames, tokens, memory)
        for row, prefix in enumerate(prefixes):
            self._remembered[prefix] = {name: answer[name][row] for name in self._begun}
        while len(self._remembered) > PREFIXES_KEPT:
            self._remembered.popitem(last=False)
        return log_softmax(answer["logits"][:, -1])

    def whole(self, sentences: Sequence[tuple[int, ...]]) -> list[float]:
        """Log-probability of each sentence, its end included: all of them in one call."""
        return self._network.log_likelihoods(self._hidden, self._frames, self._fixed, sentences)

    def _memory_of(self, prefix: tuple[int, ...]) -> dict[str, Floats]:
        """The decoder's own keys and values after this prefix; worked out anew where it was forgotten."""
        if not prefix:
            return self._begun
        known = self._remembered.get(prefix)
        if known is None:
            tokens = np.array([(BEGIN, *prefix)], np.int64)
            answer = self._network.decode(self._hidden, self._frames, tokens, self._fixed | nothing_written(1))
            known = self._remembered[prefix] = {name: answer[name][0] for name in self._begun}
        return known


def nothing_written(rows: int) -> dict[str, Floats]:
    """The decoder's memory before the first token."""
    return _empty("decoder", rows)


def nothing_heard() -> dict[str, Floats]:
    """The decoder's memory before it was given any sound."""
    return _empty("encoder", 1)


def _empty(half: str, rows: int) -> dict[str, Floats]:
    nothing = np.zeros((rows, HEADS, 0, HEAD_WIDTH), np.float32)
    return {f"past_key_values.{layer}.{half}.{each}": nothing for layer in range(LAYERS) for each in ("key", "value")}


def _session(file: Path | bytes, threads: int) -> Any:
    onnxruntime = load_onnxruntime()
    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = threads
    options.inter_op_num_threads = 1
    # Spinning threads answer a little sooner and burn a core while nobody speaks.
    options.add_session_config_entry("session.intra_op.allow_spinning", "0")
    options.enable_cpu_mem_arena = False  # the arena keeps the memory of the longest sound ever heard
    try:
        given = file if isinstance(file, bytes) else str(file)
        return onnxruntime.InferenceSession(given, options, providers=["CPUExecutionProvider"])
    except Exception as error:  # the library raises classes of its own, all direct children of Exception
        raise SetupError(f"The speech network cannot be loaded: {error}; install moonshine-voice anew") from error


def return_memory() -> None:
    """Hand what was freed back to the machine. The C library keeps the pieces of a long sound: 70 MB after an hour.

    Does nothing where the C library is not GNU's.
    """
    trim = _trimmer()
    if trim is not None:
        trim(0)


@cache
def _trimmer() -> Callable[[int], object] | None:
    """GNU's `malloc_trim`; None where the program itself is no library to ask (Windows) or has none (macOS, musl)."""
    try:
        return getattr(ctypes.CDLL(None), "malloc_trim", None)
    except (TypeError, OSError):
        return None
