"""Note names as other languages write them, so that an error can give the English ones that a book asks for."""

from functools import cache

from engraver.tables.words import languages, words
from engraver.theory.pitch import LETTERS, PitchName

_MODES = {"dur": "major", "majeur": "major", "mayor": "major", "maggiore": "major", "maior": "major",
          "moll": "minor", "mineur": "minor", "menor": "minor", "minore": "minor"}  # fmt: skip
"""The two modes in the languages of the printed words; the names themselves stand in the tables of words."""


def english_name(text: str) -> str:
    """What `text` is in English, when it is a note or a key by the names of another language; else an empty text.

    Names that mean different notes in different languages are left alone.

    >>> english_name("Cis"), english_name("sol mineur"), english_name("H moll")
    ('C sharp', 'G minor', 'B minor')
    """
    name, _, mode = " ".join(text.replace("-", " ").lower().split()).rpartition(" ")
    if mode in _MODES and (note := _notes().get(name)):
        return f"{note} {_MODES[mode]}"
    return _notes().get(" ".join(text.lower().split()), "")


@cache
def _notes() -> dict[str, str]:
    """The English name of every note by its name in any other language, where all of them agree."""
    found: dict[str, set[str]] = {}
    for language in languages():
        for letter in LETTERS if language != "en" else ():
            for alter in range(-2, 3):
                written = str(words(language).note_name(letter, alter)).lower()
                found.setdefault(written, set()).add(PitchName.of(letter, alter).words)
    return {written: names.pop() for written, names in found.items() if len(names) == 1}
