"""The ear for the starter of a live job."""

from __future__ import annotations

from assistant.adapters.layers_starter import starter_layers
from assistant.adapters.voice_silero import voice_detector
from assistant.session.conversation import Conversation
from assistant.session.starter import StarterEar, cylinders_of


def starter_ear(conversation: Conversation) -> StarterEar:
    """One that knows what the job knows of the car, and when a step waits for the starter."""

    return StarterEar(
        lambda: cylinders_of(conversation.state),
        starter_layers(),
        asked=lambda: conversation.awaits_burst,
        voice=voice_detector(),
    )
