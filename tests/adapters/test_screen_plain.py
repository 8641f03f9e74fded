"""Plain lines: everything said stands there once, however often the view is drawn again."""

import io
from dataclasses import replace

from assistant.adapters.screen_plain import PlainScreen
from tests.adapters.test_screen_terminal import VIEW


def test_what_is_said_is_printed_once_a_turn() -> None:
    """A view drawn again prints nothing, a line added to it prints that line, the same words in a new turn both."""
    out = io.StringIO()
    screen = PlainScreen(out, show_heard=True)
    view = replace(VIEW, turn=1, said=("Clamp it.",), heard="ready")
    for each in (view, replace(view, level_db=-30.0), replace(view, said=("Clamp it.", "The speaker went away."))):
        screen.show(each)
    assert out.getvalue() == "< ready\nClamp it.\nThe speaker went away.\n"
    screen.show(replace(view, turn=2))
    assert out.getvalue().endswith("< ready\nClamp it.\n")
