"""The embedded recogniser: hears English with nothing but wheels."""

from assistant.adapters.recogniser_embedded.files import find_network
from assistant.adapters.recogniser_embedded.make import make_embedded
from assistant.adapters.recogniser_embedded.recogniser import EmbeddedRecogniser

__all__ = ["EmbeddedRecogniser", "find_network", "make_embedded"]
