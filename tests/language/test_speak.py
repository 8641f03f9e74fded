"""Values to spoken words."""

import pytest

from assistant.english.lists import say_list, sentence
from assistant.language.speak import cut_tenths, say_amount, say_seconds, say_speed


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(6.2, "six point two seconds"), (1, "one second"), (0, "zero seconds"), (72, "one minute twelve seconds"),
     (120, "two minutes"), (9.98, "ten seconds"), (3600, "one hour"), (4210, "one hour eleven minutes"),
     (-1, "zero seconds"), (0.04, "zero seconds"), (0.06, "zero point one seconds"), (1.04, "one second"),
     (9.94, "nine point nine seconds"), (10.4, "ten seconds"), (59.4, "fifty nine seconds"), (59.6, "one minute"),
     (61, "one minute one second"), (3599, "fifty nine minutes fifty nine seconds"), (3660, "one hour one minute"),
     (3661, "one hour two minutes"), (7200, "two hours")],
)  # fmt: skip
def test_says_a_length_of_time(seconds, words):
    """Seconds, minutes and hours as a person would say them."""
    assert say_seconds(seconds) == words


def test_says_amounts_speeds_lists_and_sentences():
    """One volt is singular, a speed is rough, a list ends in "and"."""
    assert say_amount(1, "V") == "one volt"
    assert say_amount(12.4, "V") == "twelve point four volts"
    assert say_speed(192.3) == "about one hundred ninety r p m"
    assert say_speed(196.0) == "about two hundred r p m" and say_speed(6.0) == "about ten r p m"
    assert [cut_tenths(value) for value in (74.96, 75.0, 74.99999999, 0.09)] == [74.9, 75.0, 75.0, 0.0]
    assert say_list(["coil", "duct", "fuse"]) == "coil, duct and fuse"
    assert say_list([]) == ""
    assert sentence("the area is clear") == "The area is clear."
