"""What the customer is told is no surer than the finding. The cars are our own invention."""

from __future__ import annotations

import pytest

from assistant.facts import FactKind, FindingReached
from assistant.guide import Library
from assistant.reasoning.reasoner import Reasoner
from assistant.session.adviser import Adviser
from tests.session.led_jobs import lead_to_the_end
from tests.session.room import Room
from tests.session.test_leading_by_what_was_told import CLICKS, DRAGS


@pytest.mark.parametrize("own", [CLICKS, DRAGS, {}], ids=["clicks", "drags", "nothing seen"])
def test_no_part_has_to_be_replaced_that_is_not_proved_broken(
    own: dict[str, str], library: Library, reasoner: Reasoner
) -> None:
    """Neither is it said so nor kept so: a customer pays for what he is told is worn out."""
    room = Room(library, adviser=Adviser(reasoner, library), leads=True)
    lead_to_the_end(room, library, own)
    reached = [fact.said for fact in room.facts if fact.kind is FactKind.FINDING_REACHED]
    found = [each for each in reached if isinstance(each, FindingReached) and each.customer]
    for each in found:
        assert each.standing == "proved" or each.customer.startswith(("Most likely it is", "It is not clear yet."))
