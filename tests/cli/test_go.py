"""`hoodside go` and `hoodside` alone: open jobs and the last car are offered, and without sound lines are typed."""

import io
import sys

import pytest

from assistant.__main__ import run
from assistant.wiring.desktop import desktop_entry


@pytest.fixture
def shell(tmp_path, monkeypatch, capsys):
    """Runs hoodside with typed input, records in a folder of the test's; gives exit code, output and messages."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.setenv("HOME", str(tmp_path))

    def call(*arguments, typed=""):
        monkeypatch.setattr(sys, "stdin", io.StringIO(typed))
        code = run(arguments)
        shown = capsys.readouterr()
        return code, shown.out, shown.err

    return call


@pytest.fixture
def no_sound(monkeypatch):
    """A machine without PortAudio."""
    monkeypatch.setitem(sys.modules, "sounddevice", None)


def test_hoodside_alone_begins_a_job_and_then_offers_it(shell, no_sound):
    """Without sound it says in words how to type, and goes on so at once."""
    code, out, err = shell(typed="yes\ndone\nit will not start\n")
    assert code == 0
    assert "type what you would say" in err and "I go on by the keyboard" in err
    assert "Tell me the complaint" in out
    code, out, _ = shell(typed="yes\nnothing changed\n")
    assert code == 0
    assert out.startswith("Go on with the no start job of ")
    assert "goes on." in out


def test_a_named_job_is_offered_by_its_name_and_a_no_leads_to_a_new_one(shell):
    """And where nothing is taken nothing is begun."""
    shell("start", "no-start", "--hear", "typed", "--job", "grey-hatchback", typed="done\n")
    code, out, err = shell("go", "--hear", "typed", typed="no\nno\n")
    assert code == 0
    assert out == "Go on with the grey hatchback? Yes or no.\nBegin a new job? Yes or no.\n"
    assert err == "Nothing was begun.\n"
    _, out, _ = shell("go", "--hear", "typed", typed="no\nyes\n")
    assert "Engine cranks but will not run" in out
    assert len(shell("jobs", "list")[1].strip().splitlines()) >= 2


def test_a_microphone_that_was_asked_for_is_not_replaced_by_a_keyboard(shell, no_sound):
    """Who names a way to hear is told what is missing, and how to type."""
    code, _, err = shell("go", "--hear", "microphone")
    assert code == 3
    assert "--hear typed" in err and "by the keyboard" not in err
    code, _, err = shell("start", "no-start", "--say", "silent")
    assert code == 3
    assert "type what you would say, a line each, by adding --hear typed" in err


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="desktop entries are for Linux")
def test_an_entry_among_the_desktops_programs_is_written_on_request_and_taken_away(shell, tmp_path):
    """Into the user's own folder; its line starts this very installation."""
    code, out, _ = shell("desktop")
    path = tmp_path / "applications" / "hoodside.desktop"
    assert code == 0 and str(path) in out
    assert path.read_text(encoding="utf-8") == desktop_entry(sys.executable)
    assert f'Exec="{sys.executable}" -m assistant\n' in path.read_text(encoding="utf-8")
    assert shell("desktop", "--remove")[0] == 0
    assert not path.exists()
    assert shell("desktop", "--remove")[1] == "There was no entry.\n"
    assert list(path.parent.iterdir()) == []


def test_a_path_with_signs_of_its_own_is_quoted():
    """Blanks stand in quotes, a quote and a dollar behind two backslashes, a percent sign twice."""
    assert 'Exec="/opt/my tools/100%%/py\\\\"\\\\$x" -m assistant\n' in desktop_entry('/opt/my tools/100%/py"$x')
