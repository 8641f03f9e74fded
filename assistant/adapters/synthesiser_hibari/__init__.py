"""The natural voice: words to samples with the network inside the wheel hibari-tts."""

from assistant.adapters.synthesiser_hibari.synthesiser import OWN_WPM, HibariSynthesiser

__all__ = ["OWN_WPM", "HibariSynthesiser"]
