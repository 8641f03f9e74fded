"""What a simulation came to: one account of all procedures walked, and each fault in words and by place."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from assistant.guide import Library, advance
from assistant.language.model import TellTest
from assistant.procedure.fault import Fault, by_place
from assistant.procedure.flow import only_led
from assistant.procedure.model import Spot
from assistant.simulation.coverage import Coverage, results_of, steps_of
from assistant.simulation.graph import longest
from assistant.simulation.moves import Lead
from assistant.simulation.search import Found, Walked, search
from assistant.simulation.watch import Rule
from assistant.simulation.whole import walk_whole


@dataclass(frozen=True, slots=True, kw_only=True)
class Account:
    """One procedure walked as a job of its own, with all that it calls.

    `steps`, `results`: walked and written, of this procedure alone. `situations`: distinct ones; `moves`: between them.
    `paths`: to the end or to a situation walked before. `whole_jobs`: from the first word to the last, in one piece.
    `longest_min`: most minutes of work on a path; `longest_crank_s`: most seconds of cranking; a round counts once.
    `hazardous`, `cautions`, `rests`: hazardous steps begun, cautions acknowledged and starter rests, over all moves.
    `told`: tests told unasked, `inherited`: cars begun with what another job left, `aside`: moves that came of both.
    `led`: choices of a plan that leads, each block wherever it is asked, and `led_situations` that came of them.
    """

    procedure: str
    title: str
    steps: tuple[int, int]
    results: tuple[int, int]
    situations: int
    moves: int
    paths: int
    whole_jobs: int
    findings: int
    longest_min: float
    longest_crank_s: float
    rounds: int
    hazardous: int
    cautions: int
    rests: int
    told: int
    inherited: int
    aside: int
    led: int
    led_situations: int

    def plain(self) -> dict[str, Any]:
        """The account as JSON values."""
        return {
            "procedure": self.procedure,
            "title": self.title,
            "steps": {"walked": self.steps[0], "of": self.steps[1]},
            "results": {"walked": self.results[0], "of": self.results[1]},
            "situations": self.situations,
            "moves": self.moves,
            "paths": self.paths,
            "whole_jobs": self.whole_jobs,
            "findings": self.findings,
            "longest_min": round(self.longest_min, 1),
            "longest_crank_s": round(self.longest_crank_s, 1),
            "rounds": self.rounds,
            "hazardous_steps": self.hazardous,
            "cautions_acknowledged": self.cautions,
            "rests": self.rests,
            "tests_told": self.told,
            "cars_inherited": self.inherited,
            "moves_aside": self.aside,
            "blocks_led_to": self.led,
            "situations_led": self.led_situations,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """All procedures walked. `broken`: faults by the rule that they break; a rule with none was kept on every path."""

    accounts: tuple[Account, ...]
    broken: Mapping[Rule, tuple[Fault, ...]]

    @property
    def faults(self) -> tuple[Fault, ...]:
        """Every fault by place."""
        return tuple(sorted((fault for faults in self.broken.values() for fault in faults), key=by_place))

    @property
    def paths(self) -> int:
        """Paths of the searches and whole jobs together."""
        return sum(account.paths + account.whole_jobs for account in self.accounts)

    def share(self, what: str) -> tuple[int, int]:
        """Walked and written over all procedures; `what` is steps or results."""
        pairs = [getattr(account, what) for account in self.accounts]
        return sum(pair[0] for pair in pairs), sum(pair[1] for pair in pairs)

    def plain(self) -> dict[str, Any]:
        """The report as JSON values."""
        walked = {what: dict(zip(("walked", "of"), self.share(what), strict=True)) for what in ("steps", "results")}
        return walked | {
            "paths": self.paths,
            "dead_ends": len(self.broken[Rule.ENDS]),
            "longest_min": max((round(each.longest_min, 1) for each in self.accounts), default=0.0),
            "longest_crank_s": max((round(each.longest_crank_s, 1) for each in self.accounts), default=0.0),
            "kept": {rule.value: not self.broken[rule] for rule in Rule},
            "faults": [
                fault.plain() | {"rule": rule.value} for rule, faults in self.broken.items() for fault in faults
            ],
            "procedures": [account.plain() for account in self.accounts],
        }


def simulate(
    library: Library,
    roots: Sequence[str],
    *,
    whole_jobs: int = 0,
    seed: int = 1,
    lead: Lead = advance,
    told: Mapping[str, Sequence[TellTest]] | None = None,
    blocks: Mapping[str, Sequence[str]] | None = None,
) -> Report:
    """Walk each of these procedures as a job of its own. Every one of their steps and results must be walked in some.

    `whole_jobs`: of each procedure, led in one piece beside the search. `seed` draws them. `lead`: the guide's answers.
    `told`: root -> tests that may be told unasked in its jobs. `blocks`: root -> where a plan may go on in them; such a
    job is walked once more, led from block to block.
    """
    coverage = Coverage(library)
    walks: list[tuple[Walked, Walked | None]] = []
    found: list[Found] = []
    for root in roots:
        walked = search(library, root, coverage, lead, told=(told or {}).get(root, ()))
        found += walked.found
        found += walk_whole(walked, whole_jobs, coverage, seed, lead).found
        due = (blocks or {}).get(root, ())
        tests = (told or {}).get(root, ())
        led = None
        if due:
            by_plan = Coverage(library)
            led = search(library, root, by_plan, lead, told=tests, blocks=due)
            coverage.take(by_plan, _only_led(library, root))
            found += led.found
        walks.append((walked, led))
    broken: dict[Rule, dict[tuple[str, str], Fault]] = {rule: {} for rule in Rule}
    for each in found:
        wrong = each.wrong
        broken[wrong.rule].setdefault((wrong.procedure, wrong.step), _fault(library, each))
    faults = {rule: tuple(sorted(kept.values(), key=by_place)) for rule, kept in broken.items()}
    faults[Rule.COVERED] += tuple(_not_walked(library, roots, coverage))
    return Report(accounts=tuple(_account(library, *each, coverage, whole_jobs) for each in walks), broken=faults)


def _only_led(library: Library, root: str) -> set[tuple[str, str]]:
    """The steps that nothing but a plan leads to: only a led walk can cover them."""
    return {(root, step) for step in only_led(library[root])}


def _account(library: Library, walked: Walked, led: Walked | None, coverage: Coverage, whole_jobs: int) -> Account:
    root = walked.root
    far = longest(walked.graph)
    return Account(
        procedure=root,
        title=library[root].title,
        steps=_share(steps_of(library, [root]), coverage.steps),
        results=_share(results_of(library, [root]), coverage.results),
        situations=walked.graph.size,
        moves=len(walked.graph.moves),
        paths=walked.paths,
        whole_jobs=whole_jobs,
        findings=len(walked.findings),
        longest_min=far.minutes,
        longest_crank_s=far.crank_s,
        rounds=far.rounds,
        hazardous=walked.hazardous,
        cautions=walked.cautions,
        rests=walked.rests,
        told=walked.told + (led.told if led else 0),
        inherited=walked.inherited + (led.inherited if led else 0),
        aside=len(walked.graph.aside) + (len(led.graph.aside) if led else 0),
        led=led.led if led else 0,
        led_situations=led.graph.size if led else 0,
    )


def _share(written: Sequence[object], walked: Iterable[object]) -> tuple[int, int]:
    return len(set(written) & set(walked)), len(written)


def _fault(library: Library, found: Found) -> Fault:
    wrong, told = found.wrong, found.way.told()
    return _at(library, wrong.procedure, wrong.step, f"{wrong.message}{f' ({told})' if told else ''}")


def _not_walked(library: Library, roots: Sequence[str], coverage: Coverage) -> Iterator[Fault]:
    steps = coverage.missing_steps(roots)
    for procedure, step in steps:
        message = "found no path that works on this step, whatever is answered; do lead to it or delete it"
        yield _at(library, procedure, step, message)
    for procedure, step, answer in coverage.missing_results(roots):
        if (procedure, step) not in steps:
            message = f"found no path on which the result '{answer}' is given; do make it possible or delete it"
            yield _at(library, procedure, step, message)


def _at(library: Library, procedure_id: str, step_id: str, message: str) -> Fault:
    procedure = library[procedure_id]
    spot = next((step.spot for step in procedure.steps if step.id == step_id), Spot(line=1, column=1))
    return Fault(path=procedure.path, line=spot.line, column=spot.column, step=step_id or None, message=message)
