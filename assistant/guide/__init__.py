"""The deterministic conversation machine and the fold that rebuilds it."""

from assistant.guide.advance import advance, begin, reopen
from assistant.guide.closing import confirm_repair
from assistant.guide.expect import can_say, expected
from assistant.guide.fold import fold
from assistant.guide.picture import Picture, picture
from assistant.guide.places import Library
from assistant.guide.state import NEW, Mode, State
from assistant.guide.timing import awaits_burst, burst_place, next_deadline
from assistant.guide.turn import Turn

__all__ = [
    "NEW",
    "Library",
    "Mode",
    "Picture",
    "State",
    "Turn",
    "advance",
    "awaits_burst",
    "begin",
    "burst_place",
    "can_say",
    "confirm_repair",
    "expected",
    "fold",
    "next_deadline",
    "picture",
    "reopen",
]
