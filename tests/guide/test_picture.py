"""What the screen shows largest is what comes next, never what comes after it."""

import pytest

from assistant.guide import Mode, advance, begin, picture
from assistant.language.model import Acknowledge, Control, GiveControl, GiveResult, TimePassed

TO_THE_GATE = (
    Acknowledge(words="eyes are covered"),
    GiveControl(control=Control.DONE),
    Acknowledge(words="it is in park"),
    Acknowledge(words="nothing can roll"),
    Acknowledge(words="doors are open"),
    Acknowledge(words="nothing to smell"),
)


def led(library, *commands):
    """The state of a cranking check after these commands, twenty seconds each."""
    state = begin(library, "cranking-check", "made-up", "job", {}).state
    for command in commands:
        turn = advance(library, state, command, state.at_s + 20.0)
        assert turn.refused is None, turn.refused
        state = turn.state
    return state


def test_a_waiting_caution_is_largest_and_stands_there_in_full(library):
    """Not the instruction that follows it; hazard and how to avoid it large, the consequence in the band."""
    state = led(library)
    assert state.mode is Mode.CAUTIONING
    shown = picture(library, state, state.at_s)
    large = "Battery gas explodes, acid blinds. Cover your eyes. No spark, no flame."
    assert shown.instruction == large
    assert shown.caution_signal == "warning"
    assert shown.caution == f"{large} You can lose your sight."


def test_a_gate_shows_its_question(library):
    """What must be so before the step begins is asked on the screen too."""
    state = led(library, *TO_THE_GATE)
    assert state.mode is Mode.GATING
    assert picture(library, state, state.at_s).instruction == "Are your face and hands clear of the engine?"


def test_the_step_is_largest_while_it_is_worked_on(library):
    """With the gravest caution of the step above it, without the consequence that was told before."""
    state = led(library, *TO_THE_GATE, Acknowledge(words="hands are clear"))
    assert state.mode is Mode.POISED
    shown = picture(library, state, state.at_s)
    assert shown.instruction.startswith("Foot off the pedal.")
    assert shown.caution == (
        "The engine turns, and may run and give deadly gas. Doors open, or a hose on the exhaust. Nobody at the belts."
    )


@pytest.mark.parametrize(
    ("control", "mode", "words"),
    [
        (Control.STOP, Mode.HELD, "Say resume to go on."),
        (Control.END_JOB, Mode.ENDING, "End the job here? Say yes to end it, or no to go on."),
        (Control.NOTE, Mode.NOTING, "I am taking a note. Speak, or say no to drop it."),
    ],
)
def test_what_is_asked_in_between_is_largest(library, control, mode, words):
    """Held, ending, noting: the step waits, so its words do too."""
    state = led(library, TO_THE_GATE[0], GiveControl(control=control))
    assert state.mode is mode
    assert picture(library, state, state.at_s).instruction == words


def test_after_the_burst_its_result_is_asked_and_no_second_burst(library):
    """An order to crank for five seconds would be obeyed; then the answer is read back."""
    ready = (*TO_THE_GATE, Acknowledge(words="hands are clear"), GiveControl(control=Control.READY), TimePassed())
    state = led(library, *ready)
    assert state.mode is Mode.ASKING
    shown = picture(library, state, state.at_s)
    assert shown.instruction.startswith("Say turns normally")
    state = advance(library, state, GiveResult(result="normal", words="turns normally"), state.at_s).state
    assert state.mode is Mode.CONFIRMING
    assert picture(library, state, state.at_s).instruction == "I heard turns normally. Say yes to log it."
