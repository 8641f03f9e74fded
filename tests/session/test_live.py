"""The live loop, on a clock of its own: no device, no waiting."""

import pytest

from assistant.errors import RecordError
from assistant.facts import FactKind
from assistant.grammar.automaton import automaton_of
from assistant.guide import Mode
from assistant.language.model import BurstDropped, BurstHeard, BurstStarted, Heard
from assistant.language.speech import Pause, Tone
from tests.session.live_shop import TO_THE_CRANK, Shop


class FullJournal:
    """A journal on a disk that is full from some fact on."""

    def __init__(self, room_for):
        self.room_for = room_for
        self.kept = []

    def append(self, facts):
        """Keeps facts while there is room."""
        if len(self.kept) + len(facts) > self.room_for:
            raise RecordError("The disk is full.", spoken="The record cannot be kept. I stop.")
        self.kept += facts


def test_hears_advances_records_and_speaks(library):
    """Words in a silence become facts, then the next prompt; how sure the hearing was stands in the facts."""
    shop = Shop(library)
    shop.hear("done", confidence=0.91)
    done = shop.journal.facts("job")[-3]
    assert done.kind is FactKind.INSTRUCTION_DONE
    assert done.data["hearing"] == {"engine": "scripted", "confidence": 0.91}
    assert "Tell me the complaint" in " ".join(shop.sentences)
    assert shop.voice.volume == 0.8


def test_silence_advances_nothing(library):
    """A minute of silence leaves the job exactly where it was."""
    shop = Shop(library)
    before = shop.conversation.state
    shop.pass_blocks(600)
    assert shop.conversation.state == before


def test_while_it_speaks_only_stop_and_pause_are_obeyed(library):
    """Its own words in the microphone do nothing; stop cuts it and holds."""
    shop = Shop(library)
    assert shop.voice.speaking
    shop.recogniser.will_hear.append(Heard(words="done", confidence=1.0))
    shop.loop.step()
    assert shop.conversation.state.at.step == "rules"
    legal = automaton_of(shop.recogniser.told[-1].grammar)
    assert legal.tags(["stop"]) == ("stop",) and legal.tags(["pause"]) == ("pause",)
    assert not any(legal.accepts([word]) for word in ("done", "yes", "ready", "skip"))
    shop.recogniser.will_hear.append(Heard(words="stop", confidence=1.0))
    shop.loop.step()
    assert shop.voice.cuts == 1
    assert shop.conversation.state.mode is Mode.HELD


def test_the_recogniser_is_told_anew_only_when_something_changes(library):
    """One grammar while we speak, one while the step asks: not one a block, which would drop what is being said."""
    shop = Shop(library)
    shop.fall_silent()
    shop.pass_blocks(50)
    assert len(shop.recogniser.told) == 2


def test_a_lost_microphone_is_told_once_and_waited_for(library):
    """The job goes on where it stood once the microphone is back."""
    shop = Shop(library)
    shop.fall_silent()
    shop.microphone.lost_reads = 20
    shop.pass_blocks(30)
    assert shop.sentences.count("The microphone is gone.") == 1
    assert shop.sentences.count("The microphone is back.") == 1
    shop.hear("done")
    assert shop.conversation.state.at.step == "complaint"


def test_a_lost_speaker_does_not_end_the_job(library):
    """Where the speaker went away the screen says so and the job goes on."""
    shop = Shop(library)
    shop.fall_silent()
    shop.voice.lost = True
    shop.hear("done")
    assert shop.conversation.state.at.step == "complaint"
    assert any("The speaker went away." in view.said for view in shop.screen.views)


def test_a_record_that_cannot_be_kept_stops_the_job_aloud(library):
    """Nothing is spoken of what was not recorded, but that it was not."""
    shop = Shop(library, journal=FullJournal(6))
    shop.fall_silent()
    shop.recogniser.will_hear.append(Heard(words="done", confidence=1.0))
    with pytest.raises(RecordError):
        shop.loop.step()
    assert shop.sentences[-1] == "The record cannot be kept. I stop."
    assert shop.conversation.state.at.step == "rules"


def test_the_end_of_a_sound_file_ends_the_session(library):
    """What was said last is still taken, then the loop returns; the job stays open."""
    shop = Shop(library, blocks=120)
    shop.fall_silent()
    shop.microphone.left = 0
    shop.recogniser.will_hear.append(Heard(words="done", confidence=1.0))
    shop.loop.run()
    assert shop.conversation.state.at.step == "complaint"
    assert not shop.conversation.ended


def test_a_crank_is_one_stretch_of_sound_and_ends_by_the_clock(library):
    """Count-in, a tone to crank, a tone to release exactly burst_s later, then the question."""
    shop = Shop(library, "cranking-check")
    shop.lead_to(Mode.POISED, *TO_THE_CRANK)
    shop.hear("ready")
    shop.pass_blocks(230)
    tones = [each for each in shop.voice.said if isinstance(each, Tone | Pause)]
    assert [type(each) for each in tones] == [Tone, Pause, Tone]
    assert tones[0].seconds + tones[1].seconds == pytest.approx(5.0)
    assert tones[0].hz != tones[2].hz
    assert shop.conversation.state.mode is Mode.ASKING
    assert FactKind.BURST_ENDED in shop.kinds()


def test_the_ear_times_the_burst_and_proposes_a_result(library):
    """With an ear: crank when ready, the release is called while it turns, the burst is spoken back and proposed."""
    shop = Shop(library, "cranking-check", ear=True)
    shop.lead_to(Mode.POISED, *TO_THE_CRANK)
    shop.hear("ready")
    shop.fall_silent()
    shop.ear.will_tell.append(BurstStarted())
    shop.pass_blocks(55)
    assert "Release the key." in shop.sentences
    shop.ear.will_tell.append(BurstHeard(seconds=5.4, rpm=192.0, caught=False))
    shop.pass_blocks(1)
    assert "Five point four seconds, about one hundred ninety r p m, did not catch." in shop.sentences
    assert shop.conversation.state.mode is Mode.CONFIRMING
    assert shop.conversation.state.pending.name == "normal"
    shop.hear("yes")
    assert shop.conversation.state.at.step == "crank-volts"


def test_a_deaf_ear_gives_way_to_tones(library):
    """No burst heard eight seconds after the walk: it says so and goes on by tones."""
    shop = Shop(library, "cranking-check", ear=True)
    shop.lead_to(Mode.POISED, *TO_THE_CRANK)
    shop.hear("ready")
    shop.pass_blocks(170)
    assert "I do not hear the starter. I will use tones. Begin at the tone." in shop.sentences
    shop.pass_blocks(120)
    assert shop.conversation.state.mode is Mode.ASKING


def test_stop_during_a_burst_cuts_the_tones_and_says_what_to_release(library):
    """The rest of the burst is never heard, the key is to be released, and the job holds."""
    shop = Shop(library, "cranking-check")
    shop.lead_to(Mode.POISED, *TO_THE_CRANK)
    shop.hear("ready")
    while not any(isinstance(each, Tone) for each in shop.voice.said):
        shop.loop.step()
    shop.pass_blocks(15)
    shop.recogniser.will_hear.append(Heard(words="stop", confidence=1.0))
    shop.loop.step()
    assert shop.voice.cuts == 1
    assert shop.sentences[-3:] == ["Release the key.", "Stopped.", "Say resume to go on."]
    assert shop.conversation.state.mode is Mode.HELD
    assert 1.0 < shop.conversation.state.duty.cranked_s < 2.0


def test_a_note_is_dictated_with_its_free_words(library):
    """During a note the recogniser is told to take free words, and keeps the name of the sound clip."""
    shop = Shop(library)
    shop.hear("note")
    shop.fall_silent()
    shop.pass_blocks(1)
    assert shop.recogniser.told[-1].dictation
    shop.hear(None, free_text="belt squeals on the left", clip="note-1.wav")
    note = next(fact for fact in shop.journal.facts("job") if fact.kind is FactKind.NOTE_TAKEN)
    assert note.data["words"] == "belt squeals on the left"
    assert note.data["hearing"]["clip"] == "note-1.wav"


def test_what_only_seemed_to_be_the_starter_is_let_go(library):
    """A tool that sounded like it for a moment neither counts as a burst nor ends the waiting."""
    shop = Shop(library, "cranking-check", ear=True)
    shop.lead_to(Mode.POISED, *TO_THE_CRANK)
    shop.hear("ready")
    shop.fall_silent()
    shop.ear.will_tell.append(BurstStarted())
    shop.pass_blocks(5)
    shop.ear.will_tell.append(BurstDropped())
    shop.pass_blocks(5)
    assert shop.conversation.state.mode is Mode.TIMING
    assert not shop.conversation.state.timed.begun
    assert shop.conversation.state.duty.bursts == 0


def test_a_deaf_ear_is_waited_for_once_only(library):
    """After the tones had to take over, the next crank goes by tones at once."""
    shop = Shop(library, "cranking-check", ear=True)
    shop.lead_to(Mode.POISED, *TO_THE_CRANK)
    shop.hear("ready")
    shop.pass_blocks(300)
    assert not shop.conversation.state.ear
    shop.hear("ready")
    shop.lead_to(Mode.POISED, "doors are open", "nothing to smell", "hands are clear")
    shop.hear("ready")
    assert "You have eight seconds to get there." in " ".join(shop.sentences)
