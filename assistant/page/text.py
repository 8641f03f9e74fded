"""A page as the words on it, for comparing with what was spoken."""

from __future__ import annotations

from assistant.page.model import Page


def text_of(page: Page) -> tuple[str, ...]:
    """Every text that the page shows, from top to bottom."""
    shown: list[str] = [page.title, page.job, page.step, page.mode, *page.notices]
    if page.band is not None:
        shown += [page.band.word, page.band.text]
    shown += [page.instruction, *page.said, *page.examples]
    shown += [text for button in (*page.answers, *page.hands) for text in (button.words, button.means)]
    for group in page.more:
        shown += [group.name, *(button.words for button in group.buttons)]
    shown += page.told_only
    shown += [page.heard.words, page.heard.sure] if page.heard else []
    shown += [page.clock.label, page.clock.text] if page.clock else []
    shown += [page.level.word] if page.level else []
    shown += [*page.path, page.reason, *page.open_items, *(chip.text for chip in page.bay), page.burst]
    for bar in page.odds:
        shown += [bar.name, bar.text]
    for plot in page.plots:
        shown += [plot.name, plot.text, plot.verdict, *(text for _, text in plot.limits)]
    return tuple(text for text in shown if text)
