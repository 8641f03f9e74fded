"""What no grammar knows but was written freely: a turn where it gives a result, else a sign."""

from __future__ import annotations

from assistant.facts import FactKind
from assistant.wiring import load_libraries, shipped_procedures
from tests.session.live_shop import Shop


def _logged(shop: Shop) -> bool:
    return FactKind.RESULT_LOGGED in shop.kinds()


def test_an_answer_that_was_surely_written_gets_its_turn() -> None:
    """It is read back, and logged by a yes at the latest; other talk is not."""
    shop = Shop(load_libraries(tuple(shipped_procedures()))[1], "no-spark")
    said = shop.conversation.expected.examples["out"][0]
    shop.hear(None, free_text="pass me the big screwdriver will you", confidence=0.06)
    shop.hear("yes")
    assert not _logged(shop)
    shop.hear(None, free_text=said, confidence=0.06)
    assert not any("Did you mean" in sentence for sentence in shop.sentences), "taken, not only offered"
    if not _logged(shop):
        shop.hear("yes")
    (fact,) = (each for each in shop.journal.facts("job") if each.kind is FactKind.RESULT_LOGGED)
    assert fact.data["result"] == "out"


def test_a_question_and_a_harmless_command_written_freely_are_answered() -> None:
    """As typed ones are; what would move the job is told how to be said, and nothing is logged of either."""
    shop = Shop(load_libraries(tuple(shipped_procedures()))[1], "no-spark")
    at = shop.conversation.state.at
    shop.hear(None, free_text="Sorry, what was that?", confidence=0.06)
    again = shop.sentences[-2:]
    assert again and all(each in shop.sentences[:-2] or "?" in each for each in again)
    shop.hear(None, free_text="Let's skip this one.", confidence=0.06)
    assert any("say: skip" in each for each in shop.sentences)
    assert shop.conversation.state.at == at and not _logged(shop)
