"""The only place that names concrete adapters: where things lie on this machine, and what a session is made of.

Each name is loaded when it is first used: a command that lists jobs needs no sound, and a typed session no recogniser.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from assistant.wiring.at_hand import procedures_at_hand
    from assistant.wiring.engines import make_recogniser, model_store
    from assistant.wiring.fault_models import can_lead, load_model, make_adviser, model_for
    from assistant.wiring.folders import (
        data_folder,
        find_procedure,
        models_folder,
        shipped_folder,
        shipped_procedures,
        utc_now,
    )
    from assistant.wiring.keys import install_key, is_signed, remembered
    from assistant.wiring.library import load_libraries, load_library, read_text
    from assistant.wiring.records import (
        check_clips,
        holds_records,
        look_into_journal,
        open_journal,
        seconds_away,
    )
    from assistant.wiring.sessions import Session, Wishes, open_session

__all__ = [
    "Session",
    "Wishes",
    "can_lead",
    "check_clips",
    "data_folder",
    "find_procedure",
    "holds_records",
    "install_key",
    "is_signed",
    "load_libraries",
    "load_library",
    "load_model",
    "look_into_journal",
    "make_adviser",
    "make_recogniser",
    "model_for",
    "model_store",
    "models_folder",
    "open_journal",
    "open_session",
    "procedures_at_hand",
    "read_text",
    "remembered",
    "seconds_away",
    "shipped_folder",
    "shipped_procedures",
    "utc_now",
]

_IN = {
    "at_hand": ("procedures_at_hand",),
    "engines": ("make_recogniser", "model_store"),
    "fault_models": ("can_lead", "load_model", "make_adviser", "model_for"),
    "folders": (
        "data_folder",
        "find_procedure",
        "models_folder",
        "shipped_folder",
        "shipped_procedures",
        "utc_now",
    ),
    "keys": ("install_key", "is_signed", "remembered"),
    "library": ("load_libraries", "load_library", "read_text"),
    "records": (
        "check_clips",
        "holds_records",
        "look_into_journal",
        "open_journal",
        "seconds_away",
    ),
    "sessions": ("Session", "Wishes", "open_session"),
}
_FILE_OF = {name: file for file, names in _IN.items() for name in names}


def __getattr__(name: str) -> Any:
    """The thing of that name, from its file. Raises AttributeError."""
    if name not in _FILE_OF:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_FILE_OF[name]}"), name)
