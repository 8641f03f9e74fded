"""What hears: speech models and the recognisers made of them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from assistant.adapters.model_store.manifest import read_manifest
from assistant.adapters.model_store.store import ModelStore
from assistant.errors import SetupError
from assistant.hearing.correction import Correction
from assistant.ports import Recogniser
from assistant.wiring.folders import models_folder, shipped_folder
from assistant.wiring.library import trade_words


def model_store(given: Path | None = None) -> ModelStore:
    """The speech models in the models folder, by the manifest there, else by the shipped one. Raises SetupError."""
    folder = models_folder(given)
    own = folder / "manifest.json"
    return ModelStore(folder, read_manifest(own if own.is_file() else shipped_folder("models") / "manifest.json"))


def make_recogniser(
    engine: str = "auto", models: Path | None = None, own_voice: Callable[[], Sequence[Correction]] = tuple
) -> Recogniser:
    """The recogniser called `vosk` or `embedded`; `auto` is Vosk where its English model stands, else embedded.
    `own_voice`: gives one person's corrections for the latter.

    Raises SetupError when the machine lacks it.
    """
    vosk_model = model_store(models).first("vosk", "en") if engine != "embedded" else None
    if vosk_model is not None:
        from assistant.adapters.recogniser_vosk import VoskRecogniser  # loads Vosk's library

        return VoskRecogniser(vosk_model)
    if engine == "vosk":
        raise SetupError("No English Vosk model is here; run 'hoodside models fetch', or use --engine embedded.")
    from assistant.adapters.recogniser_embedded import make_embedded  # loads the network's runtime

    return make_embedded(trade=trade_words(), own_voice=own_voice())
