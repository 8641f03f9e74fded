"""How long the embedded recogniser waits, how much sound it keeps, and how sure it must be, each with its source."""

from __future__ import annotations

import math

from assistant.hearing.endpoint import FRAME_S, EndpointSettings
from assistant.language.stakes import Tail

LANGUAGES_KEPT = 24
"""Grammars whose learnt habits are kept: the steps of a job come back to each other."""

HURRY_S = 1.0
"""Where sound has waited longer than this, each utterance is worked out once and heard once. Source: judgement."""

OWN_VOICE_FRAMES = 22
"""So long after our own voice, 0.7 s, what the canceller leaves of it may rise over the noise like somebody's word:
till then only the detector is asked, of the sound as it is. With the gate 2.5 minutes of our voice set off 28 words."""

OWN_VOICE_AT = 0.5
"""What the detector must say for something to begin over our own voice."""

LEAD_S = 0.3
"""Sound kept from before speech was noticed."""

LEAD_FRAMES = int(LEAD_S / FRAME_S)

STOP_OVER_US_AT = 0.8
"""Trust from which on a stop of the grammar counts over our own voice though nobody surely spoke. It has an ear of its
own besides. Source: what the canceller left of our natural voice was once a "pause" with 0.54."""

TAIL_S = {Tail.NONE: 0.0, Tail.SHORT: 0.192, Tail.WHOLE: math.inf}
"""Silence after which words are acted on. Source: `hoodside bench hear --part talk` and `hoodside bench latency`."""

SOON_AT = 0.8
"""Trust below which a command or a question waits for the end of the utterance too, for talk begins with what is taken
for one. Source: "we could" was taken for "read the record" with 0.35 and 0.61."""

DICTATION = EndpointSettings(try_after_s=(), end_after_s=1.2, longest_s=60.0)
COMMAND = EndpointSettings(longest_s=10.0, try_after_s=(0.096, 0.192, 0.256, 0.512), early_s=0.064, end_after_s=0.672)
AGAIN_S = 0.256
"""Silence after which what gave nothing to act on is worked out once more."""

LONGER_S = 0.512
"""Silence after which words count though a longer sentence may still come, where they need no longer one."""

GOES_ON_FRAMES = 8
"""After so many frames of new speech, 0.26 s, a look at a reading that was begun in the pause before is given up: it
was no answer yet, and the next would wait for it. Source: judgement; the shortest digit has some 0.25 s (from memory).
Not of other words: noise flickers as long 9 dB below, and what both looks say alike is answered 0.1 s sooner."""

SHORT_TAKE_S = 2.5
"""A recording so short is written down whole: looking for its speech would take as long as writing."""

STANDS_OUT_AT, WHOLE_AT = 0.8, 0.9
"""Trust from which on what stands out of what else was heard is taken by itself, and from which on the whole needs no
such look. Source: of 228 "yes", "no" and "stop" by people over talk 15 to 6 dB below, 65 looks at what stood out had
0.8 and more, and none of them meant another of the three; "nobody knows" of the whole had 0.75 where "no" was said, and
what stood out of it, "no", 0.97."""

SURELY_SAID = 0.93
"""Trust from which on words count although the gate was not sure that anybody spoke. Source: of 737 looks at noise and
talk between words by people 60 gave words to act on while the gate was not sure, with at most 0.88, stop and its like
with 0.93; "yes" and "no" by people mostly have 0.93 to 0.98."""

LONGEST_TAKE_S = 20.0
"""Speech that goes on for longer is no command; the network's work grows with the square of it."""
