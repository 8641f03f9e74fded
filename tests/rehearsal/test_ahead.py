"""How much will be said is known before anything is."""

import pytest

from assistant.rehearsal.ahead import things_to_say
from assistant.rehearsal.cars import DEAD_PUMP, EMPTY_TANK
from assistant.wiring import load_library


@pytest.mark.parametrize(("car", "least"), [(EMPTY_TANK, 20), (DEAD_PUMP, 40)])
def test_a_job_is_counted_to_its_end(car, least):
    """Each thing once; the long job has more of them than the short one."""
    procedure, library = load_library("no-start")
    assert least <= things_to_say(library, procedure, car) <= 5 * least
