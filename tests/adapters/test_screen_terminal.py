"""The screen shows the instruction large, the caution in a band that is more than a colour, and fits any terminal."""

from __future__ import annotations

import io
from dataclasses import replace

import pytest
from rich.console import Console

from assistant.adapters.screen_terminal import TerminalScreen
from assistant.adapters.screen_terminal.letters import large
from assistant.adapters.screen_terminal.picture import ViewPicture
from assistant.ports import View

VIEW = View(
    job="blue-hatch",
    title="Engine cranks but will not run",
    step="spark-check",
    mode="asking",
    instruction="Clamp the spark tester to bare engine metal, away from the battery.",
    caution_signal="warning",
    caution="The fan moves without warning. Keep hands clear. It can take a hand.",
    said=(),
    can_say=("spark present", "weak spark", "no spark", "stop", "say again"),
    heard="ready",
    countdown_s=None,
    open_items=("air duct",),
    level_db=-23.4,
)


def drawn(view: View, width: int = 100, height: int = 30) -> list[str]:
    """The rows of the screen as plain text."""
    console = Console(width=width, height=height, file=io.StringIO(), force_terminal=True, color_system=None)
    with console.capture() as capture:
        console.print(ViewPicture(view), height=height)
    return capture.get().rstrip("\n").split("\n")


def test_everything_that_matters_is_there() -> None:
    """Title, job, caution, what was heard, what can be said, what is off, the level in figures and in a word."""
    text = " ".join(drawn(VIEW))
    for words in ("Engine cranks but will not run", "blue-hatch", "ASKING", "WARNING", "It can take a hand."):
        assert words in text
    for words in ("“ready”", "spark present", "say again", "air duct", "-23 dBFS", "good"):
        assert words in text


@pytest.mark.parametrize(
    ("signal", "label"),
    [
        ("danger", "▲▲▲  DANGER  ▲▲▲"),
        ("warning", "▲▲  WARNING  ▲▲"),
        ("caution", "▲  CAUTION  ▲"),
        ("notice", "NOTICE"),
    ],
)
def test_a_band_can_be_told_without_colour(signal: str, label: str) -> None:
    """Each signal word stands in its own row with its own count of marks."""
    assert label in [row.strip() for row in drawn(replace(VIEW, caution_signal=signal))]


def test_the_instruction_is_as_large_as_the_room_allows() -> None:
    """Few words are drawn many rows tall, more words in smaller letters, and on a small terminal as plain text."""
    tall, middle = large("Crank now.", 100, 20), large(VIEW.instruction, 98, 20)
    assert len(tall) >= 5
    assert large("Ja, 12.4 V", 200, 8) and not large("Ja, \u20ac", 200, 8)
    assert 8 <= len(middle) <= 20 and max(map(len, middle)) <= 98
    assert large(VIEW.instruction, 30, 5) == ()
    assert "Clamp the spark tester" not in "\n".join(drawn(VIEW))
    assert "Clamp the spark tester" in "\n".join(drawn(VIEW, 44, 16))


@pytest.mark.parametrize(("width", "height"), [(200, 60), (120, 40), (80, 24), (60, 20), (40, 14), (20, 8), (8, 3)])
def test_every_terminal_is_filled_and_never_overrun(width: int, height: int) -> None:
    """Whatever the size: no row too many, no row too wide."""
    for view in (VIEW, replace(VIEW, countdown_s=75.0), replace(VIEW, caution_signal=None, instruction="")):
        rows = drawn(view, width, height)
        assert len(rows) <= height
        assert max(map(len, rows)) <= width


def test_on_a_small_terminal_caution_and_instruction_stay_and_the_foot_goes() -> None:
    """Twelve rows of forty: the words that keep someone whole come first."""
    text = " ".join(" ".join(drawn(VIEW, 40, 8)).split())
    assert "WARNING" in text and "It can take a hand." in text and "away from the battery." in text


def test_what_is_said_is_drawn_unless_it_stands_there_already() -> None:
    """A refusal and what is asked are shown; the instruction is not shown twice, and no tone."""
    said = ("A bare yes is not enough.", VIEW.instruction, "[tone]", "Say: area is clear.")
    text = "\n".join(drawn(replace(VIEW, said=said), 60, 16))
    assert "A bare yes is not enough. Say: area is clear." in text
    assert text.count("Clamp the spark tester") == 1 and "tone" not in text


def test_of_much_that_is_said_the_beginning_and_the_question_stay() -> None:
    """A long finding is cut in its middle: what is asked stands last."""
    said = (*(f"Sentence number {number} of many." for number in range(60)), "Say done to close the job.")
    text = "\n".join(drawn(replace(VIEW, said=said), 80, 24))
    assert "Sentence number 0" in text and "Say done to close the job." in text and "…" in text


def test_a_waiting_caution_is_the_largest_text() -> None:
    """On a usual terminal of 80 by 24: the hazard in tall letters, the consequence in the band, the answer beneath."""
    words = "Petrol vapour travels, and lights far from the fuel. No flame, spark or smoking. Wipe up every drop."
    view = replace(
        VIEW,
        mode="cautioning",
        instruction=words,
        caution=f"{words} A flash fire can burn you.",
        said=(f"Warning. {words} A flash fire can burn you.", "Say: no flame near."),
        can_say=("no flame near", "stop", "pause", "say again", "go back", "where am i", "what can i say", "how long"),
    )
    rows = [row.strip() for row in drawn(view, 80, 24)]
    assert {row.strip() for row in large(words, 78, 24)} <= set(rows)
    assert "A flash fire can burn you." in rows and "Say: no flame near." in rows


def test_the_keys_are_named() -> None:
    """Each key that does something, with its word."""
    text = drawn(replace(VIEW, keys=(("space", "done"), ("s", "stop"))))[-1]
    assert "space done" in text and "s stop" in text


def test_seconds_that_run_are_drawn_and_never_negative() -> None:
    """A count-down shows tenths below a minute, minutes above, and ends at nought; large where there is room."""
    small = {left_s: "\n".join(drawn(replace(VIEW, countdown_s=left_s), 44, 13)) for left_s in (3.42, 84.0, -1.0)}
    assert "3.4 s" in small[3.42] and "1:24" in small[84.0] and "0.0 s" in small[-1.0]
    tall = [row.strip() for row in drawn(replace(VIEW, countdown_s=3.42), 100, 40)]
    assert {row.strip() for row in large("3.4 s", 100, 10)} <= set(tall)


@pytest.mark.parametrize(
    ("level_db", "word"), [(-70.0, "quiet"), (-20.0, "good"), (-2.0, "too loud"), (3.0, "too loud")]
)
def test_the_level_has_a_word(level_db: float, word: str) -> None:
    """A meter that is only a bar says nothing to who cannot tell colours."""
    assert word in drawn(replace(VIEW, level_db=level_db))[-1]


def test_letters_without_a_drawing_are_shown_plainly() -> None:
    """Words in other scripts are not dropped."""
    assert large("정지", 80, 20) == ()
    assert "정지" in "\n".join(drawn(replace(VIEW, instruction="정지")))


def test_markup_in_a_phrase_is_text() -> None:
    """Square brackets in what was heard are shown, not obeyed."""
    assert "[red]no[/red]" in "\n".join(drawn(replace(VIEW, heard="[red]no[/red]")))


def test_the_terminal_is_given_back() -> None:
    """The second page is entered once and left, also when closed twice."""
    out = io.StringIO()
    screen = TerminalScreen(Console(file=out, force_terminal=True, width=80, height=24, legacy_windows=False))
    screen.show(VIEW)
    screen.close()
    screen.close()
    text = out.getvalue()
    assert text.count("\x1b[?1049h") == 1 == text.count("\x1b[?1049l")
    assert "WARNING" in text
