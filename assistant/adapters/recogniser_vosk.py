"""Vosk as a recogniser: an explicit model folder, its grammar made of samples, its answers checked against ours."""

from __future__ import annotations

import json
import time
from pathlib import Path
from typing import Any

from assistant.errors import ProcedureError, SetupError
from assistant.grammar.automaton import Automaton, automaton_of
from assistant.grammar.cover import covering_sentences
from assistant.hearing.echo import EchoCanceller
from assistant.hearing.trust import UNMEASURED, limits_of
from assistant.language.model import Heard
from assistant.language.stakes import stakes_of
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock, Listening

UNKNOWN = "[unk]"
"""How English Vosk models write speech outside the grammar; not every model knows it."""

_NEEDED = ("am/final.mdl", "conf/mfcc.conf", "graph/HCLr.fst")
"""The last one is what lets a model take a grammar; models with a single fixed graph ignore it without a word."""

_SHOWN_WORDS = 8


class VoskRecogniser:
    """Hears inside a grammar with a Vosk model. Vosk's own end-of-speech detection decides when something is complete.

    Every result is confirmed: English Vosk's accuracy in this grammar is unmeasured.
    """

    name = "vosk"
    always_confirm = True

    def __init__(self, model: Path) -> None:
        """Raises SetupError when the folder is no Vosk model that can take a grammar."""
        self._folder = model
        self._vosk, self._model = _load(model)
        self._told: tuple[Listening, Automaton] | None = None
        self._engine: Any = None
        self._echo = EchoCanceller()
        self._fed = 0
        self._begins_s = 0.0

    @property
    def knows_unknown(self) -> bool:
        """Whether speech outside the grammar can be told from speech inside it."""
        return self._knows(UNKNOWN)

    def expect(self, listening: Listening) -> None:
        """What may be heard from now on; what was being said is dropped when that differs from before.

        Raises ProcedureError naming the words that the model has not, for Vosk would drop them without a word.
        """
        if self._told is not None and listening == self._told[0]:
            return
        automaton = automaton_of(listening.grammar)
        if not listening.dictation:
            self._refuse_unknown_words(automaton)
        self._told = (listening, automaton)
        self._engine = self._fresh(listening, automaton)

    def accept(self, block: AudioBlock) -> Heard | None:
        """Something said, once Vosk finds it complete."""
        listening, automaton = self._ready()
        began = time.perf_counter()
        self._begins_s = block.start_s - (self._fed + self._echo.waiting) / SAMPLE_RATE_HZ
        pcm = self._echo.clean(block.pcm, block.played)
        self._fed += pcm.size
        if not self._engine.AcceptWaveform(pcm.tobytes()):
            return None
        return self._heard(self._engine.Result(), began, listening, automaton)

    def finish(self) -> Heard | None:
        """What the sound so far amounts to; then ready anew."""
        listening, automaton = self._ready()
        began = time.perf_counter()
        heard = self._heard(self._engine.FinalResult(), began, listening, automaton)
        self._engine = self._fresh(listening, automaton)
        return heard

    def close(self) -> None:
        """Free the model's memory; may be called twice."""
        self._engine = self._model = self._told = None

    def _ready(self) -> tuple[Listening, Automaton]:
        if self._told is None:
            raise RuntimeError("a recogniser must be told what to expect first, and not be closed")
        return self._told

    def _fresh(self, listening: Listening, automaton: Automaton) -> Any:
        """A new engine costs half a millisecond; a running one would not take another grammar."""
        samples = () if listening.dictation else (_samples(automaton, self.knows_unknown),)
        engine = self._vosk.KaldiRecognizer(self._model, SAMPLE_RATE_HZ, *samples)
        engine.SetWords(True)
        self._fed = 0
        return engine

    def _refuse_unknown_words(self, automaton: Automaton) -> None:
        missing = sorted(word for word in automaton.vocabulary() if not self._knows(word))
        if missing:
            shown = ", ".join(f"'{word}'" for word in missing[:_SHOWN_WORDS])
            more = f" and {len(missing) - _SHOWN_WORDS} more" if len(missing) > _SHOWN_WORDS else ""
            raise ProcedureError(
                f"The Vosk model '{self._folder.name}' does not know {shown}{more}; "
                "use other words in the procedure, or another model, or --engine embedded."
            )

    def _knows(self, word: str) -> bool:
        return bool(self._model.vosk_model_find_word(word) >= 0)

    def _heard(self, answer: str, began: float, listening: Listening, automaton: Automaton) -> Heard | None:
        """Vosk's JSON as Heard; None for silence. Only sentences of the grammar have words."""
        said = json.loads(answer)
        text = said.get("text", "")
        words = said.get("result", ())
        if not text:
            return None
        sure = [float(word["conf"]) for word in words] or [0.0]
        # Of free words the share that should be right, of a phrase the probability that all of it was said.
        confidence = sum(sure) / len(sure) if listening.dictation else min(sure)
        taken, unsure = judged(text, confidence, automaton, hazardous=listening.hazardous)
        return Heard(
            words=taken,
            confidence=confidence,
            unsure=unsure,
            began_s=self._begins_s + (float(words[0]["start"]) if words else 0.0),
            ended_s=self._begins_s + (float(words[-1]["end"]) if words else self._fed / SAMPLE_RATE_HZ),
            took_ms=(time.perf_counter() - began) * 1000,
            engine=self.name,
            free_text=text if listening.dictation else None,
        )


def judged(text: str, confidence: float, automaton: Automaton, *, hazardous: bool) -> tuple[str | None, bool]:
    """The words that count, None where the text is no sentence or too doubtful, and whether to ask about them."""
    tags = automaton.tags(text.split())
    if tags is None:
        return None, False
    limits = limits_of(stakes_of(text, tags, hazardous=hazardous), UNMEASURED)
    return (text, confidence < limits.act) if confidence >= limits.ask else (None, False)


def _samples(automaton: Automaton, knows_unknown: bool) -> str:
    sentences = [" ".join(words) for words in covering_sentences(automaton)]
    return json.dumps(sentences + [UNKNOWN] * knows_unknown, ensure_ascii=False)


def _load(folder: Path) -> tuple[Any, Any]:
    missing = [name for name in _NEEDED if not (folder / name).is_file()]
    if missing:
        raise SetupError(
            f"'{folder}' is not a Vosk model that can listen inside a grammar: {missing[0]} is missing. "
            "Get one with 'hoodside models fetch', or use --engine embedded."
        )
    try:
        import vosk  # noqa: PLC0415 - loads 25 MB of library, which only this engine needs

        vosk.SetLogLevel(-1)
        return vosk, vosk.Model(str(folder))
    except Exception as error:  # vosk raises bare Exception, and OSError where its library does not load
        raise SetupError(
            f"The Vosk model in '{folder}' cannot be loaded ({error}). "
            "Fetch it again with 'hoodside models fetch', or use --engine embedded."
        ) from error
