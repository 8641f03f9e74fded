"""What a library prints on the error stream stays off the terminal, and the stream is as it was afterwards."""

import os
import sys
import threading

import pytest

from assistant.adapters.portaudio import SounddeviceMicrophone, SounddeviceSpeaker
from assistant.adapters.portaudio.library import quietly
from assistant.errors import SetupError


@pytest.fixture
def error_stream(capfd):
    """Writes to the stream itself, as a library does; the second gives what arrived."""
    return lambda text: os.write(2, text.encode()), lambda: capfd.readouterr().err


def test_a_library_is_not_seen_and_we_are(error_stream, monkeypatch):
    """Also within one another; what we print meanwhile arrives."""
    write, arrived = error_stream
    with os.fdopen(os.dup(2), "w") as copy:
        copy.flush()
    monkeypatch.setattr(sys, "stderr", open(2, "w", buffering=1, closefd=False))  # noqa: SIM115 - the stream itself
    ours = sys.stderr
    with quietly(), quietly():
        write("Expression failed\n")
        print("hoodside: the speaker went away", file=sys.stderr)
    assert sys.stderr is ours
    write("after\n")
    assert arrived() == "hoodside: the speaker went away\nafter\n"


def test_two_threads_leave_the_stream_as_it_was(error_stream):
    """The first to come is not the last to go: neither puts back the other's nowhere."""
    write, arrived = error_stream
    here, there = threading.Event(), threading.Event()

    def other():
        with quietly():
            here.set()
            there.wait(5)

    thread = threading.Thread(target=other)
    with quietly():
        thread.start()
        here.wait(5)
    write("still quiet\n")
    there.set()
    thread.join()
    write("loud again\n")
    assert arrived() == "loud again\n"


def test_a_stream_is_quiet_from_its_opening_to_its_end(portaudio, error_stream):
    """A device that goes away is told of by threads of the library, at any time."""
    write, arrived = error_stream
    for open_stream in (SounddeviceMicrophone, SounddeviceSpeaker):
        stream = open_stream()
        write("PaAlsaStreamComponent_BeginPolling failed\n")
        stream.close()
        stream.close()
        write("after\n")
        assert arrived() == "after\n"


def test_a_stream_that_does_not_open_leaves_the_error_stream_as_it_was(portaudio, error_stream):
    """Our own sentence follows."""
    write, arrived = error_stream
    portaudio.present = False
    for open_stream in (SounddeviceMicrophone, SounddeviceSpeaker):
        with pytest.raises(SetupError):
            open_stream()
    write("our sentence\n")
    assert arrived() == "our sentence\n"
