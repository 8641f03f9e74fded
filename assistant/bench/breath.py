"""Whether the facts of the car are heard where they are told in one breath: made-up voices in shop noise, heard live.

It is asked in the moment of a brief job that asks for them, so all else that is legal there is in the grammar too.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator

import click
import numpy as np

from assistant.adapters.journal_memory import MemoryJournal
from assistant.adapters.recogniser_embedded import make_embedded
from assistant.adapters.screen_plain import NoScreen
from assistant.adapters.voice_silent import SilentVoice
from assistant.bench.noises import NOISES
from assistant.bench.sets import at_read_back
from assistant.bench.stream import Stream, in_noise
from assistant.bench.talk import announcements
from assistant.bench.voices import HELD_OUT, TUNING, available, speak
from assistant.guide import begin
from assistant.guide.state import Frame
from assistant.language.manner import Manner
from assistant.language.model import Expected, GiveFacts, Heard
from assistant.language.understand import understand
from assistant.session.conversation import Conversation
from assistant.session.trace import Trace
from assistant.session.typed import TypedTime
from assistant.wiring import load_library

LEVELS_DB = (15.0, 9.0)
OPENING = ("done", "it cranks but will not start", "nothing changed", "nobody knows")
ASKS = Frame(procedure="vehicle-facts", step="fuel")

FUELS = ("petrol", "diesel")
CYLINDERS = ("three cylinders", "four cylinder", "four cylinders", "six cylinders", "eight cylinders")
IGNITIONS = ("coil on plug", "coils on the plugs", "a distributor", "wasted spark")
BEFORE = ("it's a", "")
AFTER = ("", "", "cranks fine")


def breaths(random: np.random.Generator) -> Iterator[str]:
    """Without end: what is said. Our own sentences, as a mechanic might put them."""
    while True:
        begins, fuel, cylinders, ignition, after = (
            str(random.choice(each)) for each in (BEFORE, FUELS, CYLINDERS, IGNITIONS, AFTER)
        )
        sparks = "" if fuel == "diesel" else f"with {ignition}"
        yield " ".join(f"{begins} {fuel} {cylinders} {sparks} {after}".split())


def asked() -> Expected:
    """What may be said where a brief job asks for the facts of the car."""
    _, library = load_library("no-start")
    conversation = Conversation(
        library=library,
        journal=MemoryJournal(lambda: "2031-05-01T09:00:00.000Z"),
        voice=SilentVoice(),
        screen=NoScreen(),
        trace=Trace(),
    )
    conversation.open(begin(library, "no-start", "made-up", "breath", {}, manner=Manner.BRIEF))
    time = TypedTime(conversation)
    for line in OPENING:
        if conversation.state.at != ASKS:
            time.take(line)
    if conversation.state.at != ASKS:
        raise RuntimeError(f"the opening leads to {conversation.state.at}, not to {ASKS}")
    return conversation.expected


def outcome(heard: Heard, now: Expected, meant: Heard) -> str:
    """Of one breath: all facts right, some of them right and none wrong, a wrong one, or nothing taken."""
    told, wanted = understand(heard, now), understand(meant, now)
    if not isinstance(told, GiveFacts):
        return "nothing"
    if not isinstance(wanted, GiveFacts):
        raise ValueError(f"'{meant.words}' tells no facts by itself")
    right = {(each.fact, each.value) for each in wanted.facts}
    taken = {(each.fact, each.value) for each in told.facts}
    if not taken <= right:
        return "wrong"
    return "all" if taken == right else "some"


@click.command(epilog="Example: hoodside bench breath --count 40")
@click.option("--count", default=40, show_default=True, help="So many at each level.")
@click.option("--tuning", "learnt", is_flag=True, help="By the voices that may be tuned on.")
@click.option("--seed", default=8, show_default=True)
@click.option("--lines", is_flag=True, help="What was not wholly right.")
@click.option("--json", "as_json", is_flag=True, help="One JSON object a level in place of words.")
def command(*, count: int, learnt: bool, seed: int, lines: bool, as_json: bool) -> None:
    """Measure whether facts of the car told in one breath are heard; all are read back before they count."""
    now, recogniser = asked(), make_embedded()
    speakers, talk = available(TUNING if learnt else HELD_OUT), announcements()[1::2]
    listening = at_read_back(now)
    for level in LEVELS_DB:
        random = np.random.default_rng(seed)
        said, stream, found = breaths(random), Stream(recogniser), Counter[str]()
        for number in range(count):
            words = next(said)
            noise = list(NOISES)[number // len(speakers) % len(NOISES)]
            pcm = speak(speakers[number % len(speakers)], words)
            heard = stream.heard(in_noise(pcm, level, noise, random, talk), listening)
            came = outcome(heard, now, Heard(words=words, confidence=1.0))
            found[came] += 1
            if lines and came != "all":
                click.echo(f"    {came}: '{words}' over {noise}, heard '{heard.words}', freely '{heard.free_text}'")
        shares = {name: round(many / count, 3) for name, many in sorted(found.items())}
        click.echo(json.dumps({"snr_db": level, "count": count} | shares) if as_json else f"{level:g} dB: {shares}")
