"""The weights of commands in own words: learnt from a few sentences, kept in bytes and read back."""

from __future__ import annotations

import numpy as np

from assistant.language.command_guess import NOTHING, load
from assistant.language.commanded import GIVEN, THINKS
from assistant.training.commands import SAID, Said, keep, learn, of_rules, read_said

SMALL = [
    *(Said(words=words, want="louder") for words in ("speak up please", "a bit louder", "speak louder please")),
    *(Said(words=words, want="why") for words in ("why is that", "why this test", "tell me why")),
    *(Said(words=words, want=NOTHING) for words in ("the lamp is out", "the lamp went out", "it is out")),
]


def test_what_was_learnt_is_kept_but_for_its_rounding(tmp_path):
    """A sentence near the known ones wants what they want, before and after."""
    learnt = learn(SMALL)
    keep(learnt, tmp_path / "kept.npz")
    kept = load((tmp_path / "kept.npz").read_bytes())
    for words, want in (("please speak louder", "louder"), ("why this lamp test", "why"), ("lamp is out", NOTHING)):
        assert learnt.wanted(words).name == kept.wanted(words).name == want
        assert np.isclose(learnt.wanted(words).sure, kept.wanted(words).sure, atol=0.02)


def test_every_want_that_was_written_for_is_given_something():
    """Of the writers and of the rules: a command, a question, a thinking one, or nothing."""
    wants = {each.want for each in (*read_said(SAID), *of_rules())}
    assert wants <= {*GIVEN, THINKS, NOTHING} and len(wants) == 38
    assert all(each.words for each in of_rules())
