"""Is a library of procedures fit to use? Every fault at once, with its place."""

from assistant.procedure.checks.library import check_library, check_texts

__all__ = ["check_library", "check_texts"]
