"""For all tests: none is judged by its time, which on a busy machine says nothing."""

from hypothesis import settings

settings.register_profile("untimed", settings.default, deadline=None)  # in CI also without chance, as it comes
settings.load_profile("untimed")
