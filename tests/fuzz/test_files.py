"""Procedures, fault models and grammars by an odd author: faults with their places, never anything else."""

from __future__ import annotations

from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from assistant.errors import ProcedureError
from assistant.grammar.automaton import automaton_of
from assistant.grammar.jsgf import read_expansion, read_jsgf
from assistant.language.commands import command_phrases, phrases_beside_answers
from assistant.procedure.checks import check_texts
from assistant.procedure.reader import read_procedure
from assistant.reasoning.reader import check_model_text
from tests.fuzz.odd import MOST_CPU_S, bounded, cases, odd_texts

ROOT = Path(__file__).parents[2]
COMMANDS, BESIDE = command_phrases(), phrases_beside_answers()
SMALL = ("boost-off", "boost-battery", "vapour-cleared", "vacuum-cranking", "spark-check")
PROCEDURES = tuple((ROOT / f"procedures/{name}.yaml").read_text(encoding="utf-8") for name in SMALL)
MODELS = tuple(path.read_text(encoding="utf-8") for path in (ROOT / "tests/outside/fault_models").glob("*.faults.yaml"))
GRAMMARS = (
    "#JSGF V1.0;\ngrammar starter;\npublic <said> = [the] lamp (went | is) out {out} | <no> {no};\n"
    "<no> = no | nope*;\n",
    "#JSGF V1.0 UTF-8 en;\ngrammar a.b;\nimport <c.*>;\n"
    '/** doc */ public <x> = /2/ "twelve point" <n>+ | /1.5/ <NULL>;\n'
    "<n> = one | two [<n>];\n",
    "grammar g; public <a> = <b> | <c>; <b> = (x | y)* z; <c> = <VOID> | <GARBAGE>;",
)
EXPANSIONS = ("[the] lamp (went | is) out | <no>", '(a | "b c") {tag}* [/0.2/ d+]', "<yes> | it (did | has) <x>")


@cases(100)
@given(odd_texts(PROCEDURES))
def test_a_procedure_is_read(text: str) -> None:
    """Whole, or with faults: each has a place in the text and a sentence."""
    with bounded():
        loaded = read_procedure("odd.yaml", text)
    assert loaded.procedure is not None or loaded.faults
    assert all(fault.line >= 1 and fault.column >= 1 and fault.message.strip() for fault in loaded.faults)


@cases(4, share=0.05)
@given(odd_texts(PROCEDURES[:4]))
def test_a_procedure_is_checked(text: str) -> None:
    """The same for the checks, which look at whole grammars and ways."""
    with bounded(3 * MOST_CPU_S):  # two steps of one procedure are compared sound by sound
        found = check_texts({"odd.yaml": text}, COMMANDS, beside_answers=BESIDE)
    assert all(fault.line >= 1 and fault.column >= 1 and fault.message.strip() for fault in found)


@cases(60)
@given(odd_texts(MODELS))
def test_a_fault_model(text: str) -> None:
    """The same for fault models."""
    with bounded():
        found = check_model_text("odd.faults.yaml", text)
    assert all(fault.line >= 1 and fault.message.strip() for fault in found)


@cases(100)
@given(odd_texts(GRAMMARS))
def test_a_grammar_file(text: str) -> None:
    """A grammar is read and made an automaton, or refused in words with its place."""
    with bounded():
        try:
            automaton = automaton_of(read_jsgf(text, "odd.jsgf"))
        except ProcedureError as refused:
            assert "odd.jsgf" in str(refused) or "grammar" in str(refused)
        else:
            automaton.vocabulary()


@cases(100)
@given(odd_texts(EXPANSIONS))
def test_an_answer_of_a_procedure(text: str) -> None:
    """One right-hand side."""
    with bounded():
        try:
            read_expansion(text, "odd")
        except ProcedureError as refused:
            assert str(refused)


@cases(30, share=0.1)
@given(st.integers(1, 6), st.integers(1, 2_000), st.sampled_from(("[", "{a: ", "- ", "(", "? ")))
def test_depth_and_aliases_are_bounded(aliases: int, depth: int, sign: str) -> None:
    """No bomb of aliases is built, and no nesting fills the stack."""
    bomb = "a: &a [x]\n" + "".join(f"b{n}: &b{n} [{'*a, ' * 20}*a]\n" for n in range(aliases))
    for text in (bomb, "id: " + sign * depth):
        with bounded():
            assert read_procedure("odd.yaml", text).procedure is None or read_procedure("odd.yaml", text).faults
    with bounded():
        try:
            read_jsgf(f"grammar g; public <a> = {sign * depth} x;", "odd")
        except ProcedureError as refused:
            assert str(refused)
