"""The rules of the house: who may import whom, what pure rooms may not do, and what every file carries."""

import ast
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PURE_ROOMS = (
    "cranking", "desk", "english", "grammar", "guide", "hearing", "language", "page", "procedure", "reasoning",
    "record", "simulation",
)  # fmt: skip
TOP_LEVEL = {"README.md", "DEVELOPERS.md", "pyproject.toml", "assistant", "procedures", "models", "tests"}

BANNED_CALLS = {
    "open", "input", "print", "exec", "eval", "breakpoint",
    "datetime.now", "datetime.utcnow", "datetime.today", "date.today", "time.time", "time.sleep", "time.monotonic",
    "time.perf_counter", "random.random", "random.choice", "os.environ", "os.getenv",
}  # fmt: skip
BANNED_METHODS = {"read_text", "write_text", "read_bytes", "write_bytes", "unlink", "mkdir", "rglob", "iterdir"}


def source_files():
    """Every Python file of the program."""
    return sorted((ROOT / "assistant").rglob("*.py"))


def test_rooms_import_as_the_house_says():
    """Layers, independence of adapters, forbidden modules: import-linter keeps every contract of pyproject.toml."""
    done = subprocess.run(
        [sys.executable, "-c", "from importlinter.cli import lint_imports; raise SystemExit(lint_imports())"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout[-3_000:]


def calls_of(tree):
    """Name and line of every call: `open`, `datetime.now`, `.read_text`."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            if isinstance(node.func, ast.Name):
                yield node.func.id, node.lineno
            elif isinstance(node.func, ast.Attribute):
                yield f".{node.func.attr}", node.lineno
                if isinstance(node.func.value, ast.Name):
                    yield f"{node.func.value.id}.{node.func.attr}", node.lineno


def banned_in(text):
    """The calls in this source that a pure room may not make."""
    banned = BANNED_CALLS | {f".{name}" for name in BANNED_METHODS}
    return [f"{line}: {name}" for name, line in calls_of(ast.parse(text)) if name in banned]


@pytest.mark.parametrize("room", PURE_ROOMS)
def test_pure_rooms_call_nothing_of_the_world(room):
    """No clock, disk or console call stands in a pure room; templates that a package carries are no disk of ours."""
    found = []
    for path in (ROOT / "assistant" / room).rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        found += [f"{path.name}:{each}" for each in banned_in(text) if "resources.files" not in text]
    assert found == []


def test_the_scan_finds_what_it_looks_for():
    """A scan that finds nothing anywhere would prove nothing."""
    assert banned_in("from datetime import datetime\nx = datetime.now()\nopen('x')\np.read_text()") == [
        "2: datetime.now",
        "3: open",
        "4: .read_text",
    ]


def test_every_file_and_every_test_says_what_it_is_for():
    """Each module of the program has a docstring, and each test says its behaviour."""
    silent = [str(path.relative_to(ROOT)) for path in source_files() if not _documented(path)]
    for path in sorted((ROOT / "tests").rglob("test_*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef) and node.name.startswith("test_") and not ast.get_docstring(node):
                silent.append(f"{path.relative_to(ROOT)}:{node.lineno} {node.name}")
    assert silent == []


def _documented(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return bool(ast.get_docstring(tree)) or not tree.body


def test_files_stay_short():
    """A file far above three hundred lines is two files."""
    long = {str(path.relative_to(ROOT)): len(path.read_text(encoding="utf-8").splitlines()) for path in source_files()}
    assert {name: lines for name, lines in long.items() if lines > 380} == {}


def tracked_files():
    """What the repository holds; outside a repository, what lies there."""
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=False)
    if listed.returncode == 0 and listed.stdout:
        return [ROOT / name for name in listed.stdout.decode().split("\0") if name]
    return [path for path in ROOT.rglob("*") if path.is_file() and not any(p.startswith(".") for p in path.parts)]


def test_the_top_level_stays_as_it_is():
    """Seven names, and hidden files beside them."""
    names = {path.relative_to(ROOT).parts[0] for path in tracked_files()}
    assert {name for name in names if not name.startswith(".")} <= TOP_LEVEL


def test_no_figure_is_handed_on_as_a_sleep():
    """No test sleeps: time is virtual, and waiting is for something."""
    found = []
    for path in sorted((ROOT / "tests").rglob("*.py")):
        if path.is_relative_to(ROOT / "tests" / "live"):
            continue  # sound devices keep real time
        found += [f"{path.name}:{line}" for name, line in calls_of(ast.parse(path.read_text())) if name == "time.sleep"]
    assert found == []


def test_ruff_is_content():
    """Lint and import order, as set in pyproject.toml."""
    done = subprocess.run(
        [sys.executable, "-m", "ruff", "check", "."], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout[-3_000:]


def test_every_lint_ignore_has_its_reason():
    """A `noqa` or `type: ignore` names its rule and says why."""
    bare = []
    for path in source_files():
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
            ignore = re.search(r"#\s*(noqa|type:\s*ignore)(.*)", line)
            if ignore and not re.search(r"\s[-#]\s*\S+", ignore[2]):
                bare.append(f"{path.relative_to(ROOT)}:{number}")
    assert bare == []
