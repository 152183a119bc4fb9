"""Names for notes that a drill prescribes by their places on the neck rather than by a scale or a chord."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

from engraver.theory.key import Key
from engraver.theory.pitch import Midi, PitchName, SpelledPitch
from engraver.theory.spelling import spell_line

_NATURALS_UPWARDS = range(-1, 6)
_BESIDE = 4  # semitones up to which two notes make a step of a position, not a way back to its beginning


@dataclass(frozen=True, slots=True)
class Named:
    """The pitches of a drill, and the key signature that it stands in."""

    pitches: tuple[SpelledPitch, ...]
    key_fifths: int


def name_places(midis: Sequence[Midi], bars: Sequence[int], key: Key | None, convention: str) -> Named:
    """The pitches of a line of places, each with the number of its bar.

    In a key: names of the key, chromatic notes by voice leading. Without one every bar takes either sharps or flats:
    `fewest signs` those that need fewer printed signs (A and B flat in turn need one, A and A sharp many), then those
    that lie closer together on the line of fifths (F A flat, not F G sharp). On a tie, and under `sharps up, flats
    down` always, it takes sharps where it rises more often than it falls, else flats.
    Source: sharps up and flats down is common practice in finger drills; the rules before it are chosen by us.
    """
    if key is not None:
        return Named(spell_line(midis, key.signature_fifths, key.minor), key.signature_fifths)
    named: list[SpelledPitch] = []
    for _, group in groupby(zip(midis, bars, strict=True), key=lambda pair: pair[1]):
        named += _bar_names([midi for midi, _ in group], convention)
    return Named(tuple(named), 0)


def _bar_names(midis: Sequence[Midi], convention: str) -> tuple[SpelledPitch, ...]:
    sharps, flats = (tuple(_black_as(alter, midi) for midi in midis) for alter in (1, -1))
    steps = [after - before for before, after in pairwise(midis) if 0 < abs(after - before) <= _BESIDE]
    rising = sum(step > 0 for step in steps) >= sum(step < 0 for step in steps)
    first, second = (sharps, flats) if rising else (flats, sharps)
    return first if convention != "fewest signs" else min(first, second, key=_awkwardness)


def _awkwardness(pitches: Sequence[SpelledPitch]) -> tuple[int, int]:
    """Printed signs, then fifths between neighbouring names."""
    return printed_signs(pitches), sum(abs(one.interval_to(other).fifths) for one, other in pairwise(pitches))


def _black_as(alter: int, midi: Midi) -> SpelledPitch:
    """The pitch by its natural name if it has one, else raised (1) or lowered (-1)."""
    for own in (0, alter):
        for natural in _NATURALS_UPWARDS:
            name = PitchName(natural + 7 * own)
            if name.pitch_class == midi % 12:
                return SpelledPitch(name, (midi - name.alter) // 12 - 1)
    raise AssertionError("every pitch is a natural or lies between two")


def printed_signs(pitches: Sequence[SpelledPitch]) -> int:
    """How many accidentals a bar without signature shows: one wherever a letter of one octave changes its sign."""
    standing: dict[int, int] = {}
    count = 0
    for pitch in pitches:
        if standing.get(pitch.letter_index, 0) != pitch.name.alter:
            count += 1
        standing[pitch.letter_index] = pitch.name.alter
    return count
