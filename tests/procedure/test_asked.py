"""What a bare yes or no can answer, by the options that a question names."""

import pytest

from assistant.procedure.asked import is_open, options_of

MEANS = {
    "turns": "turns", "stand still": "still", "pack": "pack", "charger": "charger", "no": "none", "yes": "turns",
    "flicker": "turns", "no flicker": "none", "plugs": "heater", "heater": "heater", "nothing": "none",
}  # fmt: skip


@pytest.mark.parametrize(
    ("word", "asked", "left_open"),
    [
        ("yes", "Crank. Does it turn, or stand still?", False),  # "turn" is no answer here: one option alone
        ("yes", "Crank. It turns, or stand still?", True),
        ("yes", "Crank. It turns? Or stand still?", True),
        ("yes", "It turns?", False),
        ("no", "Have you a pack or a charger?", False),  # neither of them
        ("no", "Flicker or no flicker?", False),
        ("no", "A pack, a charger, or nothing?", False),
        ("no", "Failed before? A pack or a charger?", False),
        ("yes", "Are there plugs, or a heater?", False),  # both are the same answer
    ],
)
def test_a_bare_word_leaves_open_what_has_to_be_chosen(word, asked, left_open):
    """A yes to "this or that" may be of either; a no that is neither is clear."""
    assert is_open(word, (asked,), MEANS.get) is left_open


def test_the_end_of_the_first_option_is_what_may_be_said_for_it():
    """Before it stands what asks: "does it", "is the filter"."""
    assert list(options_of("is it free, or soaked?")) == [
        ("is it free", ["is it free", "it free", "free"]),
        ("soaked", ["soaked"]),
    ]
