"""The speech network's runtime is loaded through one door, which shuts its uploader first or refuses."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path

import pytest

from assistant import onnx_runtime
from assistant.errors import SetupError
from assistant.onnx_runtime import PROVED, SWITCH, load_onnxruntime
from tests.installed import ROOT, asked_for, default_install

IMPORTS = re.compile(rb"^\s*(import|from)\s+onnxruntime\b|import_module\(\s*['\"]onnxruntime", re.MULTILINE)


NATURAL_VOICE = "hibari-tts"
LOADS_NATURAL_VOICE = re.compile(r"^\s*(import|from)\s+hibari\b|import_module\(\s*['\"]hibari", re.MULTILINE)


def python(code: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """A fresh interpreter, since a library is loaded once for a whole process."""
    plain = {key: value for key, value in os.environ.items() if key != SWITCH} | {"PYTHONPATH": str(ROOT)}
    return subprocess.run(
        [sys.executable, "-c", code], env=plain | environment, capture_output=True, text=True, check=False
    )


def test_the_switch_is_set_when_the_library_loads() -> None:
    """Whatever the variable said before, even an express no."""
    code = (
        "import sys, os, importlib.abc\n"
        "class Watch(importlib.abc.MetaPathFinder):\n"
        "    def find_spec(self, name, path, target=None):\n"
        f"        if name == 'onnxruntime': print(os.environ.get('{SWITCH}'))\n"
        "sys.meta_path.insert(0, Watch())\n"
        "from assistant.onnx_runtime import load_onnxruntime\n"
        "load_onnxruntime()\n"
    )
    for before in ({}, {SWITCH: "0"}):
        assert python(code, **before).stdout == "1\n"


def test_a_library_that_somebody_else_loaded_is_refused() -> None:
    """It may send already, and setting the switch now would come too late."""
    code = (
        "import sys, types; sys.modules['onnxruntime'] = types.ModuleType('onnxruntime')\n"
        "from assistant.adapters.recogniser_embedded import make_embedded\n"
        "from assistant.errors import SetupError\n"
        "try: make_embedded()\n"
        "except SetupError as error: print(error)\n"
    )
    assert "before its uploader could be switched off" in python(code).stdout


def test_after_the_switch_anybody_may_load_it() -> None:
    """The command line sets the switch at its start, so a library of ours that loads the runtime by itself is safe."""
    code = (
        "import sys, types\n"
        "from assistant.onnx_runtime import forbid_sending, load_onnxruntime\n"
        "forbid_sending()\n"
        "sys.modules['onnxruntime'] = types.ModuleType('onnxruntime')\n"
        "print(load_onnxruntime().__name__)\n"
    )
    assert python(code).stdout == "onnxruntime\n"


@pytest.mark.parametrize("found", ["1.28.3", "1.33.0", "2.0.0"])
def test_a_version_that_was_not_proved_is_refused(found: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """In one sentence that says which to install."""
    monkeypatch.setattr("importlib.metadata.version", lambda _name: found)
    with pytest.raises(SetupError, match=rf"onnxruntime {found} .*'onnxruntime>=1.29,<1.33'"):
        load_onnxruntime()


def test_a_missing_library_is_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    """It names what to install."""

    def absent(_name: str) -> str:
        raise PackageNotFoundError

    monkeypatch.setattr("importlib.metadata.version", absent)
    with pytest.raises(SetupError, match="pip install onnxruntime"):
        load_onnxruntime()


def test_the_installation_asks_for_what_was_proved() -> None:
    """`pyproject.toml` and the door name the same versions."""
    (low, high) = PROVED
    (asked,) = [each for each in asked_for() if each.name == "onnxruntime"]
    assert str(asked.specifier) == f"<{high[0]}.{high[1] + 1},>={low[0]}.{low[1]}"


def test_no_library_of_the_default_install_loads_it_behind_our_back() -> None:
    """Looked for in the text of every installed file, so that an import inside a function counts too. The natural voice
    does, and only after the door was gone through."""
    found = []
    for name in default_install() - {"onnxruntime", NATURAL_VOICE}:
        for file in distribution(name).files or []:
            path = Path(str(file.locate()))
            if path.suffix == ".py" and path.is_file() and IMPORTS.search(path.read_bytes()):
                found.append(str(file))
    assert found == []


def test_the_natural_voice_is_loaded_after_the_door_only() -> None:
    """It is imported in one file, by name, below the call of the door."""
    texts = [path.read_text("utf-8") for path in Path(onnx_runtime.__file__).parent.rglob("*.py")]
    (text,) = [text for text in texts if LOADS_NATURAL_VOICE.search(text)]
    first = LOADS_NATURAL_VOICE.search(text)
    assert first is not None
    assert text.index("load_onnxruntime()") < first.start()
