"""Procedures walked by machine, through the real guide, before anybody follows them at a car."""

from assistant.simulation.report import Account, Report, simulate
from assistant.simulation.telling import told_tests
from assistant.simulation.watch import Rule

__all__ = ["Account", "Report", "Rule", "simulate", "told_tests"]
