"""When the commands are legal and offered."""

from assistant.guide.controls import OBEY
from assistant.guide.occasions import OCCASIONS
from assistant.language.commands import Control, When


def test_every_occasion_is_told_by_the_state_or_left_to_the_session():
    """A row cannot name an occasion that nobody knows."""
    assert set(OCCASIONS) == set(When)


def test_every_command_is_obeyed_by_the_guide_or_by_a_page():
    """A row without somebody who does it is no command."""
    assert set(OBEY) | {each for each in Control if each.row.legal is When.AIDED} == set(Control)
