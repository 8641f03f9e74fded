"""The error families, named by who must act. Imports nothing of ours."""

from __future__ import annotations

MAX_SPOKEN_WORDS = 12


class HoodsideError(Exception):
    """An error that ends in one clear sentence and an exit code.

    `spoken` is what the technician hears, at most twelve words, or None where nobody is listening yet.
    """

    exit_code = 1

    def __init__(self, message: str, *, spoken: str | None = None) -> None:
        super().__init__(message)
        if spoken is not None and len(spoken.split()) > MAX_SPOKEN_WORDS:
            raise ValueError(f"a spoken error has at most {MAX_SPOKEN_WORDS} words: {spoken!r}")
        self.spoken = spoken


class ProcedureError(HoodsideError):
    """A procedure, model or grammar file must be fixed by its author."""

    exit_code = 1


class UsageError(HoodsideError):
    """The command was used wrongly: an unknown job, a name already taken, a value out of range."""

    exit_code = 2


class SetupError(HoodsideError):
    """The machine lacks something; the message says what to install."""

    exit_code = 3


class DeviceLost(HoodsideError):
    """A microphone or speaker went away; retry and say so."""

    exit_code = 3


class VoiceLost(SetupError):
    """Nothing can speak any more, though the speaker sounds: no caution could be told, so the session ends."""


class RecordChanged(HoodsideError):
    """The record is not as it was recorded: nothing is built on it."""

    exit_code = 1


class RecordError(HoodsideError):
    """The record could not be kept: stop, never go on unrecorded."""

    exit_code = 4
