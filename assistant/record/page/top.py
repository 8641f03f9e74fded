"""The top of the page: the finding, what nobody may overlook, the vehicle, the proof."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.english.reasoned import BEHIND_IT, BY_TEST
from assistant.procedure.condition import OF_THE_CAR
from assistant.record.clips import clips_place
from assistant.record.model import JobRecord
from assistant.record.page.repair import WITHOUT_CURE, fault_name, joined, repair_parts, repaired_words
from assistant.record.personal import REMOVED
from assistant.record.wording import amount, as_sure, bounded, percent, plain_words, times

VIN_WORDS = {
    "right": "check digit right",
    "wrong": "check digit WRONG: read the number again",
    "not-applicable": "check digit does not apply",
    "not-a-vin": "not a VIN: it has not 17 legal characters",
}
NO_ODDS = "None are reckoned for this finding: it stands by its tests alone."
LEAST_ODDS = 0.05
MOST_ROUNDED = 1.02
"""Odds of faults that shut each other out add up to 1, but for rounding."""
MOST_LIKELY = 3
"""What is named of the odds where there is no finding. Judgement."""
OPEN_WORDS = {"left-off": " (left off, as said)", "unsure": " (perhaps: its step was left in the middle)"}


def headline(record: JobRecord) -> str:
    """What was repaired, else the finding, in one line, said as sure as it is, or why there is none."""
    if record.repair is not None:
        return bounded(repaired_words(record, record.repair))
    if record.finding is not None:
        return bounded(as_sure(record.finding.standing, record.finding.title))
    if record.state == "ended":
        return "No finding: the job was ended before one was reached."
    return "No finding yet: the job is open."


def finding_parts(record: JobRecord) -> tuple[tuple[str, str], ...]:
    """The finding by its parts, each with its name; what became of its repair in their place once there is one."""
    found = record.finding
    if record.repair is not None:
        return repair_parts(record, record.repair)
    if found is None:
        likely = _likeliest(record)
        told = (("Not proved", bounded(f"By the odds most likely {likely}")), ("Beside it", _beside(record)))
        return tuple((name, words) for name, words in told if likely and words)
    parts = (
        ("Fault", fault_name(record, found.fault)),
        (BY_TEST, joined(found.by_test)),
        (BEHIND_IT, joined(found.likely)),
        ("Not tested", joined(found.untested)),
        ("Odds", found.by_odds or (NO_ODDS if record.odds else "")),
        ("Beside it", _beside(record)),
        ("Repair confirmed", fault_name(record, found.repair)),
        (WITHOUT_CURE, "; ".join(found.failed)),
        ("Next step", found.next_step),
    )
    return tuple((name, bounded(words)) for name, words in parts if words)


def _likeliest(record: JobRecord) -> str:
    """The few faults that the last odds leave, the likeliest first; empty where no odds were kept."""
    last = record.odds[-1].faults if record.odds else {}
    leading = sorted((name for name in last if last[name] >= LEAST_ODDS), key=lambda name: -last[name])
    return ", ".join(f"{fault_name(record, name)} {percent(last[name])}" for name in leading[:MOST_LIKELY])


TWO_AT_ONCE = "Each fault has odds of its own, for a car can have two at once: together they may exceed 100 %."


def _beside(record: JobRecord) -> str:
    """How odds are to be read that come to more than a whole; empty where they do not."""
    last = record.odds[-1].faults if record.odds else {}
    if sum(last.values()) <= MOST_ROUNDED:
        return ""
    found = record.finding.fault if record.finding else None
    others = [name for name in sorted(last, key=lambda name: -last[name]) if name != found and last[name] >= LEAST_ODDS]
    named = ", ".join(f"{fault_name(record, name)} {percent(last[name])}" for name in others[:MOST_LIKELY])
    return f"{named}. {TWO_AT_ONCE}" if record.finding and named else TWO_AT_ONCE


def warnings(record: JobRecord) -> tuple[str, ...]:
    """What nobody may overlook: parts that are off, duty that was exceeded, a VIN that cannot be."""
    found = [f"Still off the vehicle: {bounded(one.item)}" + OPEN_WORDS.get(one.state, "") for one in record.open_items]
    left = [one.words for one in record.bay if one.condition in OF_THE_CAR]
    found += [f"As far as was said, of car and bay: {', '.join(left)}."] if left else []
    early = sum(one.rest_due_s > 0 for one in record.bursts)
    if early:
        found.append(f"The starter was turned {times(early, 'time')} while a rest was still due.")
    over = sum(one.seconds > record.duty.stop_limit_s for one in record.bursts)
    if over:
        found.append(f"{times(over, 'burst')} lasted longer than {amount(record.duty.stop_limit_s, 's')}.")
    if record.vehicle.vin_check in ("wrong", "not-a-vin"):
        found.append(f"VIN: {VIN_WORDS[record.vehicle.vin_check]}.")
    unanswered = sum(one.acknowledged_at_s is None for one in record.cautions)
    if unanswered:
        found.append(
            f"Spoken and not acknowledged: {times(unanswered, 'caution')}; what they stand before was not started."
        )
    return tuple(found)


MOST_DAMAGE = 4
"""Sentences of damage that the top names; the JSON report holds them all."""


def damage(record: JobRecord) -> tuple[str, ...]:
    """What is not as it was recorded, for the very top; empty where everything is."""
    if not record.damage:
        return ()
    more = len(record.damage) - MOST_DAMAGE
    left_out = (f"and {more} more: run hoodside jobs verify",) if more > 0 else ()
    return (*(bounded(one) for one in record.damage[:MOST_DAMAGE]), *left_out)


def vehicle(record: JobRecord) -> tuple[tuple[str, str], ...]:
    """What was told of the vehicle, each with its name."""
    told = record.vehicle
    vin = f"{told.vin} ({VIN_WORDS.get(told.vin_check, '')})" if told.vin and told.vin_check else told.vin
    parts = [("Make", told.make), ("Model", told.model), ("Year", told.year), ("VIN", vin), ("Mileage", told.mileage)]
    parts += [(plain_words(name), words) for name, words in record.personal.items()]
    parts.append(("Told of it", _pairs(told.facts)))
    parts.append(("Its own limits", _pairs(told.limits)))
    return tuple((_capital(bounded(name)), bounded(words)) for name, words in parts if words)


def proof(record: JobRecord) -> tuple[tuple[str, str], ...]:
    """The chain's head, for checking the stored record against this page, and what led the job."""
    parts = (
        ("Begun as", record.facts[0].job if record.facts[0].job != record.job else ""),
        ("Facts in the chain", str(record.chain.number)),
        ("Chain head (SHA-256)", record.chain.hash),
        ("Log of the store", f"{record.log.size} entries, root {record.log.root}" if record.log else ""),
        ("Signed with the key", record.log.key if record.log else ""),
        ("Procedure", _procedure(record)),
        ("Heard by", record.engine or "not stated"),
        ("Sound kept", _sound(record)),
    )
    return tuple((name, words) for name, words in parts if words)


def _sound(record: JobRecord) -> str:
    """How much sound was kept with the job and where it lies; empty where none is."""
    hearings = (one.said.hearing for one in record.facts)
    kept = {heard.clip for heard in hearings if heard is not None} - {"", REMOVED}
    where = "/".join(clips_place(record.job))
    return f"{len(kept)} clip{'s' * (len(kept) != 1)} of what was said, in {where} of the data folder" if kept else ""


def _pairs(told: Mapping[str, str]) -> str:
    return "; ".join(f"{plain_words(name)} {words}" for name, words in told.items())


def _procedure(record: JobRecord) -> str:
    used = record.procedure
    return used.id if used.version is None else f"{used.id}, version {used.version}"


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
