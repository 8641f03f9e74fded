"""What is said of a shop's noise: how well a voice is heard over it, what to do, and what it does to ears."""

from __future__ import annotations

ONLY_SILENCE = "The microphone gives only silence."
NOT_HEARD = "I did not hear you speak over it."
MEANS = {
    "good": "I hear you well.",
    "fair": "I hear you, and will sometimes ask again.",
    "poor": "I hear you badly: I will often ask again.",
    "too loud": "It is too loud to be led by voice here.",
}
"""By verdict."""

CLOSER = "Bring the microphone closer: half the distance gives about six decibels."
HEADSET = "Use a headset: its microphone stays close to your mouth."
ATTENTION = "Other sounds come and go here: choose an attention word, with --attention."
TURN_DOWN = "Turn the microphone's level down: the loudest sounds are cut off."
TURN_UP = "Turn the microphone's level up: your voice comes in very soft."
SPEAK = "Check that this is the right microphone, come closer, and try again."
UNMUTE = "Is it muted, or another one in use? See hoodside devices."


def noise(level_db: int) -> str:
    """The level of the shop."""
    return f"The shop's noise is at {_decibels(level_db)} decibels."


def voice(level_db: int, above_db: int) -> str:
    """The level of the voice, and how far it stands above the noise; below it where that is negative."""
    where = "above" if above_db >= 0 else "below"
    return f"Your voice is at {_decibels(level_db)}, {abs(above_db)} decibels {where} the noise."


def _decibels(level_db: int) -> str:
    return f"{'minus ' if level_db < 0 else ''}{abs(level_db)}"


def nothing_to_wear(level_dba: float) -> str:
    """Below the level from which hearing is protected."""
    return f"At {level_dba:g} decibels no hearing protection is asked for."


def nobody_stays(level_dba: float) -> str:
    """Above all levels that have a time."""
    return f"At {level_dba:g} decibels nobody may stay without hearing protection."


def protect(level_dba: float, osha_s: int, niosh_s: int) -> tuple[str, str]:
    """What to wear, and the seconds a day that two rules allow without."""
    return (
        f"At {level_dba:g} decibels wear hearing protection; a headset with ear muffs does both.",
        f"Without it OSHA allows {_time(osha_s)} a day, NIOSH {_time(niosh_s)}; local rules come first.",
    )


def _time(seconds: int) -> str:
    """Cut, never rounded up."""
    minutes = seconds // 60
    if minutes < 1:
        return f"{seconds} seconds"
    if minutes < 120:
        return f"{minutes} minutes" if minutes > 1 else "one minute"
    hours, rest = divmod(minutes, 60)
    return f"{hours} hours" + (f" {rest} minutes" if rest else "")
