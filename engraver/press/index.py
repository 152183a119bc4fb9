"""The index of a book: its exercises by key and by technique."""

from engraver.exercises.cadences import cadence_key
from engraver.exercises.titles import key_words, scale_words
from engraver.outputs.pages import IndexEntry, IndexGroup
from engraver.spec.book import BookSpec, Exercise
from engraver.spec.cadences import CadenceSpec
from engraver.spec.heads import KINDS
from engraver.spec.played import ExerciseSpec
from engraver.tables.words import Words
from engraver.theory.key import Key
from engraver.theory.pitch import PitchName

_LETTERS = "CDEFGAB"
_MINORS = ("minor", "natural minor", "harmonic minor", "melodic minor", "melodic minor raised")
"""Scales and chords that say the key themselves; of the others the tonic alone tells no key."""
_Order = tuple[int, int, int, str]


def book_index(book: BookSpec, words: Words) -> tuple[IndexGroup, ...]:
    """The played exercises by key (C to B, major before minor) and by technique; empty groups are left out."""
    played = [exercise for exercise in book.exercises if exercise.number is not None]
    groups = (
        IndexGroup(words.book.index_keys, _by_key(played, words)),
        IndexGroup(words.book.index_techniques, _by_technique(played, words)),
    )
    return tuple(group for group in groups if group.entries)


def _by_key(exercises: list[Exercise], words: Words) -> tuple[IndexEntry, ...]:
    found: dict[_Order, list[str]] = {}
    for exercise in exercises:
        if (place := _place(exercise.spec, words)) is not None:
            found.setdefault(place, []).append(exercise.id)
    return tuple(IndexEntry(place[-1], tuple(ids)) for place, ids in sorted(found.items()))


def _by_technique(exercises: list[Exercise], words: Words) -> tuple[IndexEntry, ...]:
    """In the order of the kinds, which goes from the line to the drill."""
    found: dict[str, list[str]] = {}
    for exercise in exercises:
        found.setdefault(exercise.spec.kind, []).append(exercise.id)
    return tuple(IndexEntry(words.names.techniques[kind], tuple(found[kind])) for kind in KINDS if kind in found)


def _place(spec: ExerciseSpec, words: Words) -> _Order | None:
    """Where an exercise stands among the keys, and its words there; None when it is in no key."""
    if isinstance(spec, CadenceSpec):
        return _of_key(cadence_key(spec), words)
    key, tonics = getattr(spec, "key", None), getattr(spec, "tonics", ())
    if key is not None:
        return _of_key(key, words)
    name = getattr(spec, "scale", None) or getattr(spec, "chord", None)
    if not tonics or name is None:
        return None
    tonic = tonics[0].name
    if name == "major" or name in _MINORS:
        return _of_key(Key(tonic, minor=name in _MINORS), words)
    return (*_of_tonic(tonic), 2, scale_words(tonic, name, words)) if name in words.names.scales else None


def _of_key(key: Key, words: Words) -> _Order:
    return (*_of_tonic(key.tonic), int(key.minor), key_words(key, words))


def _of_tonic(tonic: PitchName) -> tuple[int, int]:
    return _LETTERS.index(tonic.letter), tonic.alter
