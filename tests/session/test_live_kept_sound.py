"""Sound of what was said, kept with the record where the user said so."""

import pytest

from assistant.facts import FactKind
from assistant.record.clips import clip_name
from tests.session.live_shop import Shop


class KeptClips:
    """Keeps sound in memory, while there is room."""

    def __init__(self, room_for=1_000):
        self.room_for = room_for
        self.kept = {}

    def keep(self, job, name, pcm):
        """Keeps it, or says no."""
        if len(self.kept) >= self.room_for:
            return False
        self.kept[name] = pcm
        return True


def clip_of(fact):
    """The clip that a fact names."""
    return fact.data.get("hearing", {}).get("clip")


def test_sound_is_kept_only_where_the_user_said_so(library):
    """Without the wish no fact names a clip; with it each fact that was heard does, and it says so at the start."""
    plain = Shop(library)
    plain.hear("done")
    assert not any(clip_of(fact) for fact in plain.journal.facts("job"))
    assert "The sound of what you say is kept with this job." not in plain.sentences
    clips = KeptClips()
    shop = Shop(library, clips=clips)
    assert "The sound of what you say is kept with this job." in shop.sentences
    shop.fall_silent()
    at_s = shop.clock.at_s
    shop.hear("done", began_s=at_s - 1.0, ended_s=at_s - 0.4)
    (done,) = [fact for fact in shop.journal.facts("job") if fact.kind is FactKind.INSTRUCTION_DONE]
    assert list(clips.kept) == [clip_of(done)]
    kept = clips.kept[clip_of(done)]
    assert kept.size == pytest.approx(1.2 * 16_000, abs=2)
    assert clip_of(done) == clip_name(done.number, kept.astype("<i2").tobytes())


def test_the_sound_of_dictated_words_is_kept_too_and_of_questions_none(library):
    """A complaint and a note name their clips; what leaves no fact leaves no sound."""
    clips = KeptClips()
    shop = Shop(library, clips=clips)
    shop.hear("done", began_s=0.5, ended_s=1.0)
    before = len(clips.kept)
    shop.hear("say again", began_s=0.5, ended_s=1.0)
    shop.hear("where am i", began_s=0.5, ended_s=1.0)
    assert len(clips.kept) == before
    shop.hear(None, free_text="it will not start", began_s=0.5, ended_s=1.0)
    shop.hear("note", began_s=0.5, ended_s=1.0)
    shop.hear(None, free_text="belt squeals", began_s=0.5, ended_s=1.0)
    named = {fact.kind: clip_of(fact) for fact in shop.journal.facts("job") if clip_of(fact)}
    assert {FactKind.WORDS_KEPT, FactKind.NOTE_TAKEN} <= set(named)
    assert set(named.values()) <= set(clips.kept)


def test_sound_that_cannot_be_kept_is_told_and_the_job_goes_on(library):
    """The fact is recorded without a clip, for a record without sound is still a record."""
    shop = Shop(library, clips=KeptClips(room_for=0))
    shop.hear("done", began_s=0.5, ended_s=1.0)
    (done,) = [fact for fact in shop.journal.facts("job") if fact.kind is FactKind.INSTRUCTION_DONE]
    assert clip_of(done) is None
    assert "The sound of that could not be kept." in shop.sentences
