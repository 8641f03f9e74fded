"""A fault model as one Bayesian network in arrays.

The hypothesis (none of these, one fault, two faults, one that is away at present, one that is left of two) is one
variable, axis 0. The few variables that others depend on are the core, one axis each. Everything else hangs below:
given hypothesis and core, the leaves are independent. So every posterior is a sum over hypothesis and core, which is
exact and short.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from assistant.reasoning.model import NONE_OF_THESE, Model, Priors, Row, Variable

Array = NDArray[np.float64]

MAX_CORE = 4096
"""Most combinations of core values: keeps an answer fast. Judgement."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Node:
    """One variable of the network.

    `parents`: core variables it depends on, beside the hypothesis. `table`: probabilities as they are told, shape
    (hypotheses, size of each parent or 1 along every core axis, values); sums to 1 along the last axis. `shown`: the
    same of what the car shows, before any of it is told wrong. `wrong`: share of results told wrong. `passing`: the
    value that tells that the fault is not there at present; empty where none does.
    """

    name: str
    values: tuple[str, ...]
    parents: tuple[str, ...]
    table: Array
    shown: Array
    wrong: float
    passing: str = ""

    def told(self, value: int) -> Array:
        """P(told as `value` | what the car shows), shape (…, values shown)."""
        other = self.wrong / max(1, len(self.values) - 1)
        right = np.arange(len(self.values)) == value
        return np.where(right, 1.0 - self.wrong, other)

    def again(self, first: int) -> Array:
        """As `table`, for a second look at what was told as value `first`: the car shows the same, it is told anew."""
        shown = self.shown * self.told(first)
        shown /= np.maximum(shown.sum(axis=-1, keepdims=True), np.finfo(np.float64).tiny)
        return as_told(shown, self.wrong)


def as_told(shown: Array, wrong: float) -> Array:
    """What is told, from the probabilities of what the car shows: a wrong answer is any other value alike."""
    others = max(1, shown.shape[-1] - 1)
    return np.asarray((1.0 - wrong) * shown + wrong * (1.0 - shown) / others)


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """The network. `hypotheses`: indexes of the faults of each, () first, then one, two, those `away`: one fault each
    that shows nothing at present, last those `left`: one fault each, which was covered by another until that was
    repaired, so that what was seen before is no first look at it. `prior`: shape (hypotheses,).

    `core`: names of the core variables, parents first; axis 1 + i of every table is core variable i.
    `core_given`: P(core | hypothesis); `joint`: prior joint of hypothesis and core, shape (hypotheses, core sizes …).
    `holds`: the two faults of each hypothesis, shape (2, hypotheses), the same twice where there is one; none of these
    counts as one more fault, the last. `alone`: variable -> P(value) before anything was seen, in the order of values;
    `beside`: the same by hypothesis, their prior joint, shape (hypotheses, values).
    """

    faults: tuple[str, ...]
    hypotheses: tuple[tuple[int, ...], ...]
    prior: Array
    core: tuple[str, ...]
    nodes: dict[str, Node]
    core_given: Array
    joint: Array
    holds: NDArray[np.int64]
    alone: Mapping[str, Array]
    beside: Mapping[str, Array]
    away: tuple[int, ...] = ()
    left: slice = field(default_factory=lambda: slice(0, 0))

    def once_more(self, name: str, first: str, *, anew: bool = False) -> Array:
        """Table of a second look at a test that was told as `first`. `anew`: a repair lies between, so that whatever it
        had covered is seen for the first time. Raises ValueError for a value that the test lacks."""
        node = self.nodes[name]
        table = node.again(node.values.index(first))
        if anew:
            table[self.left] = node.table[self.left]
        return table


def compile_network(model: Model) -> Network:
    """The network of a checked model."""
    hypotheses, prior = _hypotheses(model)
    core = _core(model)
    pairs = np.array([pair for pair in hypotheses if len(pair) == 2], dtype=np.int64).reshape(-1, 2)
    left = len(model.faults) if len(pairs) else 0
    fault_index = {fault.id: number + 1 for number, fault in enumerate(model.faults)} | {NONE_OF_THESE: 0}
    nodes = {
        variable.id: _node(
            variable, core, fault_index, pairs, away=_away(model), left=left, wrong=_wrong(model, variable)
        )
        for variable in model.variables
    }
    given = np.ones((len(prior), *(len(variable.values) for variable in core)))
    for axis, variable in enumerate(core, start=1):
        # The own axis of a core table has size 1: its values move there.
        given *= np.swapaxes(nodes[variable.id].table, axis, -1)[..., 0]
    joint = given * prior.reshape((-1,) + (1,) * len(core))
    names = tuple(variable.id for variable in core)
    beside = {name: joint_of(names, joint, node) for name, node in nodes.items()}
    return Network(
        faults=tuple(fault.id for fault in model.faults),
        hypotheses=hypotheses,
        prior=prior,
        core=names,
        nodes=nodes,
        core_given=given,
        joint=joint,
        holds=_holds(hypotheses, len(model.faults)),
        alone={name: each.sum(axis=0) for name, each in beside.items()},
        beside=beside,
        away=_away(model),
        left=slice(len(prior) - left, len(prior)),
    )


def joint_of(core: Sequence[str], weights: Array, node: Node, table: Array | None = None) -> Array:
    """Joint of the hypothesis and a variable, shape (hypotheses, values), from a joint of hypothesis and core.

    `core`: names of the core variables in the order of its axes; `table`: in place of the variable's own.
    """
    wanted = (node.name,) if node.name in core else node.parents
    # What the variable does not look at is summed out first: that is the whole of the variable elimination.
    rest = tuple(1 + axis for axis, other in enumerate(core) if other not in wanted)
    weights = weights.sum(axis=rest, keepdims=True) if rest else weights
    if node.name in core:
        return weights.reshape(len(weights), len(node.values))
    given = node.table if table is None else table
    return np.asarray((weights[..., None] * given).reshape(len(weights), -1, len(node.values)).sum(axis=1))


def sum_by_fault(network: Network, values: Array) -> Array:
    """Sums over the hypotheses that hold each fault; a hypothesis of two faults counts in full for both.

    `values`: shape (hypotheses,) or (hypotheses, values); so is what returns, with faults + 1 rows, the last for none
    of these.
    """
    first, second = network.holds
    count = len(network.faults) + 1
    two = slice(count, network.left.start - len(network.away))
    return _sum_rows(first, values, count) + _sum_rows(second[two], values[two], count)


def split_by_fault(network: Network, values: Array) -> Array:
    """As `sum_by_fault`, but a hypothesis of two faults counts half for each: the fault to find first."""
    first, second = network.holds
    count = len(network.faults) + 1
    return 0.5 * (_sum_rows(first, values, count) + _sum_rows(second, values, count))


def _sum_rows(rows: NDArray[np.int64], values: Array, count: int) -> Array:
    if values.ndim == 1:
        return np.asarray(np.bincount(rows, weights=values, minlength=count), dtype=np.float64)
    return np.asarray((np.arange(count)[:, None] == rows).astype(np.float64) @ values)


def single_table(
    variable: Variable, parents: Sequence[Variable], fault_index: Mapping[str, int]
) -> tuple[Array, NDArray[np.int64]]:
    """The table of one variable under none of these and each single fault, and which row gave it.

    Returns probabilities, shape (1 + faults, sizes of the parents …, values), and the number of the row that applied,
    shape (1 + faults, sizes of the parents …); -1 for the default. The first row that fits wins.
    """
    sizes = tuple(len(parent.values) for parent in parents)
    shape = (len(fault_index), *sizes)
    which = np.full(shape, -1, dtype=np.int64)
    for number, row in reversed(list(enumerate(variable.rows))):
        which[_cells(row, parents, fault_index)] = number
    rows = np.array([*(row.likely for row in variable.rows), variable.default])
    return rows[which], which


def _cells(row: Row, parents: Sequence[Variable], fault_index: Mapping[str, int]) -> tuple[NDArray[np.int64], ...]:
    faults = [fault_index[name] for name in row.under] or list(range(len(fault_index)))
    choices = [
        [parent.index(value) for value in row.given[parent.id]]
        if parent.id in row.given
        else list(range(len(parent.values)))
        for parent in parents
    ]
    return np.ix_(faults, *choices)


def _hypotheses(model: Model) -> tuple[tuple[tuple[int, ...], ...], Array]:
    count = len(model.faults)
    settings = model.settings
    shares = np.array([fault.prior for fault in model.faults])
    pairs = tuple(combinations(range(count), 2))
    if settings.priors is Priors.SHARES:
        if settings.two_faults == 0.0 or not pairs:
            pairs = ()
        both = np.array([shares[i] * shares[j] for i, j in pairs])
        alone = 1.0 - (settings.two_faults if pairs else 0.0)
        weights = np.concatenate([[alone * settings.none_of_these], alone * shares, both])
        if pairs:
            weights[1 + count :] *= settings.two_faults / both.sum()
    else:
        odds = shares / (1.0 - shares)
        weights = np.concatenate([[1.0], odds, [odds[i] * odds[j] for i, j in pairs]])
    away = _away(model)
    shares_away = np.array([model.faults[number].comes_and_goes for number in away])
    gone = np.array([weights[1 + number] for number in away]) * shares_away
    weights[[1 + number for number in away]] -= gone
    singles = tuple((number,) for number in range(count))
    left = singles if pairs else ()
    hypotheses = ((), *singles, *pairs, *((number,) for number in away), *left)
    weights = np.concatenate([weights, gone, np.zeros(len(left))])
    return hypotheses, weights / weights.sum()


def _away(model: Model) -> tuple[int, ...]:
    return tuple(number for number, fault in enumerate(model.faults) if fault.comes_and_goes > 0.0)


def _core(model: Model) -> tuple[Variable, ...]:
    """Variables that others depend on, parents before children."""
    by_id = {variable.id: variable for variable in model.variables}
    wanted = {name for variable in model.variables for name in variable.depends}
    ordered: dict[str, Variable] = {}

    def visit(name: str) -> None:
        if name not in ordered:
            for parent in by_id[name].depends:
                visit(parent)
            ordered[name] = by_id[name]

    for variable in model.variables:
        if variable.id in wanted:
            visit(variable.id)
    return tuple(ordered.values())


def _node(
    variable: Variable,
    core: Sequence[Variable],
    fault_index: Mapping[str, int],
    pairs: NDArray[np.int64],
    *,
    away: tuple[int, ...],
    left: int,
    wrong: float,
) -> Node:
    parents = [known for known in core if known.id in variable.depends]
    single, which = single_table(variable, parents, fault_index)
    table = single
    if len(pairs):
        # A row that names faults speaks for them; rows and defaults without faults speak for nobody in particular.
        named = np.array([bool(row.under) for row in variable.rows] + [False])[which]
        both = _least(single, pairs) if variable.cures else _both(single, named, pairs)
        table = np.concatenate([single, both])
    if away:
        rows = [1 + number if variable.lasting else 0 for number in away]
        gone = np.broadcast_to(np.array(variable.away), single[rows].shape) if variable.away else single[rows]
        table = np.concatenate([table, gone])
    table = np.concatenate([table, single[1 : 1 + left]])
    shape = [1] * len(core)
    for axis, known in enumerate(core):
        if known in parents:
            shape[axis] = len(known.values)
    # One value after the other in memory: a finding reads one of them from end to end.
    shown = np.moveaxis(np.ascontiguousarray(np.moveaxis(table, -1, 0)).reshape((-1, len(table), *shape)), 0, -1)
    told = as_told(shown, wrong) if len(variable.values) > 1 else shown
    return Node(
        name=variable.id,
        values=tuple(value.id for value in variable.values),
        parents=tuple(parent.id for parent in parents),
        table=np.moveaxis(np.ascontiguousarray(np.moveaxis(told, -1, 0)), 0, -1),
        shown=shown,
        wrong=wrong,
        passing=variable.values[0].id if variable.away else "",
    )


def _both(single: Array, named: NDArray[np.bool_], pairs: NDArray[np.int64]) -> Array:
    """Tables under two faults: a fault that has a row of its own shows; where both have one, the worse value shows.

    The worse of two independent draws: their distribution functions multiply.
    """
    first, second = pairs[:, 0] + 1, pairs[:, 1] + 1
    below = np.cumsum(single, axis=-1)
    worse = np.diff(below[first] * below[second], axis=-1, prepend=0.0).clip(min=0.0)
    speaks_first, speaks_second = named[first][..., None], named[second][..., None]
    alone = np.where(speaks_second, single[second], single[first])
    return np.asarray(np.where(speaks_first & speaks_second, worse, alone))


def _least(single: Array, pairs: NDArray[np.int64]) -> Array:
    """Tables of a cure under two faults: the lesser of two independent draws, since both must be taken away."""
    beyond = single[..., ::-1].cumsum(axis=-1)
    both = beyond[pairs[:, 0] + 1] * beyond[pairs[:, 1] + 1]
    return np.asarray(np.diff(both, axis=-1, prepend=0.0).clip(min=0.0)[..., ::-1])


def _wrong(model: Model, variable: Variable) -> float:
    if variable.work is None or len(variable.values) < 2:
        return 0.0
    return model.settings.wrong_answers if variable.wrong is None else variable.wrong


def _holds(hypotheses: Sequence[tuple[int, ...]], faults: int) -> NDArray[np.int64]:
    ends = [(hypothesis[0], hypothesis[-1]) if hypothesis else (faults, faults) for hypothesis in hypotheses]
    return np.array(ends, dtype=np.int64).T.copy()
