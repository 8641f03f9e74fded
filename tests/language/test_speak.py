"""Values to spoken words."""

import pytest

from assistant.english.lists import say_list, sentence
from assistant.language.speak import say_amount, say_seconds, say_speed


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(6.2, "six point two seconds"), (1, "one second"), (0, "zero seconds"), (72, "one minute twelve seconds"),
     (120, "two minutes"), (9.98, "ten seconds"), (3600, "one hour"), (4210, "one hour eleven minutes")],
)  # fmt: skip
def test_says_a_length_of_time(seconds, words):
    """Seconds, minutes and hours as a person would say them."""
    assert say_seconds(seconds) == words


def test_says_amounts_speeds_lists_and_sentences():
    """One volt is singular, a speed is rough, a list ends in "and"."""
    assert say_amount(1, "V") == "one volt"
    assert say_amount(12.4, "V") == "twelve point four volts"
    assert say_speed(192.3) == "about one hundred ninety r p m"
    assert say_list(["coil", "duct", "fuse"]) == "coil, duct and fuse"
    assert say_list([]) == ""
    assert sentence("the area is clear") == "The area is clear."
