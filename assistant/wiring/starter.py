"""The ear for the starter of a live job."""

from __future__ import annotations

from importlib import import_module
from threading import Thread

from assistant.adapters.layers_starter import starter_layers
from assistant.adapters.voice_silero import voice_detector
from assistant.session.conversation import Conversation
from assistant.session.starter import StarterEar, cylinders_of


def begin_to_load() -> None:
    """Load, in the background, the arithmetic that only a burst needs: two thirds of a second that listening would
    begin later. A burst that comes sooner waits for it."""
    parts = ("scipy.fft", "scipy.interpolate", "scipy.signal")
    Thread(target=lambda: [import_module(each) for each in parts], name="starter-warming", daemon=True).start()


def starter_ear(conversation: Conversation) -> StarterEar:
    """One that knows what the job knows of the car, and when a step waits for the starter."""

    return StarterEar(
        lambda: cylinders_of(conversation.state),
        starter_layers(),
        asked=lambda: conversation.awaits_burst,
        voice=voice_detector(),
    )
