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
