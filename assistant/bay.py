"""The state of car and bay, folded from the facts alone: no procedure need be at hand to know what was left behind.

A fact says in `makes` what it made so, or undid, in the words of `procedure.condition`. Each thing that is so keeps the
fact that made it, so that a struck one takes nothing with it that another fact says too.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from assistant.facts import ActionBegun, Fact, FactKind, ItemLeftOff, ItemRefitted, ItemRemoved, Resumed, Struck
from assistant.procedure.condition import AT_FIRST, CHANGING, ITEMS, SPRAYED, UNDOES, Condition
from assistant.procedure.model import Action

STRIKABLE = frozenset({FactKind.RESULT_LOGGED, FactKind.READING_LOGGED, FactKind.TEST_TOLD})


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """Something that is so. `at_s`: since when, in this job; None: not known. `fact`: the id of what made it so."""

    condition: Condition
    at_s: float | None = None
    fact: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Off:
    """A thing that is off the car, or added to it. `left`: it was said that it stays so."""

    item: str
    fact: str = ""
    left: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Bay:
    """Car and bay. What nobody has said yet counts as so where that is the safe side."""

    marks: tuple[Mark, ...] = tuple(Mark(condition=each) for each in sorted(AT_FIRST))
    off: tuple[Off, ...] = ()

    @property
    def conditions(self) -> frozenset[Condition]:
        """All that is so."""
        return frozenset(mark.condition for mark in self.marks)

    @property
    def open_items(self) -> tuple[str, ...]:
        """What is to be put right before the job ends."""
        return tuple(each.item for each in self.off if not each.left)

    def since_s(self, condition: Condition) -> float | None:
        """Since when it is so at the latest, in seconds of the job; None where it is not so, or that is not known."""
        times = [mark.at_s for mark in self.marks if mark.condition is condition and mark.at_s is not None]
        return max(times, default=None)


SAID: Mapping[Condition, str] = {
    Condition.KEY_ON: "key on",
    Condition.LEAK: "a fuel leak",
    Condition.WRONG_FUEL: "the wrong fuel",
    Condition.LINE_OPEN: "a fuel line open",
    Condition.CAN_OUT: "starting fluid in the bay",
    Condition.DUCT_OPEN: "the intake duct open",
    Condition.PROP_IN: "the pedal prop in",
    Condition.TESTER_HUNG: "the spark tester on",
    Condition.VAPOUR: "vapour about",
    Condition.BATTERY_UNSAFE: "a damaged battery",
    Condition.PACK_ON: "a jump pack on",
    Condition.CLAMP_OFF: "the ground clamp off",
    Condition.ENGINE_HOT: "engine hot",
    Condition.ENGINE_RUNS: "engine running",
    Condition.OVERHEATED: "an overheated engine",
    Condition.PRESSURE_UP: "fuel pressure up",
    Condition.BURNED: "something that burned",
    Condition.KNOCKED: "a knock and no look for fuel since",
    Condition.CAN_ROLL: "a car that may roll",
    Condition.BATTERY_LOW: "battery low",
    Condition.BATTERY_FLAT: "battery flat",
    Condition.NO_PACK: "no jump pack here",
    Condition.NO_LOAD_TESTER: "no load tester here",
    Condition.NO_PRESSURE_GAUGE: "no pressure gauge here",
    Condition.NO_DRAIN_METER: "no drain meter here",
    Condition.NO_READER: "no code reader here that does it",
    Condition.NO_COMPUTER: "a carburettor, no engine computer",
    Condition.NO_PUMP: "no electric fuel pump that was told of",
    Condition.HELPER: "a helper at the key",
    Condition.BANGED: "a bang as it stopped, not turned by hand since",
    Condition.BINDS: "an engine that binds by hand",
    Condition.SOMEBODY_NEAR: "somebody under or at the car",
}
"""Each condition in words, for ear, screen and report."""


def folded(facts: Iterable[Fact]) -> Bay:
    """Car and bay after all these facts of one job, from its first on."""
    bay = Bay()
    for fact in facts:
        bay = after(bay, fact)
    return bay


def known(bay: Bay) -> tuple[Mark, ...]:
    """What somebody or something has said to be so, each once with its latest time: not what only counts as so."""
    latest: dict[Condition, Mark] = {}
    for mark in bay.marks:
        if mark.fact:
            latest[mark.condition] = mark
    return tuple(latest[each] for each in Condition if each in latest)


def words_of(bay: Bay, at_s: float, *, of_use: bool = False) -> tuple[str, ...]:
    """Each thing that is so, in words; how long vapour has had, for that is what it is waited for.

    `of_use`: without key and fuel pressure, which change all the time.
    """
    said = []
    for mark in known(bay):
        if of_use and mark.condition in CHANGING:
            continue
        vapour = mark.condition is Condition.VAPOUR and mark.at_s is not None
        minutes = round(max(0.0, at_s - (mark.at_s or 0.0)) / 60) if vapour else 0
        said.append(f"{SAID[mark.condition]} for {minutes} min" if minutes else SAID[mark.condition])
    return tuple(said)


def after(bay: Bay, fact: Fact) -> Bay:
    """Car and bay after one more fact."""
    change = _CHANGES.get(fact.kind)
    bay = change(bay, fact) if change else bay
    said = fact.said
    bay = _make(bay, fact, said.makes) if said.makes else bay
    return _undo(bay, SPRAYED) if said.vapour_cleared else bay  # the can is away, or it is not cleared


def _make(bay: Bay, fact: Fact, words: Iterable[str]) -> Bay:
    for word in words:
        bay = _undo(bay, UNDOES[word]) if word in UNDOES else _mark(bay, fact, Condition(word))
    return bay


def _mark(bay: Bay, fact: Fact, condition: Condition) -> Bay:
    """The same with this so; what cannot be struck stands alone, for it says all that the others do."""
    kept = bay.marks
    if fact.kind not in STRIKABLE:
        kept = tuple(mark for mark in kept if mark.condition is not condition)
    return replace(bay, marks=(*kept, Mark(condition=condition, at_s=fact.at_s, fact=fact.id)))


def _undo(bay: Bay, conditions: frozenset[Condition]) -> Bay:
    if not conditions & bay.conditions:
        return bay
    return replace(bay, marks=tuple(mark for mark in bay.marks if mark.condition not in conditions))


def _inherited(bay: Bay, fact: Fact) -> Bay:
    """What an earlier job on the same car left: since when is not known here, so no time counts as passed."""
    left = fact.said.inherits
    if left is None:
        return bay
    marks = [Mark(condition=each.condition, fact=each.fact) for each in left.marks]
    off = [Off(item=each.item, fact=each.fact) for each in left.off]
    return replace(bay, marks=(*bay.marks, *marks), off=(*bay.off, *off))


def _resumed(bay: Bay, fact: Fact) -> Bay:
    """Nobody saw what was done meanwhile: the key, and after the program's end the chocks, are asked about again, and
    whether the engine runs has to be told anew."""
    reopened = fact.says(Resumed).reopened
    bay = _undo(bay, frozenset({Condition.ENGINE_RUNS, Condition.HELPER})) if reopened else bay
    unseen = (Condition.KEY_ON, Condition.CAN_ROLL) if reopened else (Condition.KEY_ON,)
    return replace(bay, marks=(*bay.marks, *(Mark(condition=each) for each in unseen if each not in bay.conditions)))


def _action_begun(bay: Bay, fact: Fact) -> Bay:
    if fact.says(ActionBegun).action not in (Action.SPRAY, Action.PUFF):
        return bay
    return _make(bay, fact, (str(each) for each in sorted(SPRAYED)))


def _item_removed(bay: Bay, fact: Fact) -> Bay:
    return _put_off(bay, fact, fact.says(ItemRemoved).item)


def _put_off(bay: Bay, fact: Fact, item: str) -> Bay:
    kept = tuple(each for each in bay.off if each.item != item or not each.left)
    bay = replace(bay, off=(*kept, Off(item=item, fact=fact.id)))
    return _mark(bay, fact, ITEMS[item]) if item in ITEMS else bay


def _item_refitted(bay: Bay, fact: Fact) -> Bay:
    item = fact.says(ItemRefitted).item
    bay = replace(bay, off=tuple(each for each in bay.off if each.item != item))
    undone = ITEMS.get(item)
    if undone is None or any(ITEMS.get(each.item) is undone for each in bay.off):
        return bay
    return _undo(bay, frozenset({undone}))


def _item_left_off(bay: Bay, fact: Fact) -> Bay:
    """It need not be settled any more, and stays as it is: what it makes dangerous stays so."""
    item = fact.says(ItemLeftOff).item
    return replace(bay, off=tuple(replace(each, left=each.left or each.item == item) for each in bay.off))


def _struck(bay: Bay, fact: Fact) -> Bay:
    said = fact.says(Struck)
    bay = replace(bay, marks=tuple(mark for mark in bay.marks if mark.fact != said.struck))
    return _put_off(bay, fact, said.item) if said.item else bay


_CHANGES: Mapping[FactKind, Callable[[Bay, Fact], Bay]] = MappingProxyType(
    {
        FactKind.JOB_STARTED: _inherited,
        FactKind.VEHICLE_NOTED: _inherited,
        FactKind.RESUMED: _resumed,
        FactKind.ACTION_BEGUN: _action_begun,
        FactKind.ITEM_REMOVED: _item_removed,
        FactKind.ITEM_REFITTED: _item_refitted,
        FactKind.ITEM_LEFT_OFF: _item_left_off,
        FactKind.STRUCK: _struck,
    }
)
