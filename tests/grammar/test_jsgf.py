"""The reader of the JSpeech Grammar Format."""

from __future__ import annotations

import pytest

from assistant.errors import ProcedureError
from assistant.grammar.automaton import automaton_of
from assistant.grammar.jsgf import read_jsgf
from assistant.grammar.model import untagged


def accepts(text: str, words: str) -> bool:
    return automaton_of(read_jsgf(text)).accepts(words.split())


@pytest.mark.parametrize(
    ("body", "said", "refused"),
    [
        ("a | b c", ["a", "b c"], ["", "b", "a b c"]),
        ("[a] b", ["b", "a b"], ["a"]),
        ("(a | b) c", ["a c", "b c"], ["c", "a"]),
        ("a* b", ["b", "a a a b"], ["a"]),
        ("a+ b", ["a b", "a a b"], ["b"]),
        ("[a]* b", ["b", "a b"], ["c"]),
        ("/10/ a | /2.5e-1/ b | /0/ c", ["a", "b", "c"], ["10"]),
        ("a <NULL> b", ["a b"], ["a"]),
        ("a | b <VOID>", ["a"], ["b"]),
        ('"New York" | "say \\"hi\\""', ["new york", 'say "hi"'], ["new"]),
        ("A Big Engine", ["a big engine"], ["A Big Engine"]),
        ("prüfen | 점화", ["prüfen", "점화"], ["prufen"]),
        ("a {one} b {two}", ["a b"], ["a"]),
        ("a /* inside */ b // to the end of the line\n c", ["a b c"], ["a b"]),
        ("don't | twenty-one", ["don't", "twenty-one"], ["dont"]),
    ],
)
def test_each_form_of_the_note_means_what_the_note_says(body: str, said: list[str], refused: list[str]) -> None:
    """Alternatives, groups, repeats, weights, special rules, quotes, tags and comments accept and refuse as written."""
    text = f"#JSGF V1.0 UTF-8 en;\ngrammar test;\npublic <x> = {body};"
    assert [words for words in said if not accepts(text, words)] == []
    assert [words for words in refused if accepts(text, words)] == []


def test_header_and_name_may_be_left_out_and_a_comment_may_end_the_file() -> None:
    """A bare rule reads, even behind a byte-order mark and before a comment with no newline."""
    assert accepts("\ufeffpublic <x> = go; // the end", "go")
    assert accepts("public <x> = go; /* the end */", "go")


def test_right_recursion_repeats() -> None:
    """A rule that refers to itself at its end is a repetition without bound, also through another rule."""
    text = "public <x> = go <y> | stop; <y> = on <x> | now <x>;"
    assert accepts(text, "go on go now stop")
    assert accepts(text, " ".join(["go on"] * 2000) + " stop")
    assert not accepts(text, "go on go")


def test_thousands_of_flat_alternatives_and_a_long_chain_of_rules_read() -> None:
    """Size alone never fails: 3,000 alternatives and 3,000 rules in a row."""
    assert accepts("public <x> = " + " | ".join(f"w{i} v{i}" for i in range(3000)) + ";", "w2999 v2999")
    chain = "public <r0> = <r1>;" + "".join(f"<r{i}> = a{i} <r{i + 1}>;" for i in range(1, 3000)) + "<r3000> = end;"
    assert accepts(chain, " ".join(f"a{i}" for i in range(1, 3000)) + " end")


def test_the_language_is_never_enumerated() -> None:
    """A grammar of 10 to the 30 sentences is read and asked at once."""
    digit = "<d> = " + " | ".join(f"digit{i}" for i in range(10)) + ";"
    text = digit + "public <x> = " + "<d> " * 30 + ";"
    assert accepts(text, "digit9 " * 30)
    assert not accepts(text, "digit9 " * 31)


def test_tags_come_in_order_of_speech() -> None:
    """Tags of the way taken, escapes undone; none of the ways not taken."""
    text = r"public <x> = (set {set} | clear {clear}) <n>+ {n\}s}; <n> = one {1} | two {2};"
    assert automaton_of(read_jsgf(text)).tags(["set", "two", "one"]) == ("set", "n}s", "2", "1")
    assert automaton_of(read_jsgf(text)).tags(["set"]) is None


def test_several_public_rules_and_own_names_of_rules() -> None:
    """Each public rule may begin a sentence; a reference may carry the grammar's own name."""
    text = "grammar shop.orders; import <shop.orders.*>; public <a> = <shop.orders.n> up;"
    text += "public <b> = <orders.n> down; <n> = one;"
    grammar = read_jsgf(text)
    assert grammar.starts == ("a", "b")
    assert automaton_of(grammar).accepts(["one", "down"])


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("public <a> = b", "g:1:8 rule <a> has no ';' at its end"),
        ("public <a> = (b;", "g:1:14 '(' is never closed by ')'"),
        ("public <a> = [b);", "g:1:16 ')' closes nothing"),
        ("public <a> = b | ;", "g:1:18 an alternative is empty; write words, or <NULL> for nothing"),
        ("public <a> =\n  x <b>;", "g:2:5 rule <b> is not defined"),
        ("public <a> = b; <a> = c;", "g:1:17 rule <a> is defined twice; first at line 1"),
        ("public <a> = <a> x | y;", "g:1:14 rule <a> comes back through <a> other than at its end; recurse at the end"),
        ("import <x.y>; public <a> = b;", "g:1:8 <x.y> stands in another file; put its rules into this one"),
        ("<a> = b;", "g: no public rule, so nothing may be said; write 'public' before one"),
        ("", "g: no rule; expected 'public <NAME> = …;'"),
        ('public <a> = "b;', "g:1:14 a quoted token has no closing '\"' on its line"),
        ("public <a> = b {t;", "g:1:16 a tag has no closing '}'"),
        ("public <a> = b /x/;", "g:1:16 a weight is written /10/ and a comment // or /* */; this is neither"),
        ("public <a> = * b;", "g:1:14 '*' follows nothing"),
        ("public <NULL> = b;", "g:1:8 <NULL> has a fixed meaning and cannot be defined"),
        ("hello", "g:1:1 found 'hello'; expected 'grammar NAME;', 'import <RULE>;' or '[public] <RULE> = …;'"),
        ("public <a> = " + "(" * 300 + "b" + ")" * 300 + ";", "g:1:113 groups are nested deeper than 100"),
    ],
)
def test_each_fault_says_where_and_what(text: str, message: str) -> None:
    """A broken grammar gives one sentence with line and column."""
    with pytest.raises(ProcedureError) as caught:
        read_jsgf(text, "g")
    assert str(caught.value) == message


def test_a_grammar_without_its_tags_says_the_same_words() -> None:
    """Wherever tags stood: in sequences, choices, groups and repeats."""
    grammar = read_jsgf("public <x> = (set {s} | [get] {g}) (<n> {n})+ {all}; <n> = one {1} | two {2};")
    plain = automaton_of(untagged(grammar))
    for words in (["set", "one"], ["get", "two", "one"], ["one"]):
        assert plain.tags(words) == ()
    assert not plain.accepts(["set"])
