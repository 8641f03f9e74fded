"""Things said put into shop noise anew each time they are learnt from, on the graphics processor where there is one."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.hearing.sound import HIGH_PASS_HZ, LEVEL, SHORTEST
from assistant.ports import SAMPLE_RATE_HZ
from assistant.training.phone_sounds import LEAD, SNRS_DB, TAIL

Pcm = NDArray[np.int16]
Floats = NDArray[np.float32]


class Shop:
    """Stretches of noise that anything said is put into."""

    def __init__(self, noises: Sequence[Floats], torch: Any, device: Any) -> None:
        """`noises`: all of one length, of mean power 1."""
        self.torch, self._device = torch, device
        self._noises = torch.from_numpy(np.stack(noises)).to(device)

    def __call__(self, said: Sequence[Pcm], random: np.random.Generator) -> tuple[Any, Any]:
        """What is said, each in some noise, as the network gets it: (rows, samples), and how many each has.

        As `bench.noises.mixed` and `hearing.sound.cleaned` do it for one alone; what holds no sound is noise alone.
        """
        torch = self.torch
        leads = random.integers(*LEAD, len(said))
        lengths = np.array([len(each) for each in said])
        wholes = np.maximum(leads + lengths + random.integers(*TAIL, len(said)), SHORTEST)
        speech = np.zeros((len(said), int(wholes.max())), np.int16)
        for row, (each, lead) in enumerate(zip(said, leads, strict=True)):
            speech[row, lead : lead + len(each)] = each
        voice = torch.from_numpy(speech).to(self._device).float()
        leads_at, ends_at, frames = (
            torch.from_numpy(np.asarray(each)).to(self._device) for each in (leads, leads + lengths, wholes)
        )
        place = torch.arange(voice.shape[1], device=self._device)[None]
        spoken = (place >= leads_at[:, None]) & (place < ends_at[:, None])
        noise = self._some(len(said), voice.shape[1], random)
        below = 10 ** (torch.from_numpy(random.choice(SNRS_DB, len(said))).to(self._device).float() / 20)
        loud = _loudness(voice, spoken, torch)
        voice = voice / loud.clamp(min=1e-3)[:, None]
        mixed = voice + noise / (below * _loudness(noise, spoken, torch).clamp(min=1e-3))[:, None]
        there = place < frames[:, None]
        return _cleaned(mixed * there, there, frames, torch), frames

    def _some(self, rows: int, samples: int, random: np.random.Generator) -> Any:
        stretch = self._noises.shape[1]
        which = self.torch.from_numpy(random.integers(len(self._noises), size=rows)).to(self._device)
        begins = self.torch.from_numpy(random.integers(stretch, size=rows)).to(self._device)
        places = (begins[:, None] + self.torch.arange(samples, device=self._device)[None]) % stretch
        return self._noises[which[:, None], places]


def _loudness(sound: Any, where: Any, torch: Any) -> Any:
    """Root mean square where it counts."""
    return torch.sqrt(((sound**2) * where).sum(1) / where.sum(1).clamp(min=1))


def _cleaned(sound: Any, there: Any, frames: Any, torch: Any) -> Any:
    hz = torch.fft.rfftfreq(sound.shape[1], 1 / SAMPLE_RATE_HZ).to(sound.device)
    gain = hz**2 / torch.sqrt(hz**4 + HIGH_PASS_HZ**4)
    found = torch.fft.irfft(torch.fft.rfft(sound) * gain, sound.shape[1]) * there
    level = torch.sqrt((found**2).sum(1) / frames)
    return (found * (LEVEL / level.clamp(min=1e-5))[:, None]).clamp(-1.0, 1.0)
