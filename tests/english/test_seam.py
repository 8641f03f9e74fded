"""What the guide says stands in the room of English alone, so that a second language is a second such room."""

import ast
import re
from pathlib import Path

import pytest

from assistant.english import bursts, lists, live, prompts, reasoned, sayings

ASSISTANT = Path(__file__).parents[2] / "assistant"
ROOMS = ("guide", "hearing", "session")
"""Rooms that hold no English; the others still do."""

SPEAKING = {
    "language": ("understand.py",),
    "reasoning": ("answers.py", "findings.py", "plan_words.py", "standing.py"),
}
"""Files of rooms whose other English is told to authors of files alone."""

LEARNT = {"stop_ear.py", "stop_trust.py"}
"""An ear for five English words: another language has an ear and weights of its own."""

WRITTEN_FOR_AUTHORS = {"trace.py", "world.py"}
"""What was understood, as a file tells it, and the lines that stand for the world in a typed session: no talk."""

FOR_PROGRAMS = {"no speech", "too loud"}
"""Words of `devices --check --json`, which programs read: they stay what they were."""

ENGLISH = re.compile(r"[A-Za-z']{2,},? [A-Za-z']+|^[A-Z][a-z]+[.:?!]|[a-z] *[.?!] *$")
"""Two words, or a sentence."""


def said_in(text):
    """The lines of a source that hold English; what an error tells whoever keeps the files is not said aloud."""
    tree = ast.parse(text)
    silent = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Raise) and isinstance(node.exc, ast.Call) and ast.unparse(node.exc.func) != "Refused":
            silent |= {id(each) for argument in node.exc.args for each in ast.walk(argument)}
    texts = (node for node in ast.walk(tree) if isinstance(node, ast.Constant) and isinstance(node.value, str))
    said = (node for node in texts if id(node) not in silent and node.value not in FOR_PROGRAMS)
    return sorted(node.lineno for node in said if ENGLISH.search(node.value))


@pytest.mark.parametrize("room", ROOMS)
def test_no_english_stands_outside_its_room(room):
    """Neither sentences nor the words by which a question is answered."""
    left_out = LEARNT | WRITTEN_FOR_AUTHORS
    sources = {path.name: path.read_text() for path in (ASSISTANT / room).glob("*.py") if path.name not in left_out}
    assert {name: lines for name, text in sources.items() if (lines := said_in(text))} == {}


@pytest.mark.parametrize(("room", "name"), [(room, name) for room, names in SPEAKING.items() for name in names])
def test_no_english_stands_where_a_room_speaks(room, name):
    """What is spoken or shown to a technician, of rooms that tell authors things besides."""
    assert said_in((ASSISTANT / room / name).read_text()) == []


def test_the_scan_finds_what_it_looks_for():
    """Sentences, pieces of them and phrases; not names, identifiers, docstrings, nor what an author is told."""
    lines = [
        '"""Two words."""',
        "x = 'no-start'",
        "x = f'{n} left.'",
        "x = 'Stopped.'",
        "x = 'out of reach'",
        "x = 'asking'",
        "raise Refused('Not now.')",
        "raise LookupError(f'there is no {x}')",
        "raise RecordError('No.', spoken='I stop.')",
    ]
    assert said_in("\n".join(lines)) == [3, 4, 5, 7, 9]


def test_english_imports_no_room_but_itself():
    """Whoever writes another language needs nothing else to know."""
    for path in (ASSISTANT / "english").glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("assistant"):
                assert node.module.startswith("assistant.english")


@pytest.mark.parametrize(
    ("said", "words"),
    [
        (lists.say_list(("a",)), "a"),
        (lists.say_list(("a", "b", "c"), last="or"), "a, b or c"),
        (prompts.put_right("duct", may_stay=True), "The duct: say it is put right, or left off."),
        (prompts.put_right("duct", may_stay=False), "The duct: say it is put right."),
        (prompts.strike("it", moves=True), "Strike it, and go back to it? Yes or no."),
        (prompts.strike("it", moves=False), "Strike it? Yes or no."),
        (prompts.are_still("doors", "open"), "Doors still open?"),
        (sayings.settled("duct", back=True), "Noted: duct, put right."),
        (sayings.settled("duct", back=False), "Noted: duct, left off."),
        (sayings.to_put_right(()), ""),
        (sayings.stays_with_car(()), ""),
        (sayings.as_far_as_known(()), ""),
        (sayings.from_earlier_job("van", (), ("duct",))[1], "Off the car, or added to it: duct."),
        (" ".join(sayings.from_earlier_job("", ("a leak",), ())), "From there, as far as I know: a leak."),
        (sayings.finding("it is dry", "Likely"), "The finding, likely. It is dry."),
        (sayings.finding("it is dry", ""), "The finding. It is dry."),
        (sayings.for_customer("fuel", "Likely"), "For the customer: Likely. Fuel."),
        (sayings.below_line(()), "You decide."),
        (sayings.level(("two", "six"), "1 bar", every=False), "Level fails: cylinders two and six below 1 bar."),
        (sayings.level(("two",), "six bar", every=False), "Level fails: cylinder two below six bar."),
        (sayings.level(("two",), "six bar", every=True), "Level fails: every one is below six bar."),
        (sayings.left("two minutes"), "Two minutes left."),
        (live.job_of_a_day("no start", 11, "the ninth"), "the no start job of November the ninth"),
        (live.job_by_name("my van"), "my van"),
        (live.job_by_name("grey van"), "the grey van"),
        (
            reasoned.test_to_tell("spark", "a minute", ("a", "b"), going_on=True),
            "Go on with the spark, a minute, to tell a from b.",
        ),
        (
            reasoned.test_before("spark", "a minute", "coil", going_on=False),
            "Next the spark, a minute, before the coil.",
        ),
        (bursts.burst(("two seconds", bursts.NOT_CAUGHT)), "Two seconds, did not catch."),
    ],
)
def test_what_is_said_changes_with_what_is_so(said, words):
    """Ends, plurals and what is left out where nothing is."""
    assert said == words
