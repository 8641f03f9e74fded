"""Taps obey what words obey, and one rule more: they answer only the question that the page showed."""

from __future__ import annotations

from assistant.english.live import TAPPED_OVER_US, TAPPED_TOO_LATE
from assistant.facts import FactKind
from assistant.guide import Mode, fold
from assistant.language.model import BY_KEY, TYPED, Control
from assistant.ports import News, Photo, Tap
from assistant.session.tapped import run_tapped
from assistant.session.taps import take_taps
from tests.screen.stage import HeldVoice
from tests.session.live_shop import Shop
from tests.session.room import Room


class Hand:
    """Taps that a test gives, and what is told to the hand."""

    def __init__(self):
        self.will_tap = []
        self.told = []

    def tapped(self):
        """All of them."""
        taken, self.will_tap = self.will_tap, []
        return taken

    def refuse(self, why):
        """Keep it."""
        self.told.append(why)


def tap(room, hand, words, *, asked=None, typed=False, voice=None):
    """Tap words at the present question, or at another; whether anything was obeyed."""
    shown = room.conversation.showing.asked if asked is None else asked
    hand.will_tap.append(Tap(words=words, asked=shown, typed=typed))
    return take_taps(hand, room.conversation, voice or HeldVoice(), room.conversation.state.at_s)


def test_a_tap_is_the_command_of_its_word(library):
    """The same step on, and the fact says that it came by key."""
    room, hand = Room(library), Hand()
    assert tap(room, hand, "done")
    assert room.conversation.state.at.step == "complaint"
    assert room.trace[-1]["command"] == "done"
    assert [fact.data["hearing"]["engine"] for fact in room.facts if "hearing" in fact.data] == [BY_KEY]


def test_words_that_were_written_stand_as_written(library):
    """Letter by letter is typed, not heard."""
    room, hand = Room(library), Hand()
    tap(room, hand, "done")
    tap(room, hand, "Cranks. Won't start!", typed=True)
    kept = next(fact for fact in room.facts if "Won't start!" in str(fact.data))
    assert kept.data["hearing"]["engine"] == TYPED and kept.data["proofed"]


def test_a_tap_for_an_earlier_question_does_nothing(library):
    """A knuckle that falls twice leads on once."""
    room, hand = Room(library), Hand()
    asked = room.conversation.showing.asked
    tap(room, hand, "done", asked=asked)
    facts = room.facts
    assert not tap(room, hand, "done", asked=asked)
    assert hand.told == [TAPPED_TOO_LATE] and room.facts == facts


def test_both_knuckles_in_one_beat_lead_on_once(library):
    """Two taps that wait together, both for the same question."""
    room, hand = Room(library), Hand()
    asked = room.conversation.showing.asked
    hand.will_tap = [Tap(words="done", asked=asked), Tap(words="done", asked=asked)]
    take_taps(hand, room.conversation, HeldVoice(), 0.0)
    assert room.conversation.state.at.step == "complaint" and hand.told == [TAPPED_TOO_LATE]


def test_what_changes_no_question_spoils_no_tap(library):
    """A word that only repeats, or was not understood, leaves the page's buttons good."""
    room, hand = Room(library), Hand()
    asked = room.conversation.showing.asked
    room.type("say again", "@unclear", "how long")
    assert tap(room, hand, "done", asked=asked)


def test_while_we_speak_only_stop_and_pause_are_taken(library):
    """Whatever question the page showed: who stops is in trouble."""
    room, hand, voice = Room(library), Hand(), HeldVoice()
    voice.held = True
    assert not tap(room, hand, "done", voice=voice)
    assert hand.told == [TAPPED_OVER_US]
    assert not tap(room, hand, "stop", voice=voice, typed=True, asked=-1)
    assert tap(room, hand, "stop", voice=voice, asked=-1)
    assert room.conversation.state.mode is Mode.HELD


def test_with_an_attention_word_written_words_need_none(library):
    """It is there for the ear; a page's own phrases carry it already."""
    room, hand = Room(library, attention="computer"), Hand()
    assert tap(room, hand, "done", typed=True)
    assert room.conversation.state.at.step == "complaint"


def test_after_the_end_nothing_is_taken(library):
    """Not even stop."""
    room, hand = Room(library), Hand()
    room.type("end job", "yes", "done")
    assert room.conversation.ended
    facts = room.facts
    assert not tap(room, hand, "stop")
    assert room.facts == facts


def test_with_a_page_the_clock_runs_in_a_typed_session(library):
    """A wait falls due by itself while nobody types, and lines still count."""
    room, hand = Room(library), Hand()
    beats = iter(range(0, 1_000, 1))

    class Lines:
        def __init__(self):
            self.left = [None, "done", None, None]

        def next(self, timeout_s):
            if not self.left:
                raise EOFError
            return self.left.pop(0)

    run_tapped(room.conversation, Lines(), hand, HeldVoice(), clock_s=lambda: float(next(beats)))
    assert room.conversation.state.at.step == "complaint"
    assert room.conversation.state.at_s >= 1.0


def test_in_a_session_by_voice_taps_are_taken_between_blocks_of_sound(library):
    """Like words: led on in silence, refused while we speak, stop at once; the view tells the page which is which."""
    hand = Hand()
    shop = Shop(library, taps=hand)
    asked = shop.conversation.showing.asked
    assert shop.screen.views[-1].speaking
    hand.will_tap = [Tap(words="done", asked=asked)]
    shop.loop.step()
    assert hand.told == [TAPPED_OVER_US] and shop.conversation.state.at.step == "rules"
    shop.fall_silent()
    shop.pass_blocks(3)
    assert not shop.screen.views[-1].speaking and shop.screen.views[-1].asked == asked
    hand.will_tap = [Tap(words="done", asked=asked)]
    shop.loop.step()
    assert shop.conversation.state.at.step == "complaint"
    hand.will_tap = [Tap(words="stop", asked=asked)]
    shop.loop.step()
    assert shop.conversation.state.mode is Mode.HELD


class Files:
    """Photographs in memory, or none where they cannot be kept."""

    def __init__(self, *, full=False):
        self.kept = {}
        self._full = full

    def keep(self, job, name, picture):
        """Keep it."""
        if not self._full:
            self.kept[job, name] = picture
        return not self._full

    def under(self, label):
        """The same."""
        return self


class PageAids:
    """A page that takes pictures."""

    def __init__(self):
        self.asked = []

    def controls(self):
        """One command."""
        return frozenset({Control.PICTURE})

    def obey(self, control):
        """Keep what was asked."""
        self.asked.append(control)
        return "Hold still."


def with_page(library):
    """A job with a page that takes pictures."""
    aids = PageAids()
    return Room(library, aids=aids), aids


def test_a_picture_asked_for_by_word_changes_nothing_until_it_comes(library):
    """Then it is kept first and named in a fact of the present step; the job stands where it stood."""
    files = Files()
    room, aids = with_page(library)
    assert "take a picture" in room.trace[-1]["can_say"]
    before, facts = room.conversation.state, len(room.facts)
    room.type("take a picture")
    assert aids.asked == [Control.PICTURE] and room.conversation.state == before and len(room.facts) == facts
    assert room.trace[-1]["said"] == ["Hold still."]
    hand = Hand()
    hand.will_tap.append(Photo(picture=b"made up"))
    assert take_taps(hand, room.conversation, HeldVoice(), room.conversation.state.at_s, files)
    fact = room.facts[-1]
    assert (fact.kind, fact.step) == (FactKind.PICTURE_TAKEN, "rules")
    assert files.kept == {("grey-hatchback", fact.data["picture"]): b"made up"}
    assert room.conversation.state.at == before.at and room.conversation.state.mode is before.mode
    assert fold(library, room.facts) == room.conversation.state


def test_a_picture_that_cannot_be_kept_is_told_of_and_named_nowhere(library):
    """A record without it is still a record."""
    room, _ = with_page(library)
    hand, facts = Hand(), len(room.facts)
    hand.will_tap.append(Photo(picture=b"made up"))
    take_taps(hand, room.conversation, HeldVoice(), 0.0, Files(full=True))
    assert room.trace[-1]["said"] == ["That picture could not be kept."] and len(room.facts) == facts


def test_without_a_page_no_picture_can_be_asked_for(library):
    """The word is not among what can be said, and refused when typed."""
    room = Room(library)
    assert "take a picture" not in room.trace[-1]["can_say"]
    facts = len(room.facts)
    room.type("take a picture")
    assert len(room.facts) == facts and room.conversation.state.mode is Mode.ASKING


def test_news_of_the_phone_is_spoken(library):
    """At once, whatever is asked."""
    room, hand = Room(library), Hand()
    hand.will_tap.append(News(text="The phone is gone. I listen here."))
    assert not take_taps(hand, room.conversation, HeldVoice(), 0.0)
    assert room.trace[-1]["said"] == ["The phone is gone. I listen here."]
