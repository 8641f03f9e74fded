"""The live loop, on a clock of its own: no device, no waiting."""

import pytest

from assistant.errors import DeviceLost, RecordError
from assistant.facts import FactKind
from assistant.guide import Mode
from assistant.language.model import BurstDropped, BurstHeard, BurstStarted, Control, Heard
from assistant.language.speech import Pause, Tone
from assistant.record.build import build_record
from assistant.record.clips import clip_name
from tests.session.live_shop import Shop


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
    assert shop.recogniser.told[-1].grammar.rules["said"].choices[0].tag == "stop"
    assert len(shop.recogniser.told[-1].grammar.rules["said"].choices) <= 6
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
    shop.lead_to(Mode.POISED, "eyes are covered", "done", "area is clear", "hands are clear")
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
    shop.lead_to(
        Mode.POISED,
        "eyes are covered",
        "done",
        "area is clear",
        "hands are clear",
    )
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
    shop.lead_to(Mode.POISED, "eyes are covered", "done", "area is clear", "hands are clear")
    shop.hear("ready")
    shop.pass_blocks(170)
    assert "I do not hear the starter. I go by tones. Begin at the tone." in shop.sentences
    shop.pass_blocks(120)
    assert shop.conversation.state.mode is Mode.ASKING


def test_stop_during_a_burst_cuts_the_tones_and_says_what_to_release(library):
    """The rest of the burst is never heard, the key is to be released, and the job holds."""
    shop = Shop(library, "cranking-check")
    shop.lead_to(Mode.POISED, "eyes are covered", "done", "area is clear", "hands are clear")
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


def test_the_screen_shows_the_count_down_and_the_level(library):
    """Five times a second the present state is drawn again, with the input level."""
    shop = Shop(library)
    shop.fall_silent()
    before = len(shop.screen.views)
    shop.pass_blocks(10)
    assert 4 <= len(shop.screen.views) - before <= 6
    assert shop.screen.views[-1].level_db == pytest.approx(-50.3, abs=0.1)


def test_a_key_does_what_its_word_does_and_the_record_says_that_it_was_a_key(library):
    """Space is "done": the step is logged and the next one asked; nothing is said to have been heard."""
    shop = Shop(library)
    shop.press(Control.DONE)
    (done,) = [fact for fact in shop.journal.facts("job") if fact.kind is FactKind.INSTRUCTION_DONE]
    assert done.data["hearing"] == {"engine": "key", "confidence": 1.0}
    assert shop.conversation.state.at.step == "complaint"
    assert shop.screen.views[-1].heard == "done"
    shop.hear("it will not start", confidence=0.8)
    assert build_record(shop.journal.entries("job"), library).engine == "scripted"


def test_a_key_never_acknowledges_a_caution_nor_passes_a_gate(library):
    """Each of the four is refused or holds the job; the caution must be answered by its phrase."""
    shop = Shop(library, "cranking-check")
    for mode, words in ((Mode.CAUTIONING, ()), (Mode.GATING, ("eyes are covered", "done", "area is clear"))):
        shop.lead_to(mode, *words)
        for control in (Control.DONE, Control.YES, Control.NO):
            shop.press(control)
            assert shop.conversation.state.mode is mode
    shop.press(Control.STOP)
    assert shop.conversation.state.mode is Mode.HELD


def test_keys_are_no_dictated_words(library):
    """While the complaint is asked a key neither becomes its words nor ends it."""
    shop = Shop(library)
    shop.hear("done")
    shop.press(Control.DONE, Control.YES)
    assert shop.conversation.state.at.step == "complaint"
    assert FactKind.WORDS_KEPT not in shop.kinds()


def test_while_it_speaks_only_the_key_for_stop_is_obeyed(library):
    """As with words; the screen names that key alone."""
    shop = Shop(library)
    shop.keys.will_press.append(Control.DONE)
    shop.loop.step()
    assert shop.voice.speaking and shop.conversation.state.at.step == "rules"
    assert shop.screen.views[-1].keys == (("s", "stop"),)
    shop.keys.will_press.append(Control.STOP)
    shop.loop.step()
    assert shop.voice.cuts == 1 and shop.conversation.state.mode is Mode.HELD


def test_any_other_key_stops_us_while_we_speak_or_count_and_does_nothing_else(library):
    """A hand that falls on the keyboard cuts our voice and a timed action; in a silence such a key means nothing."""
    shop = Shop(library, "cranking-check")
    shop.press(None)
    assert shop.conversation.state.mode is Mode.CAUTIONING
    shop.hear("say again")
    assert shop.voice.speaking
    shop.keys.will_press.append(None)
    shop.loop.step()
    assert shop.voice.cuts == 1
    assert shop.conversation.state.mode is Mode.HELD
    shop.hear("resume")
    shop.lead_to(Mode.POISED, "eyes are covered", "done", "area is clear", "hands are clear")
    shop.hear("ready")
    while shop.conversation.state.mode is not Mode.TIMING:
        shop.loop.step()
    shop.keys.will_press.append(None)
    shop.loop.step()
    assert shop.conversation.state.mode is Mode.HELD


def test_the_screen_names_the_keys_that_do_something(library):
    """Done where a step is done, yes and no at a read-back, and none where there is no keyboard."""
    shop = Shop(library)
    shop.fall_silent()
    shop.pass_blocks(5)
    assert shop.screen.views[-1].keys == (("space", "done"), ("s", "stop"))
    shop.hear("end job")
    shop.fall_silent()
    shop.pass_blocks(5)
    assert shop.screen.views[-1].keys == (("y", "yes"), ("n", "no"), ("s", "stop"))
    shop.press(Control.YES)
    assert shop.conversation.ended


def test_a_lost_speaker_is_shown_beside_what_it_could_not_say(library):
    """The voice's thread finds out later than the turn; the words stay on the screen."""
    shop = Shop(library)
    shop.hear("where am i")
    said = shop.screen.views[-1].said
    shop.speaker_losses.append(DeviceLost("The speaker went away."))
    shop.loop.step()
    assert shop.screen.views[-1].said == (*said, "The speaker went away.")


def test_what_was_said_and_heard_stays_on_the_screen_until_the_next_turn(library):
    """The redraw five times a second takes neither away; the next turn does."""
    shop = Shop(library)
    shop.hear("say again")
    shop.fall_silent()
    shop.pass_blocks(30)
    shown = shop.screen.views[-1]
    assert shown.heard == "say again" and "Say done when it is done." in shown.said
    shop.hear("yes")
    shop.pass_blocks(10)
    shown = shop.screen.views[-1]
    assert shown.heard == "yes" and shown.said[0] == "There is nothing to say yes to."


def test_a_lost_microphone_stays_on_the_screen(library):
    """Who is spoken to may not have heard it."""
    shop = Shop(library)
    shop.fall_silent()
    shop.microphone.lost_reads = 2
    shop.pass_blocks(2)
    assert shop.screen.views[-1].said == ("The microphone is gone.",)
    shop.pass_blocks(20)
    assert shop.screen.views[-1].said == ("The microphone is back.",)


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
    shop.lead_to(Mode.POISED, "eyes are covered", "done", "area is clear", "hands are clear")
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
    shop.lead_to(Mode.POISED, "eyes are covered", "done", "area is clear", "hands are clear")
    shop.hear("ready")
    shop.pass_blocks(300)
    assert not shop.conversation.state.ear
    shop.hear("ready")
    shop.lead_to(Mode.POISED, "area is clear", "hands are clear")
    shop.hear("ready")
    assert "You have eight seconds to get there." in " ".join(shop.sentences)


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
