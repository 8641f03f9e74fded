"""Learnt voices on disk: for their owner alone, of this version, whole or not at all."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import numpy as np
import pytest

from assistant.adapters.voice_profiles import VoiceProfiles
from assistant.errors import SetupError, UsageError
from assistant.hearing.correction import Correction


def corrections() -> list[Correction]:
    """For two ears of different width."""
    random = np.random.default_rng(1)
    return [
        Correction(weight=random.standard_normal((units, 40)).astype(np.float32), bias=np.ones(40, np.float32) * units)
        for units in (8, 12)
    ]


@pytest.fixture
def voices(tmp_path: Path) -> VoiceProfiles:
    """An empty folder that is not made yet."""
    return VoiceProfiles(tmp_path / "voices", "layers-a")


def test_what_is_kept_is_read_back_and_only_its_owner_may_read_it(voices: VoiceProfiles, tmp_path: Path) -> None:
    """But for rounding to 16 bits; the copy is as private."""
    voices.keep("Bay two", corrections())
    assert voices.names() == ("Bay two",)
    for mine, kept in zip(corrections(), voices.read("Bay two"), strict=True):
        np.testing.assert_allclose(mine.weight, kept.weight, rtol=1e-3)
        np.testing.assert_array_equal(mine.bias, kept.bias)
    voices.export("Bay two", tmp_path / "copy.npz")
    for path in (tmp_path / "voices" / "Bay two.npz", tmp_path / "copy.npz"):
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
    voices.forget("Bay two")
    assert voices.names() == ()


def test_the_voice_last_used_with_a_device_is_its_own(voices: VoiceProfiles) -> None:
    """Each device has one; a voice that is gone is nobody's."""
    voices.keep("a", corrections())
    voices.keep("b", corrections())
    assert voices.last_used("preferred") is None
    voices.note_used("a", "preferred")
    voices.note_used("b", "headset")
    assert (voices.last_used("preferred"), voices.last_used("headset")) == ("a", "b")
    voices.forget("a")
    assert voices.last_used("preferred") is None


def test_a_voice_of_another_version_says_so(voices: VoiceProfiles, tmp_path: Path) -> None:
    """It corrects other layers, so it would make hearing worse without a sign; nor is a torn file read."""
    voices.keep("a", corrections())
    with pytest.raises(SetupError, match="another version"):
        VoiceProfiles(tmp_path / "voices", "layers-b").read("a")
    path = tmp_path / "voices" / "a.npz"
    path.write_bytes(path.read_bytes()[:200])
    with pytest.raises(SetupError, match="learn it again"):
        voices.read("a")


@pytest.mark.parametrize("name", ["", "../a", "a/b", ".hidden", "a" * 41, "a\n"])
def test_a_name_is_no_path(voices: VoiceProfiles, name: str) -> None:
    """Nothing outside the folder is written or read."""
    for use in (lambda: voices.keep(name, corrections()), lambda: voices.read(name), lambda: voices.forget(name)):
        with pytest.raises(UsageError):
            use()


def test_a_full_disk_keeps_the_old_voice(voices: VoiceProfiles, monkeypatch: pytest.MonkeyPatch) -> None:
    """What was kept before is still there, nothing half written beside it."""
    voices.keep("a", corrections())
    before = voices.read("a")[1].bias

    def full(_fd: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(SetupError, match="No space left"):
        voices.keep("a", [Correction(weight=np.zeros((2, 40), np.float32), bias=np.zeros(40, np.float32))] * 2)
    np.testing.assert_array_equal(voices.read("a")[1].bias, before)
    assert voices.names() == ("a",)
