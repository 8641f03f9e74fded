"""A small model that is quick to reckon by hand, and the shipped one."""

from __future__ import annotations

import pytest

from assistant.reasoning.model import Model
from assistant.reasoning.reader import read_model
from assistant.reasoning.reasoner import Reasoner, make_reasoner
from assistant.wiring import shipped_folder

LAMP = """
id: lamp
version: 1
title: A made-up lamp
settings:
  priors: shares
  none_of_these: 0.1
  two_faults: 0.1
  proved_at: 0.9
  minutes_a_bit: 30
  prior_repairs: 50
  moving: {hood: 0.5, seat: 0.25}
  source: judgement
faults:
  - {id: dead-bulb, say: a dead bulb, prior: 0.5, source: judgement}
  - {id: no-feed, say: no feed, prior: 0.3, source: judgement}
  - {id: bad-switch, say: a bad switch, prior: 0.1, source: judgement}
set_ups:
  - {id: meter, say: volt meter, minutes: 4, source: judgement}
lingers:
  - {id: smoke, say: smoke, minutes: 5, source: judgement}
conditions:
  - id: feed
    say: feed
    values: [{id: holds, say: the feed holds}, {id: sags, say: the feed sags}, {id: gone, say: the feed is gone}]
    default: {holds: 0.9, sags: 0.1}
    rows:
      - {under: [no-feed], likely: {sags: 0.2, gone: 0.8}}
      - {under: [bad-switch], likely: {holds: 0.5, sags: 0.5}}
    source: judgement
tests:
  - id: look
    say: look at the lamp
    place: seat
    minutes: 1
    results: [{id: lit, say: it is lit}, {id: dark, say: it is dark}]
    default: {lit: 0.9, dark: 0.1}
    rows:
      - {given: {feed: [gone]}, likely: {dark: 1}}
      - {under: [dead-bulb], likely: {lit: 0.1, dark: 0.9}}
      - {given: {feed: [sags]}, likely: {lit: 0.6, dark: 0.4}}
    source: judgement
    seen_from:
      - {procedure: lamp-check, step: look, results: {bright: lit, dull: dark}}
  - id: volts
    say: voltage at the lamp
    place: hood
    minutes: 2
    set_ups: [meter]
    opened_by: [{test: look, results: [dark]}]
    not_during: [smoke]
    unit: V
    results: [{id: good, say: the voltage is good}, {id: low, say: the voltage is low}]
    bands:
      - {result: low, below: 11, source: judgement}
      - {result: good, at_least: 11, source: judgement}
    default: {good: 0.95, low: 0.05}
    rows:
      - {given: {feed: [gone, sags]}, likely: {good: 0.05, low: 0.95}}
    source: judgement
    seen_from:
      - {procedure: lamp-check, step: volts, results: {enough: good}}
  - id: current
    say: lamp current
    place: hood
    minutes: 3
    set_ups: [meter]
    cranks_s: 6
    leaves: [smoke]
    results: [{id: flows, say: current flows}, {id: none, say: no current flows}]
    default: {flows: 0.95, none: 0.05}
    rows:
      - {under: [dead-bulb, bad-switch], likely: {flows: 0.05, none: 0.95}}
    source: judgement
"""


@pytest.fixture
def lamp() -> Model:
    """Three faults, one condition, three tests."""
    return read_model("lamp.faults.yaml", LAMP)


@pytest.fixture(scope="session")
def shipped() -> Reasoner:
    """The shipped no-start model, compiled."""
    path = shipped_folder("procedures") / "no-start.faults.yaml"
    return make_reasoner(read_model(str(path), path.read_text(encoding="utf-8")))
