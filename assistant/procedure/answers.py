"""What else than its phrases gives a result: small grammars in procedure files, and the rules that recur in them.

A result's `answers` are one right-hand side in the JSpeech Grammar Format (W3C Note, 2000). The rules named here may
stand in them: `<yes>`, `<no>`, `<none>` and the like. Plain English of the trade, our own choice; no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache, lru_cache
from types import MappingProxyType

from assistant.grammar.jsgf import read_expansion
from assistant.grammar.model import Expansion, references

_RULES: Mapping[str, str] = MappingProxyType(
    {
        "yes": """
            (yes | yeah | yep | yup | yes sir | yeah sure | sure | sure thing | absolutely | definitely | correct
             | indeed | you bet | affirmative | of course | certainly | that's right | that's a yes)
            | [yes | yeah | yep | yup] (it | they | there | she | he | that | i | we) [sure]
              (is | are | does | do | did | has | have | was | were)
            | (it | she) sure (is | does | did)""",
        "no": """
            (no | nope | nah | negative | not at all | no way | no sir | afraid not | not really | no not at all
             | that's a no | that's a negative | i'm afraid not)
            | [no | nope | nah] (it | they | there | she | he | that | i | we)
              (isn't | aren't | doesn't | don't | didn't | hasn't | haven't | wasn't | weren't
               | is not | are not | does not | do not | did not | has not | have not | was not | ain't)""",
        "none": """
            none | nothing | none at all | nothing at all | not one | not a one | not any | not a thing | zero | zip
            | nada | none of them | not a single one | none whatsoever | nothing there | nothing whatsoever""",
        "all": """
            all | all of them | every one | every one of them | each one | each of them | the lot | the whole lot
            | everything""",
        "both": "both | both of them | the two of them | the pair",
        "same": """
            [about | just | exactly | still | it's | all] the same [as before | thing | as ever] | no change
            | no different | no difference | nothing changed | not changed | hasn't changed | didn't change
            | unchanged | makes no difference | made no difference | same as before | same thing | same story
            | same old""",
        "dont_know": """
            [i] (don't know | do not know | couldn't say | couldn't tell you | can't tell | cannot tell | can't say
             | couldn't tell | haven't a clue | can't be sure | don't have a clue | have no idea | wouldn't know)
            | no idea | not sure | [i'm] not sure | i dunno | [it's] hard to (say | tell) | beats me | who knows
            | no clue | unsure | i'm not certain | not certain | unknown | [i] can't really (tell | say)
            | your guess is as good as mine | haven't checked | not known""",
        "not_fitted": """
            not fitted [here | on this one | to this (car | one | engine)] | (haven't | hasn't) got one
            | [there] (isn't | is not) one [here | fitted]
            | [there's | there is] no such (thing | part | switch)
            | [it | this [car | one | engine]] (doesn't | does not)
              have (one | it | that | any) | [it | this [car | one | engine]] (hasn't | has not) got (one | it | any)
            | not on this (car | one | engine | model) | (doesn't | don't) have one | not equipped | none fitted
            | [this | it] has none | it's got none | there aren't any""",
        "cannot_see": """
            [i] (can't | cannot | couldn't) (see | find | reach | get at | get to | make out | spot)
              (it | them | that | one | a thing) [from here]
            | no access | out of reach | it's buried | it's hidden | no way to (see | reach | get at) (it | them)
            | too dark to (see | tell) | can't get (in there | my hands in there)""",
    }
)
"""Rules that any procedure may use, by the name in `<>`."""


@cache
def shared_rules() -> Mapping[str, Expansion]:
    """Each shared rule by its name."""
    return MappingProxyType({name: read_expansion(text, f"<{name}>") for name, text in _RULES.items()})


def tells_nothing(answers: str | None) -> bool:
    """Whether these further answers are those of who does not know, or that there is nothing of what is asked."""
    return any(rule in (answers or "") for rule in ("<dont_know>", "<none>"))


@lru_cache(maxsize=4096)
def answers_of(text: str) -> Expansion:
    """The grammar of a result's further answers. Raises ProcedureError where it is none."""
    return read_expansion(text, "answers")


def rules_for(parts: Mapping[str, Expansion]) -> dict[str, Expansion]:
    """The parts by their names, and every shared rule that they use."""
    rules = dict(parts)
    wanted = set().union(*map(references, parts.values())) if parts else set()
    return rules | {name: rule for name, rule in shared_rules().items() if name in wanted}
