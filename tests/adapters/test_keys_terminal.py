"""Keys of a real terminal pair: taken at once, not shown, and the terminal is as it was afterwards."""

import os
import pty
import select
import termios

import pytest

from assistant.adapters.keys_terminal import TerminalKeys
from assistant.language.model import Control
from assistant.session.keys import KEYS


@pytest.fixture
def terminal():
    """Both ends: what a person types into, and what the program reads."""
    person, program = pty.openpty()
    with os.fdopen(program, "r") as stream:
        yield person, stream
    os.close(person)


def typed(person, stream, keys, text):
    """What the keys make of it, once it has come through."""
    os.write(person, text.encode())
    select.select([stream], [], [], 2.0)
    return tuple(keys.pressed())


def test_each_key_is_its_command_at_once(terminal):
    """No return key, no case, no echo."""
    person, stream = terminal
    keys = TerminalKeys(stream, KEYS)
    assert keys.pressed() == ()
    for text, control in ((" ", Control.DONE), ("y", Control.YES), ("N", Control.NO), ("sss", Control.STOP)):
        assert typed(person, stream, keys, text) == (control,)
    os.set_blocking(person, False)
    with pytest.raises(BlockingIOError):
        os.read(person, 100)
    keys.close()


@pytest.mark.parametrize(
    ("text", "meant"),
    [("yes yes", (Control.STOP,)), ("ny", (None,)), ("\x1b[B\x1bOs", (None,)), ("x", (None,)), ("y\u00e9", (None,))],
)
def test_a_paste_a_sleeve_or_another_key_means_nothing_but_stop(terminal, text, meant):
    """Several keys at once are not meant, nor is one without a meaning; where stop is among them it stops."""
    person, stream = terminal
    keys = TerminalKeys(stream, KEYS)
    os.write(person, text.encode())
    select.select([stream], [], [], 2.0)
    assert tuple(keys.pressed()) == meant
    keys.close()


def test_the_terminal_is_given_back_as_it_was(terminal):
    """Echo and lines are back, also when closed twice; keys that nobody took are not left to the shell."""
    person, stream = terminal
    before = termios.tcgetattr(stream)
    keys = TerminalKeys(stream, KEYS)
    during = termios.tcgetattr(stream)
    assert not during[3] & (termios.ECHO | termios.ICANON) and during[3] & termios.ISIG
    os.write(person, b"y\n")
    select.select([stream], [], [], 5)  # the system hands keys over when it likes
    keys.close()
    keys.close()
    assert termios.tcgetattr(stream) == before
    os.set_blocking(stream.fileno(), False)
    with pytest.raises(BlockingIOError):
        os.read(stream.fileno(), 100)
