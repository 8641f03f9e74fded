"""What the other makers' networks are given, and what is made of their tokens."""

from __future__ import annotations

import numpy as np

from assistant.bench.writers import BANDS, PASSAGE_S, log_mel, mel_filters, text_of


def test_a_tone_is_loudest_in_the_band_that_holds_it() -> None:
    """Bands are 100 Hz apart at the bottom of the scale, so 440 Hz lies in the tenth or eleventh."""
    tone = (8_000 * np.sin(2 * np.pi * 440 * np.arange(16_000) / 16_000)).astype(np.int16)
    heard = log_mel(tone, mel_filters())
    assert heard.shape == (BANDS, PASSAGE_S * 100)
    assert int(heard[:, 50].argmax()) in (10, 11)
    assert heard[:, 50].max() > heard[:, 2_000].max() + 1.0  # what follows is silence
    assert heard.max() - heard.min() <= 2.0 + 1e-6  # eight powers of ten, a quarter each


def test_each_band_has_the_same_area() -> None:
    """In hertz, so that noise of one level is as loud in the wide ones."""
    areas = mel_filters().sum(axis=1) * 8_000 / 200
    assert np.allclose(areas[20:], 1.0, atol=0.1)


def test_tokens_become_text_byte_by_byte() -> None:
    """A blank is a sign of its own, a letter outside ASCII two, and what is no text is left out."""
    assert (
        text_of(["<|startoftranscript|>", "Ġtwelve", "Ġvolts", ",", "Ġ20", "ÂºC", "<|endoftext|>"])
        == "twelve volts, 20ºC"
    )
