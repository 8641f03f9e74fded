"""A session with an attention word: nothing but stop is obeyed without it, typed or heard."""

import io
import json

import pytest

from assistant.__main__ import run
from assistant.guide import Mode
from assistant.language.model import Heard
from assistant.session.live import STOP_ONLY
from tests.session.room import Room
from tests.session.test_live import Shop


def typed(library, **more):
    """A typed session with the word "computer"."""
    return Room(library, attention="computer", **more)


def test_the_rule_is_spoken_in_the_opening(library):
    """Right after the title, before the first step."""
    said = typed(library).trace[0]["said"]
    assert said[1] == "Say computer before each command. Stop needs no computer."


def test_a_typed_line_needs_the_word_and_is_told_so(library):
    """Without it nothing changes, whatever was said."""
    room = typed(library)
    (turn,) = room.type("done")
    assert (turn["said"], turn["facts"], turn["heard"]) == (["Say computer first."], [], "done")
    (turn,) = room.type("Computer, done")
    assert turn["step"] == "complaint" and turn["heard"] == "Computer, done"


def test_stop_and_dictated_words_need_none(library):
    """The complaint is kept as it is said; stop holds at once."""
    room = typed(library)
    room.type("computer done")
    (turn,) = room.type("it will not start")
    assert turn["facts"][0]["data"]["words"] == "it will not start"
    (turn,) = room.type("stop")
    assert turn["mode"] == "held"


def test_every_phrase_that_can_be_said_is_taken_as_it_stands(library):
    """The list carries the word itself, so that each of its phrases may be sent back."""
    for phrase in typed(library).trace[0]["can_say"]:
        assert phrase == "stop" or phrase.startswith("computer ")
        (turn,) = typed(library).type(phrase)
        assert turn["said"] != ["Say computer first."] and not (turn["command"] or "").startswith("unclear"), phrase


def test_by_voice_it_is_asked_for_while_we_speak_and_while_we_listen(library):
    """The grammar has stop alone and everything else after the word; talk is not even asked about."""
    shop = Shop(library, attention="computer")
    shop.loop.step()
    first = shop.recogniser.told[-1].grammar
    assert [each.tag for each in first.rules["said"].choices[:-1]] == ["stop"] * len(first.rules["said"].choices[:-1])
    shop.fall_silent()
    said = len(shop.sentences)
    for _ in range(4):
        shop.hear(None)
    assert len(shop.sentences) == said
    shop.hear("computer done")
    assert shop.conversation.state.at.step == "complaint"


@pytest.mark.parametrize(("words", "mode"), [("stop", Mode.HELD), ("computer pause", Mode.HELD), ("pause", None)])
def test_while_we_speak_pause_needs_the_word_and_stop_does_not(library, words, mode):
    """A hand may be at stake with stop, with pause only patience."""
    shop = Shop(library, attention="computer")
    before = shop.conversation.state.mode
    shop.recogniser.will_hear.append(Heard(words=words, confidence=1.0))
    shop.loop.step()
    assert shop.conversation.state.mode is (mode or before)


def test_without_the_option_nothing_is_asked_for(library):
    """Off by default."""
    assert STOP_ONLY.attention == ""
    assert "before each command" not in " ".join(Room(library).trace[0]["said"])


def start(tmp_path, monkeypatch, word, lines):
    """`start --attention`; returns the exit code."""
    monkeypatch.setattr("sys.stdin", io.StringIO(lines))
    trace = tmp_path / "trace.jsonl"
    options = ["--hear", "typed", "--data", str(tmp_path), "--trace", str(trace), "--job", "loud"]
    return run(["start", "no-start", *options, "--attention", word])


def test_the_option_of_start_and_resume(tmp_path, monkeypatch, capsys):
    """The command line takes the word, in any case, and each session anew."""
    assert start(tmp_path, monkeypatch, "Workshop", "done\nworkshop done\n") == 0
    turns = [json.loads(line) for line in (tmp_path / "trace.jsonl").read_text().splitlines()]
    assert [turn["step"] for turn in turns] == ["rules", "rules", "complaint"]
    monkeypatch.setattr("sys.stdin", io.StringIO("it will not start\nstop\n"))
    assert run(["resume", "loud", "--hear", "typed", "--data", str(tmp_path), "--attention", "hello workshop"]) == 0
    assert "Say hello workshop before each command." in capsys.readouterr().out


@pytest.mark.parametrize(("word", "told"), [("no spark", "may be said in this job"), ("hey", "too short")])
def test_a_word_that_will_not_do_is_refused_before_the_job_begins(tmp_path, monkeypatch, capsys, word, told):
    """One sentence, exit code 2, no job."""
    assert start(tmp_path, monkeypatch, word, "") == 2
    assert told in capsys.readouterr().err
    assert run(["report", "loud", "--format", "json", "--out", str(tmp_path / "r"), "--data", str(tmp_path)]) != 0
