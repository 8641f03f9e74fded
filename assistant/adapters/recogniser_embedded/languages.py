"""Grammars made ready for the network, kept for the next time that they are heard."""

from __future__ import annotations

from collections import OrderedDict

from assistant.adapters.recogniser_embedded import limits
from assistant.adapters.recogniser_embedded.network import Network, NoiseHabits
from assistant.errors import ProcedureError
from assistant.grammar.automaton import automaton_of
from assistant.grammar.model import Grammar
from assistant.hearing.beam import Language
from assistant.hearing.habits import HabitBook
from assistant.hearing.sound import habit_noise
from assistant.procedure.sound import sounds_of


class Languages:
    """The last few that were heard."""

    def __init__(self, network: Network) -> None:
        self._vocabulary = network.vocabulary
        self._habits = HabitBook(NoiseHabits(network, habit_noise()), network.vocabulary)
        self._kept: OrderedDict[tuple[object, ...], Language] = OrderedDict()

    def of(self, grammar: Grammar) -> Language:
        """The grammar made ready. Raises ProcedureError where nothing can be said in it or the network cannot write a
        word of it."""
        key: tuple[object, ...] = (tuple(sorted(grammar.rules.items())), grammar.starts)
        language = self._kept.get(key)
        if language is None:
            language = self._kept[key] = self._made(grammar)
            if len(self._kept) > limits.LANGUAGES_KEPT:
                self._kept.popitem(last=False)
        self._kept.move_to_end(key)
        return language

    def clear(self) -> None:
        """Free memory."""
        self._kept.clear()

    def _made(self, grammar: Grammar) -> Language:
        automaton = automaton_of(grammar)
        if automaton.says_nothing:
            raise ProcedureError(f"grammar '{grammar.name}': nothing may be said in it")
        language = Language(automaton, self._vocabulary, self._habits, sounds_of)
        unheard = sorted(language.unspellable(self._vocabulary))
        if unheard:
            words = ", ".join(unheard[:5])
            raise ProcedureError(f"grammar '{grammar.name}': the English network cannot write {words}; say it else")
        return language
