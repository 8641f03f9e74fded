"""Times and words as the documents write them."""

from __future__ import annotations

from assistant.record.wording import LONGEST_WORDS, bounded, day_and_time, fitted, parsed_utc


def test_what_is_no_time_of_day_is_shown_as_it_is() -> None:
    """A time without a zone is taken for UTC."""
    assert day_and_time("soon\u202e", lambda when: when) == "soon\ufffd"
    assert parsed_utc("2031-05-01T09:00:00") == parsed_utc("2031-05-01T09:00:00Z") is not None
    assert parsed_utc("soon") is None


def test_long_lines_are_cut_between_words_and_long_words_after_so_many_signs() -> None:
    """A terminal shows 80 columns; a path stays whole; a page says how much it leaves out."""
    lines = fitted("word " * 30 + "/a" * 50).split("\n")
    assert all(len(line) <= 80 for line in lines[:-1]) and lines[-1].endswith("/a" * 50)
    assert all(line.startswith("    ") for line in lines[1:])
    assert bounded("x" * LONGEST_WORDS) == "x" * LONGEST_WORDS
    assert bounded("x" * (LONGEST_WORDS + 2)).endswith("(2 more characters in the JSON report)")
