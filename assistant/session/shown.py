"""What is shown of a moment: the picture of the guide, and what was last said and heard beside it."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.guide.picture import Picture
from assistant.ports import View


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """What was last said and heard, and in which turn: it stays on the screen until the next. The rest is of now:
    `level_db`, `keys` and `notices` as in `View`."""

    turn: int = 0
    said: tuple[str, ...] = ()
    heard: str | None = None
    level_db: float | None = None
    keys: tuple[tuple[str, str], ...] = ()
    notices: tuple[str, ...] = ()


def view_of(picture: Picture, job: str, can_say: tuple[str, ...], shown: Shown) -> View:
    """The view of this moment. `can_say`: every phrase that does something now."""
    return View(
        job=job,
        title=picture.title,
        step=picture.step,
        mode=picture.mode,
        instruction=picture.instruction,
        caution_signal=picture.caution_signal,
        caution=picture.caution,
        said=shown.said,
        can_say=can_say,
        heard=shown.heard,
        countdown_s=picture.countdown_s,
        open_items=picture.open_items,
        bay=picture.bay,
        level_db=shown.level_db,
        turn=shown.turn,
        keys=shown.keys,
        notices=shown.notices,
    )
