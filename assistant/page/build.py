"""From a view to a page: words, places on bars and lines, and which phrase may be tapped now."""

from __future__ import annotations

from assistant.guide import Mode
from assistant.language.commands import CUTS_SPEECH, Control, Heading, control_of, phrase_of
from assistant.language.questions import I_FOUND
from assistant.language.speech import TONE
from assistant.page.groups import grouped, plain
from assistant.page.model import Band, Bar, Button, Chip, Clock, Group, Heard, Level, Page, Plot
from assistant.ports import Gauge, Turned, View

_HANDS = tuple(phrase_of(each) for each in Control if each.row.heading is Heading.AT_HAND)
"""What is reached for most, always in the same place."""

_MODES = {
    Mode.CAUTIONING: "caution first",
    Mode.GATING: "a check first",
    Mode.POISED: "ready?",
    Mode.TIMING: "counting",
    Mode.ASKING: "your answer",
    Mode.CONFIRMING: "is that right?",
    Mode.RESTING: "the starter rests",
    Mode.WAITING: "waiting",
    Mode.HELD: "on hold",
    Mode.EXPLAINING: "why skip?",
    Mode.EXCUSING: "why not?",
    Mode.PUTTING_BACK: "put right first",
    Mode.NOTING: "your note",
    Mode.ENDING: "end the job?",
    Mode.STRIKING: "take it back?",
    Mode.CLOSING: "closing",
    Mode.ENDED: "job ended",
}

_CLOCKS = {
    "begin": "Begins in",
    "crank": "Release the key in",
    "spray": "Release the nozzle in",
    "puff": "Release the nozzle in",
    "rest": "Starter rests",
    "wait": "Wait",
}

_QUIETEST_DB, _TOO_SOFT_DB, _TOO_LOUD_DB = -60.0, -45.0, -6.0
"""The bar's lower end, and levels between which speech is heard well. Judgement."""

_MEANS = {
    Mode.NOTING: {Control.NO: "no note"},
    Mode.EXPLAINING: {Control.NO: "do not skip"},
    Mode.EXCUSING: {Control.NO: "I can after all"},
    Mode.PUTTING_BACK: {Control.NO: "go on here"},
    Mode.CLOSING: {
        Control.DONE: "close the job", Control.REPAIR_DONE: "we check it",
        Control.REPAIR_CONFIRMED: "without a check",
    },
}  # fmt: skip
"""What a command does in this mode, where its words alone may be taken for something else."""

_SURE, _FAIRLY = 0.9, 0.7
"""Probabilities above which what was heard is called sure, and fairly sure. Judgement."""

_MARGIN = 0.35
"""How far the line of a reading goes on past its outermost mark, as a share of their distance."""


def page_of(view: View) -> Page:
    """The page of this view."""
    glance = view.glance
    ended = view.mode == Mode.ENDED.value
    answers, hands, rest = _parted(view)
    told_only = tuple(words for words in rest if I_FOUND in words)
    more = grouped((*(words for words in rest if words not in told_only), *glance.places))
    return Page(
        job=view.job,
        title=view.title,
        step=view.step.replace("-", " "),
        mode=_mode(view.mode),
        place=glance.place,
        band=_band(view),
        instruction=view.instruction,
        said=said_besides(view),
        answers=tuple(_button(view, words) for words in answers),
        examples=glance.examples,
        passes=glance.passes,
        hands=tuple(_button(view, words) for words in hands),
        more=tuple(Group(name=name, buttons=tuple(_button(view, each) for each in all_of)) for name, all_of in more),
        told_only=told_only,
        takes="" if ended else glance.takes,
        unit=glance.unit,
        heard=_heard(view),
        clock=_clock(view),
        level=_level(view),
        path=glance.path,
        odds=tuple(Bar(name=name, share=round(p, 3), text=_percent(p)) for name, p in glance.odds),
        reason=glance.reason,
        open_items=view.open_items,
        bay=tuple(Chip(text=each, grave=each.startswith(glance.dangers)) for each in view.bay),
        plots=tuple(_plot(one) for one in glance.gauges),
        burst=_burst(glance.turned),
        notices=view.notices,
        speaking=view.speaking,
        counting=view.mode == Mode.TIMING.value,
        asked=view.asked,
        ended=ended,
    )


def _parted(view: View) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
    """What leads on, what is reached for most, and all else; together each phrase that can be said, once."""
    answers = tuple(words for words in view.can_say if words in view.glance.answers)
    hands = tuple(words for words in view.can_say if words not in answers and plain(words) in _HANDS)
    kept = {*answers, *hands, *view.glance.examples}
    return answers, hands, tuple(words for words in view.can_say if words not in kept)


def _button(view: View, words: str) -> Button:
    cuts = control_of(words) in CUTS_SPEECH
    means = _MEANS.get(_known(view.mode) or Mode.NEW, {})
    told = next((told for control, told in means.items() if plain(words) == phrase_of(control)), "")
    return Button(words=words, works=cuts or not view.speaking, means=told)


def _known(mode: str) -> Mode | None:
    try:
        return Mode(mode)
    except ValueError:
        return None


def _mode(mode: str) -> str:
    known = _known(mode)
    return mode if known is None else _MODES.get(known, mode)


def _band(view: View) -> Band | None:
    if view.caution_signal is None:
        return None
    words = (view.caution or "").removeprefix(view.instruction).strip()
    return Band(
        signal=view.caution_signal, word=view.caution_signal.upper(), mark=view.caution_signal != "notice", text=words
    )


def said_besides(view: View) -> tuple[str, ...]:
    """The sentences last said, in order, without those that stand elsewhere already."""
    return tuple(
        each
        for each in view.said
        if each != TONE and each not in view.instruction and not (view.caution and view.caution in each)
    )


def _heard(view: View) -> Heard | None:
    if view.heard is None:
        return None
    sure = view.glance.sure
    if sure is None or sure >= 1.0:
        return Heard(words=view.heard, sure="")
    word = "sure" if sure >= _SURE else "fairly sure" if sure >= _FAIRLY else "not sure"
    return Heard(words=view.heard, sure=f"{word}, {_percent(sure)}")


def _percent(share: float) -> str:
    return "under 1 %" if 0.0 < share < 0.005 else f"{100 * share:.0f} %"


def _clock(view: View) -> Clock | None:
    if view.countdown_s is None:
        return None
    left_s = max(0.0, view.countdown_s)
    tenths = left_s < 60
    text = f"{left_s:.1f}" if tenths else f"{int(left_s // 60)}:{int(left_s % 60):02d}"
    return Clock(label=_CLOCKS.get(view.glance.clock, "Left"), text=text, tenths=tenths)


def _level(view: View) -> Level | None:
    if view.level_db is None:
        return None
    word = "too quiet" if view.level_db < _TOO_SOFT_DB else "too loud" if view.level_db > _TOO_LOUD_DB else "good"
    return Level(share=round(min(1.0, max(0.0, 1.0 - view.level_db / _QUIETEST_DB)), 2), word=word)


def _plot(gauge: Gauge) -> Plot:
    marks = (*gauge.limits, gauge.value)
    least, most = min(marks), max(marks)
    wide = most - least or abs(most) or 1.0
    low, high = least - _MARGIN * wide, most + _MARGIN * wide

    def place(value: float) -> float:
        return round((value - low) / (high - low), 3)

    return Plot(
        name=gauge.name,
        text=f"{gauge.value:g} {gauge.unit}".strip(),
        verdict=gauge.verdict,
        at=place(gauge.value),
        limits=tuple((place(limit), f"{limit:g}") for limit in gauge.limits),
        cranking=gauge.cranking,
    )


def _burst(turned: Turned | None) -> str:
    if turned is None:
        return ""
    caught = {True: "caught", False: "did not catch", None: ""}[turned.caught]
    speed = f"{turned.rpm:.0f} rpm" if turned.rpm is not None else ""
    return ", ".join(part for part in (f"{turned.seconds:.1f} s", speed, caught) if part)
