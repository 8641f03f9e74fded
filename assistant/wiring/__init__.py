"""The only place that names concrete adapters: where things lie on this machine, and what a session is made of."""

from assistant.wiring.engines import make_recogniser, model_store
from assistant.wiring.fault_models import load_model, make_adviser, model_for
from assistant.wiring.folders import (
    data_folder,
    find_procedure,
    models_folder,
    shipped_folder,
    shipped_procedures,
    utc_now,
)
from assistant.wiring.library import load_libraries, load_library, procedures_at_hand, read_text
from assistant.wiring.records import check_clips, confirmed_repairs, look_into_journal, open_journal, seconds_away
from assistant.wiring.sessions import Session, Wishes, open_session

__all__ = [
    "Session",
    "Wishes",
    "check_clips",
    "confirmed_repairs",
    "data_folder",
    "find_procedure",
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
    "seconds_away",
    "shipped_folder",
    "shipped_procedures",
    "utc_now",
]
