import re

import pytest

from engraver.errors import SpecError
from engraver.score.signs import Sign
from engraver.tables.words import Words, languages, words
from engraver.theory.chord import chord_names
from engraver.theory.scale import scale_names

_PLACES = re.compile(r"\{(\w+)(?::\w+)?\}")


def places(table: Words) -> dict[str, set[str]]:
    """The named places of every pattern of a language, by the pattern's path."""
    found: dict[str, set[str]] = {}

    def walk(path: str, value: object) -> None:
        if isinstance(value, dict):
            for key, inner in value.items():
                walk(f"{path}/{key}", inner)
        elif isinstance(value, str) and _PLACES.search(value):
            found[path] = set(_PLACES.findall(value))

    walk("", table.model_dump())
    return found


@pytest.mark.parametrize("language", languages())
def test_every_language_fills_in_the_same_places(language: str) -> None:
    """A pattern of one language names no place that the English one lacks, and leaves none out."""
    assert places(words(language)) == places(words("en"))


@pytest.mark.parametrize("language", languages())
def test_every_sign_scale_and_chord_has_words(language: str) -> None:
    """The legend can explain each sign a score prints; each scale and chord of the tables has a printed name."""
    table = words(language)
    assert {sign.value for sign in Sign} <= set(table.signs)
    assert set(scale_names()) <= set(table.names.scales)
    assert set(chord_names()) <= set(table.names.chords)


@pytest.mark.parametrize(
    ("letter", "alter", "name"), [("B", 0, "B"), ("E", -1, "E flat"), ("F", 2, "F double sharp"), ("C", 1, "C sharp")]
)
def test_note_names_are_written_in_words(letter: str, alter: int, name: str) -> None:
    """Letter, then flat or sharp in words; a natural note is its letter alone."""
    assert words("en").note_name(letter, alter) == name


def test_tempo_metre_and_counts_in_words() -> None:
    """Note values by their British names, ranges with a dash, small numbers in words."""
    english = words("en")
    assert english.tempo_text(4, 1, 60, 96) == "dotted crotchet = 60\N{EN DASH}96"
    assert english.tempo_text(8, 0, 60, 60) == "quaver = 60"
    assert (english.octaves(1), english.octaves(3), english.bars(40)) == ("one octave", "three octaves", "40 bars")
    assert (english.metre("6/8"), english.metre("7/16")) == ("six-eight time", "7/16 time")
    assert english.listing(("i", "m", "a")) == "i, m and a"


def test_a_region_takes_the_words_of_its_language() -> None:
    """British English is English."""
    assert words("en-GB") is words("en")


def test_an_unknown_language_names_those_that_can_be_had() -> None:
    """The error quotes the language asked for."""
    with pytest.raises(SpecError, match=r"'tlh'; choose one of: .*en"):
        words("tlh")


def test_the_cautions_say_to_stop_at_pain_and_whom_to_ask() -> None:
    """Pain, numbness and tingling mean stop; the teacher and a health professional are named; nothing is promised."""
    cautions = words("en").cautions
    text = " ".join([cautions.intro, *cautions.rules, cautions.closing])
    for needed in ("pain", "numbness", "tingling", "teacher", "health professional", "Warm up", "ten minutes"):
        assert needed in text
    assert "pain" in cautions.one_line
