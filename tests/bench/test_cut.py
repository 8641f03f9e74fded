"""Where words without their beginning stand in their stream, and what is counted as done by them."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from assistant.bench.cut import GAP_S, KINDS, LEFT_MS, WHOLE_AT, Piece, Where, became, blocks_of, pieces
from assistant.bench.sets import Ask
from assistant.bench.voices import Speaker
from assistant.language.model import Control, Expected, Heard
from assistant.ports import SAMPLE_RATE_HZ
from assistant.session.losses import Losses

NOW = Ask(
    "small/lamp",
    Expected(
        controls=frozenset({Control.YES, Control.STOP, Control.WHERE}),
        results={"lit": ("lamp is lit",), "dark": ("lamp is dark",)},
        questions=True,
    ),
)
VOICE = Speaker("espeak", "en-us")


def setting() -> SimpleNamespace:
    """A voice that says a second of a loud sound, whatever the words."""
    return SimpleNamespace(
        speech=lambda _speaker, _words: np.full(SAMPLE_RATE_HZ, 9_000, np.int16),
        voices={"tuning": [VOICE], "held-out": [VOICE]},
        asks=[NOW],
    )


@pytest.mark.parametrize(
    ("where", "late_s", "begins_s"), [(Where.FIRST, 0.0, 0.0), (Where.FIRST, 0.3, 0.3), (Where.GAP, 0.0, 1.0 + GAP_S)]
)
def test_what_is_left_stands_where_it_is_told_to(where: Where, late_s: float, begins_s: float) -> None:
    """So many milliseconds of the phrase's end, and a session doubts what begins there unless it is late."""
    piece = Piece(ask=NOW, words="lamp is lit", speaker=VOICE, left_ms=140, where=where, late_s=late_s)
    blocks, losses = list(blocks_of(setting(), piece, np.random.default_rng(1))), Losses()
    for block in blocks:
        losses.note(block)
    loud = [block.start_s for block in blocks if np.abs(block.pcm.astype(int)).max() > 8_000]
    assert loud == pytest.approx([begins_s + 0.02 * number for number in range(7)])
    heard = Heard(words="yes", confidence=1.0, began_s=loud[0], ended_s=loud[-1])
    assert losses.doubted(heard).cut is (late_s == 0.0)


def test_each_phrase_is_cut_to_every_length_at_every_place_and_whole() -> None:
    """By the voices in turn."""
    found = list(pieces(setting(), 2, np.random.default_rng(1)))
    assert len(found) == 2 * (len(LEFT_MS) * len(Where) + len(WHOLE_AT))


@pytest.mark.parametrize(
    ("words", "unsure", "kind"),
    [("yes", False, "obeyed"), ("yes", True, "asked"), ("stop", True, "stopped"), ("lamp is lit", False, "obeyed"),
     ("lamp is lit", True, "offered"), ("where am i", True, "harmless"), (None, False, "let pass")],
)  # fmt: skip
def test_what_became_of_it_is_the_worst_of_all_that_was_heard(words: str | None, unsure: bool, kind: str) -> None:
    """What is done at once is worse than what is asked, and that worse than nothing."""
    heard = Heard(words=words, confidence=0.9, unsure=unsure, engine="embedded")
    nothing = Heard(words=None, confidence=0.0, engine="embedded")
    assert became([nothing, heard], NOW)[0] == kind and kind in KINDS
