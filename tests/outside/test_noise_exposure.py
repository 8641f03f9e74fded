"""Hours in noise against the published tables.

Sources:
- OSHA, 29 CFR 1910.95, table G-16: hours a day by sound level in dBA, slow response (the rows of 110 and 115 dBA from
  memory).
- NIOSH, noise and hearing loss prevention: 85 dBA for eight hours, halved by each 3 dB more.
"""

from __future__ import annotations

import pytest

from assistant.hearing.exposure import LOUDEST_DBA, PROTECT_FROM_DBA, allowed_hours, exposure_sentences

OSHA_TABLE = {90: 8.0, 92: 6.0, 95: 4.0, 97: 3.0, 100: 2.0, 102: 1.5, 105: 1.0, 110: 0.5, 115: 0.25}
NIOSH_TABLE = {85: 8.0, 88: 4.0, 91: 2.0, 94: 1.0, 97: 0.5, 100: 0.25}


@pytest.mark.parametrize(("level_dba", "hours"), OSHA_TABLE.items())
def test_hours_are_those_of_oshas_table(level_dba: float, hours: float) -> None:
    """Each row, which the standard rounds to a quarter of an hour and less."""
    assert allowed_hours(level_dba) == pytest.approx(hours, rel=0.02)


@pytest.mark.parametrize(("level_dba", "hours"), NIOSH_TABLE.items())
def test_hours_are_those_of_nioshs_table(level_dba: float, hours: float) -> None:
    """Each row, exactly."""
    assert allowed_hours(level_dba, "niosh") == pytest.approx(hours)


def test_protection_is_asked_for_from_the_action_level_on() -> None:
    """85 dBA, averaged over eight hours: 29 CFR 1910.95(c)(1)."""
    assert PROTECT_FROM_DBA == 85.0
    assert exposure_sentences(84.9) == ("At 84.9 decibels no hearing protection is asked for.",)
    assert "wear hearing protection" in exposure_sentences(85.0)[0]


def test_above_the_table_no_time_is_given() -> None:
    """Louder than the last row there is no time without protection."""
    assert allowed_hours(LOUDEST_DBA + 0.1) == 0.0
    assert exposure_sentences(120.0) == ("At 120 decibels nobody may stay without hearing protection.",)


def test_what_is_said_is_never_more_than_the_table() -> None:
    """Times are cut, not rounded up."""
    assert (
        exposure_sentences(95.0)[1] == "Without it OSHA allows 4 hours a day, NIOSH 47 minutes; local rules come first."
    )
    assert exposure_sentences(115.0)[1].startswith("Without it OSHA allows 15 minutes a day, NIOSH 28 seconds;")
