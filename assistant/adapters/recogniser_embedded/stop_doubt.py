"""Whether a word that its own ear took for one that stops us is something else: the second opinions on it."""

from __future__ import annotations

from assistant.adapters.recogniser_embedded.at_stake import AtStake
from assistant.adapters.recogniser_embedded.kept import Kept
from assistant.adapters.recogniser_embedded.scribe import Scribe, Sound
from assistant.adapters.recogniser_embedded.second import is_otherwise
from assistant.adapters.recogniser_embedded.stop import Stop


def is_doubted(
    stop: Stop, began_s: float, kept: Kept, scribe: Scribe, at_stake: AtStake, *, nearer: bool, started: float
) -> bool:
    """Whether it is none after all. `began_s`: of what is being said, all of which is `kept`; `nearer`: the word is so
    much louder than the rest that another says it, beside who talks; `started`: as `look.since` has it.

    What is not sure by itself was told because it stands out of others' talk, so the grammar hears it alone. Source: of
    60 stops and 86 "yes" and "no" by people at a read-back over four noises, 9 dB, and the stops at 6 dB, that gave 16
    stops 0.78 and more, and what was none (one "yes", and noise before a stop) nothing.
    """
    if not stop.surely:
        sound = Sound(pcm=kept.word(*stop.since(began_s)), began_s=stop.began_s, started=started, hurried=True)
        alone = scribe.write(sound).heard
        return alone.unsure or not at_stake.stops(alone.words)
    if nearer or not at_stake.stop_is_doubted(inside=stop.inside):
        return False
    return is_otherwise(scribe.freely(kept.pcm()), inside=stop.inside)
