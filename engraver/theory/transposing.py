"""Transpositions as a teacher writes them: `up a minor third`, `down 2 semitones`, `-3`."""

import re

from engraver.errors import SpellingError
from engraver.theory.key import MOST_SIGNS
from engraver.theory.pitch import OCTAVE, Interval

_STEPS = ("unison", "second", "third", "fourth", "fifth", "sixth", "seventh", "octave")
_NATURAL = (0, 2, 4, 5, 7, 9, 11, 12)
_PERFECT = ("unison", "fourth", "fifth", "octave")
_OFFSETS = {"perfect": 0, "major": 0, "minor": -1, "augmented": 1, "diminished": -1}
_PATTERN = re.compile(r"^(up|down)\s+(?:an?\s+|the\s+)?(?:(\w+)\s+)?(\w+)$")
_FURTHEST = 36


def parse_transposition(text: str) -> Interval | int:
    """A spelled interval from its words, or a count of semitones, upwards positive. Raises SpellingError.

    >>> parse_transposition("up a minor third"), parse_transposition("down 2 semitones")
    (Interval(letter_steps=2, semitones=3), -2)
    """
    words = " ".join(text.lower().split())
    if re.fullmatch(r"[+-]?\d{1,2}", words):
        return _bounded(int(words), text)
    found = _PATTERN.match(words)
    if found:
        sign = 1 if found.group(1) == "up" else -1
        quality, name = found.group(2), found.group(3)
        if name in ("semitone", "semitones") and (quality or "1").isdigit():
            return _bounded(sign * int(quality or 1), text)
        if name in ("octave", "octaves") and (quality or "1").isdigit():
            count = _bounded(sign * 12 * int(quality or 1), text) // 12
            return Interval(7 * count, 12 * count)
        if (interval := _interval(quality, name)) is not None:
            return interval if sign > 0 else -interval
    raise SpellingError(
        f"'{text}' is not a transposition", hint="write 'up a minor third', 'down an octave' or '+2' in semitones"
    )


def _interval(quality: str | None, name: str) -> Interval | None:
    """A named interval upwards; a perfect one needs no quality."""
    if name not in _STEPS:
        return None
    perfect = name in _PERFECT
    quality = quality or ("perfect" if perfect else None)
    if quality not in _OFFSETS or (perfect and quality in ("major", "minor")) or (not perfect and quality == "perfect"):
        return None
    step = _STEPS.index(name)
    offset = -2 if quality == "diminished" and not perfect else _OFFSETS[quality]
    return Interval(step, _NATURAL[step] + offset)


def _bounded(semitones: int, text: str) -> int:
    if abs(semitones) > _FURTHEST:
        raise SpellingError(f"'{text}' is too far", hint="transpose by at most three octaves")
    return semitones


def in_key(transposition: Interval | int, key_fifths: int) -> Interval:
    """The spelled interval that leads from a signature to one with at most seven signs; semitones to the fewest signs.

    >>> in_key(1, 0)
    Interval(letter_steps=1, semitones=1)
    """
    semitones = transposition if isinstance(transposition, int) else transposition.semitones
    octaves, rest = divmod(semitones, OCTAVE.semitones)
    near = [Interval(step + OCTAVE.letter_steps * octaves, semitones) for step in range(8)]
    near = [interval for interval in near if abs(interval.fifths) <= 12 or rest == 0]
    if isinstance(transposition, Interval):
        if abs(key_fifths + transposition.fifths) <= MOST_SIGNS:
            return transposition
        near.sort(key=lambda interval: abs(interval.letter_steps - transposition.letter_steps))
    usable = [interval for interval in near if abs(key_fifths + interval.fifths) <= MOST_SIGNS]
    if isinstance(transposition, Interval):
        return usable[0]
    return min(usable, key=lambda interval: (abs(key_fifths + interval.fifths), interval.fifths))
