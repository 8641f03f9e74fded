"""Which values belong to a person: each kept apart from the chain, so that it can go without a hash changing."""

from __future__ import annotations

import json
from itertools import count

import pytest

from assistant.facts import FactKind
from assistant.record.admission import LONGEST_NAME, free_label, is_name
from assistant.record.personal import (
    COMMITMENT_KEY,
    REMOVED,
    Apart,
    Belonging,
    commitment,
    commitments,
    goes,
    put_back,
    set_apart,
    with_values_masked,
    without_values,
)

OWNERS = ("plate", "vin", "customer", "owner", "keeper", "driver", "contact", "phone", "email", "address", "person")
DICTATED = ("words", "text", "note", "value", "free_text", "said", "complaint", "reason")
FREE = (FactKind.NOTE_TAKEN, FactKind.WORDS_KEPT, FactKind.STEP_SKIPPED, FactKind.STRUCK)


def apart(kind, data):
    """The chained form and what lies beside it, with a salt of its own for each value."""
    numbers = count(1)
    return set_apart({"kind": str(kind), "data": data}, lambda: bytes([next(numbers)]))


def belongings(kind, data):
    return {one.place: one.belongs for one in apart(kind, data)[1]}


@pytest.mark.parametrize("key", OWNERS)
def test_what_names_the_owner_is_kept_apart_wherever_it_stands(key):
    """Under its own name in any letters, however deep, and beside a name that says what it is."""
    kind = FactKind.VEHICLE_NOTED
    assert belongings(kind, {key: "x", key.upper(): "y"}) == {
        f"/{key}": Belonging.OWNER,
        f"/{key.upper()}": Belonging.OWNER,
    }
    assert belongings(kind, {"of": {"it": {key: "x"}}}) == {f"/of/it/{key}": Belonging.OWNER}
    for naming in ("fact", "name", "key", "of"):
        for value in ("value", "words", "heard", "said", "text"):
            assert belongings(kind, {naming: key, value: "x", "by": "start"}) == {f"/{value}": Belonging.OWNER}


def test_who_did_the_work_is_staff():
    """It goes only where that is asked for."""
    assert belongings(FactKind.JOB_STARTED, {"technician": "x"}) == {"/technician": Belonging.STAFF}
    assert belongings(FactKind.VEHICLE_NOTED, {"fact": "technician", "value": "x"}) == {"/value": Belonging.STAFF}


@pytest.mark.parametrize("kind", FREE)
@pytest.mark.parametrize("key", DICTATED)
def test_free_words_are_kept_apart_in_each_fact_that_holds_any(kind, key):
    """Whatever the key is called; in a fact of another kind the same key is no dictation."""
    assert belongings(kind, {key: "x"}) == {f"/{key}": Belonging.WORDS}
    assert belongings(FactKind.RESULT_LOGGED, {key: "x"}) == {}


@pytest.mark.parametrize("key", ["clip", "picture"])
def test_sound_and_photographs_are_named_apart(key):
    """In facts of every kind."""
    for kind in (FactKind.RESULT_LOGGED, FactKind.NOTE_TAKEN):
        assert belongings(kind, {"hearing": {key: "x.wav"}}) == {f"/hearing/{key}": Belonging.WORDS}


def test_our_own_words_for_the_customer_are_nobodys():
    """In a finding alone, also where an older fact kept them apart."""
    assert belongings(FactKind.FINDING_REACHED, {"customer": "it is dry"}) == {}
    for kind, stays in ((FactKind.FINDING_REACHED, True), (FactKind.NOTE_TAKEN, False)):
        one = Apart(place="/customer", belongs=Belonging.OWNER, salt=b"s", value='"x"')
        assert goes(str(kind), one, frozenset({Belonging.OWNER})) is not stays


def test_a_removal_takes_what_it_names_and_what_is_there():
    """Not what belongs to another, and nothing twice."""
    one = Apart(place="/words", belongs=Belonging.WORDS, salt=b"s", value='"x"')
    kind = str(FactKind.NOTE_TAKEN)
    assert goes(kind, one, frozenset({Belonging.WORDS}))
    assert not goes(kind, one, frozenset({Belonging.OWNER, Belonging.STAFF}))
    (gone,) = without_values((one,), frozenset({"/words"}), "2031")
    assert (gone.salt, gone.value, gone.removed_utc) == (None, None, "2031")
    assert not goes(kind, gone, frozenset({Belonging.WORDS}))
    assert without_values((one,), frozenset({"/other"}), "2031") == (one,)


def test_nothing_is_kept_apart_where_nothing_is_said():
    """An empty value needs no salt; numbers and lists of the owner's do."""
    assert belongings(FactKind.NOTE_TAKEN, {"plate": "", "vin": None, "owner": [], "words": "x"}) == {
        "/words": Belonging.WORDS
    }
    assert belongings(FactKind.NOTE_TAKEN, {"phone": 42, "keeper": ["a", "b"]}) == {
        "/phone": Belonging.OWNER,
        "/keeper": Belonging.OWNER,
    }


def test_what_lies_apart_comes_back_at_its_place():
    """Also within lists, and with keys that hold the signs of a path; what is gone is said to be gone."""
    data = {"all": [{"plate": "DEMO 1"}, {"plate": "DEMO 2"}], "a/b~c": {"vin": "v"}, "km": [1, 2]}
    public, beside = apart(FactKind.VEHICLE_NOTED, data)
    by_place = {one.place: one for one in beside}
    assert set(by_place) == {"/all/0/plate", "/all/1/plate", "/a~1b~0c/vin"}
    assert "DEMO" not in json.dumps(public) and public["data"]["km"] == [1, 2]
    assert put_back(public, by_place)["data"] == data
    del by_place["/all/1/plate"]
    by_place["/a~1b~0c/vin"] = without_values((by_place["/a~1b~0c/vin"],), frozenset({"/a~1b~0c/vin"}), "2031")[0]
    back = put_back(public, by_place)["data"]
    assert back == {"all": [{"plate": "DEMO 1"}, {"plate": REMOVED}], "a/b~c": {"vin": REMOVED}, "km": [1, 2]}


def test_a_commitment_is_of_salt_and_value():
    """Each place has its own, and none tells the value: the same plate twice looks different."""
    public, beside = apart(FactKind.VEHICLE_NOTED, {"all": [{"plate": "DEMO 1"}, {"plate": "DEMO 1"}]})
    promised = commitments(public)
    assert promised == {one.place: commitment(one.salt, one.value) for one in beside}
    assert len(set(promised.values())) == len(promised) == 2


def test_a_fact_may_not_pretend_to_hold_a_commitment():
    """Else anybody's value could be put in its place."""
    for data in ({COMMITMENT_KEY: "00"}, {"a": {"b": {COMMITMENT_KEY: "00"}}}, {"a": [{COMMITMENT_KEY: "00"}]}):
        with pytest.raises(ValueError, match=COMMITMENT_KEY):
            apart(FactKind.NOTE_TAKEN, data)


def test_values_are_masked_at_their_places_alone():
    """Blank commitments stand there, and what stood there is told as JSON."""
    plain = {"data": {"a": {"plate": "x"}, "l": [{"vin": 1}, {"vin": 2}], "km": 3}}
    masked, taken = with_values_masked(plain, {"/a/plate", "/l/1/vin"})
    blank = {COMMITMENT_KEY: ""}
    assert masked == {"data": {"a": {"plate": blank}, "l": [{"vin": 1}, {"vin": blank}], "km": 3}}
    assert taken == {"/a/plate": '"x"', "/l/1/vin": "2"}


def test_the_first_free_number_makes_a_name_free():
    """From two on; a name that nobody has stays."""
    taken = {"van", "van (2)", "van (3)"}
    assert free_label("van", taken.__contains__) == "van (4)"
    assert free_label("car", taken.__contains__) == "car"


@pytest.mark.parametrize(
    ("name", "fits"),
    [("", False), ("a", True), ("a" * LONGEST_NAME, True), ("a" * (LONGEST_NAME + 1), False), ("a\x00", False),
     ("\ud800", False)],
)  # fmt: skip
def test_every_store_can_hold_the_name_of_a_job(name, fits):
    """Not too long, no NUL, and text."""
    assert is_name(name) is fits
