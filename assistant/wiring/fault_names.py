"""What the faults of a fault model are called, for a report: read off its text.

To read a whole model and prove it fit to use takes a tenth of a second, which whoever prints would wait for each time.
"""

from __future__ import annotations

import re
from pathlib import Path

from assistant.errors import SetupError
from assistant.wiring.folders import shipped_folder

SUFFIX = ".faults.yaml"
_FAULTS = re.compile(r"^faults:\n(.*?)(?=^\w|\Z)", re.MULTILINE | re.DOTALL)
_NAMED = re.compile(r"""^  - \{?id: ([\w-]+)(?:, |\n    )say: (?:"([^"]*)"|'([^']*)'|([^,}\n"']+))""", re.MULTILINE)


def fault_names(procedure: str, file: str | None) -> dict[str, str]:
    """Fault id -> its name, of the model that belongs to a procedure; nothing where there is none to be read."""
    try:
        folder = Path(file).parent if file else shipped_folder("procedures")
        text = (folder / f"{procedure}{SUFFIX}").read_text(encoding="utf-8")
    except (OSError, ValueError, SetupError):
        return {}
    return names_in(text)


def names_in(text: str) -> dict[str, str]:
    """Fault id -> its name, of a model's text."""
    listed = _FAULTS.search(text)
    return {one[0]: (one[1] or one[2] or one[3]).strip() for one in _NAMED.findall(listed.group(1) if listed else "")}
