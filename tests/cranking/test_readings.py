"""Reading stretches of raised sound on a stream."""

from __future__ import annotations

import numpy as np

from assistant.cranking import readings
from assistant.cranking.levels import HOP, levels_of
from assistant.cranking.readings import Reader, read
from assistant.cranking.scenes import make_scene
from assistant.cranking.synthetic import CrankPlan

SCENE = make_scene(
    np.random.default_rng(4), plan=CrankPlan(cylinders=4, rpm=180.0, burst_s=3.0), snr_db=15.0, noise="hum"
)
LEVELS = levels_of(SCENE.pcm)
SPAN = round(SCENE.start_s * 125), round(SCENE.end_s * 125)


def test_a_reading_kept_is_that_of_the_stretch_and_made_once(monkeypatch):
    """The same stretch with the same sound around it is read once; cut elsewhere, for other cylinders, or with more
    after it, anew."""
    made = []

    def counted(levels, pcm, start, stop, *, cylinders):
        made.append((len(levels), start, cylinders))
        return read(levels, pcm, start, stop, cylinders=cylinders)

    monkeypatch.setattr(readings, "read", counted)
    reader = Reader()
    for cut, more, cylinders in ((0, 0, 4), (0, 0, 4), (50, 0, 4), (0, 0, 6), (0, 20, 4), (0, 0, 4)):
        levels = LEVELS[cut : SPAN[1] + 100 + more]
        sound = SCENE.pcm[cut * HOP : (SPAN[1] + 100 + more) * HOP]
        start, stop = SPAN[0] - cut, SPAN[1] - cut
        got = reader.read(levels, sound, start, stop, cylinders=cylinders, origin=cut)
        anew = read(levels, sound, start, stop, cylinders=cylinders)
        assert got is not None
        assert anew is not None
        assert (got.start, got.stop, got.score, got.pulses) == (anew.start, anew.stop, anew.score, anew.pulses)
    assert len(made) == 4


def test_readings_kept_are_few():
    """Those of long ago are forgotten, so that a day costs no memory."""
    reader = Reader()
    for origin in range(70):
        reader.read(LEVELS[:20], SCENE.pcm[: 20 * HOP], 0, 20, cylinders=4, origin=origin)
    assert len(reader._known) == readings._READINGS_KEPT
