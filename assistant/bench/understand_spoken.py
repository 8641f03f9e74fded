"""The same answers spoken by voices never learnt from, in shop noise, and heard as a live session hears."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import numpy as np

from assistant.adapters.recogniser_embedded import EmbeddedRecogniser
from assistant.bench.noises import NOISES
from assistant.bench.stream import Stream, in_noise
from assistant.bench.talk import announcements
from assistant.bench.understand import Answer, Understood
from assistant.bench.voices import HELD_OUT, available, speak
from assistant.language.grammars import grammar_of
from assistant.language.guess import said_for
from assistant.ports import Listening
from assistant.procedure.model import Procedure
from assistant.session.understood import StepWords

LEVELS_DB = (15.0, 9.0)


def spoken(
    answers: Sequence[Answer], library: Mapping[str, Procedure], recogniser: EmbeddedRecogniser, *,
    count: int, seed: int, misses: int = 0, tell: Callable[[str], None],
) -> dict[str, Any]:  # fmt: skip
    """Shares by noise level of `count` answers drawn by chance; voices and noises take turns. `misses`: so many answers
    not taken rightly at once are told; -1 for all."""
    random = np.random.default_rng(seed)
    speakers, talk = available(HELD_OUT), announcements()[1::2]
    chosen = [answers[place] for place in random.choice(len(answers), min(count, len(answers)), replace=False)]
    stream = Stream(recogniser)
    found: dict[str, Any] = {"voices": [f"{one.engine} {one.voice}" for one in speakers]}
    for level in LEVELS_DB:
        outcomes: Counter[str] = Counter()
        missed: list[str] = []
        for number, answer in enumerate(chosen):
            step = StepWords(library, answer.procedure, answer.step)
            pcm = speak(speakers[number % len(speakers)], answer.said)
            noise = list(NOISES)[number // len(speakers) % len(NOISES)]
            heard = stream.heard(
                in_noise(pcm, level, noise, random, talk),
                Listening(
                    grammar=grammar_of(step.expected),
                    read_back=True,
                    second_chance=True,
                    said=said_for(step.expected),
                ),
            )
            told = step.made_of(heard)
            outcome = Understood(answer=answer, result=told["result"], offer=told["offer"]).outcome
            outcomes[outcome] += 1
            if outcome != "right":
                took = f"{told['result'] or told['offer'] or 'nothing'} of '{heard.words}' and '{heard.free_text}'"
                missed.append(f"  {outcome}: '{answer.said}' over {noise} means {answer.result}, took {took}")
        found[f"{level:g} dB"] = {name: round(many / len(chosen), 4) for name, many in sorted(outcomes.items())}
        tell(f"{level:g} dB: {found[f'{level:g} dB']}")
        for line in missed[: misses if misses >= 0 else None]:
            tell(line)
    return found
