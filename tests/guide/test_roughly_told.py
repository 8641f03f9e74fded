"""Readings that are told roughly, where a limit is near and where none is."""

from tests.guide.led import Led


def test_about_so_much_near_a_limit_decides_nothing(library):
    """What would choose another way by the next digit is asked for; far from a limit it is read back as told."""
    led = Led(library, "battery-state").until("rest-volts")
    assert "too near a limit" in led.say("about twelve point four").words
    assert led.state.pending is None
    assert led.say("about eleven").state.pending.words == "about eleven volts"
    assert "about eleven volts" in led.words
    led.say("yes")
    logged = next(fact for fact in reversed(led.facts) if fact.kind.value == "reading-logged")
    assert logged.data["spoken"] == "about eleven volts"
