"""How long a shop's noise may be borne without hearing protection.

For a level that a sound level meter shows: no microphone of ours is calibrated, so none of our own levels is one. Local
rules come first.
"""

from __future__ import annotations

from assistant.english.shop_check import nobody_stays, nothing_to_wear, protect

PROTECT_FROM_DBA = 85.0
"""From here on hearing is to be protected. Source: OSHA's action level, 29 CFR 1910.95(c); NIOSH's limit."""

LOUDEST_DBA = 115.0
"""The last row of OSHA's table; above it no time is given. Source: 29 CFR 1910.95, table G-16 (row from memory)."""

HALVES_BY_DB = {"osha": (90.0, 5.0), "niosh": (85.0, 3.0)}
"""Level that may be borne for eight hours, and by how much more the time halves.

Source: 29 CFR 1910.95, table G-16; NIOSH noise criteria.
"""


def allowed_hours(level_dba: float, by: str = "osha") -> float:
    """Hours in a day at a steady level; 0 above what OSHA's table gives. Raises KeyError for an unknown `by`."""
    eight_hours_dba, halves_db = HALVES_BY_DB[by]
    return 0.0 if level_dba > LOUDEST_DBA else 8.0 / 2.0 ** ((level_dba - eight_hours_dba) / halves_db)


def exposure_sentences(level_dba: float) -> tuple[str, ...]:
    """What the level asks for, in plain words."""
    if level_dba < PROTECT_FROM_DBA:
        return (nothing_to_wear(level_dba),)
    if level_dba > LOUDEST_DBA:
        return (nobody_stays(level_dba),)
    osha_s, niosh_s = (int(allowed_hours(level_dba, by) * 3600 + 1e-6) for by in HALVES_BY_DB)
    return protect(level_dba, osha_s, niosh_s)
