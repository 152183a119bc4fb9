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


@dataclass(frozen=True, slots=True)
class Unnamed:
    """A sounding pitch that wants a name, the stretch of the drill that is named alike, and the bar it stands in."""

    midi: Midi
    stretch: int
    bar: int


def name_places(line: Sequence[Unnamed], key: Key | None, convention: str) -> Named:
    """The pitches of a line of places in order of time.

    In a key: names of the key, chromatic notes by voice leading. Without one a stretch takes either sharps or flats:
    `fewest signs` those that need fewer printed signs (A and B flat in turn need one, A and A sharp many), then those
    that lie closer together on the line of fifths (F A flat, not F G sharp). On a tie, and under `sharps up, flats
    down` always, it takes sharps where it rises more often than it falls, else flats.
    Source: sharps up and flats down is common practice in finger drills; the rules before it are chosen by us.
    """
    if key is not None:
        midis = [note.midi for note in line]
        return Named(spell_line(midis, key.signature_fifths, key.minor), key.signature_fifths)
    stretches = (tuple(notes) for _, notes in groupby(line, key=lambda note: note.stretch))
    return Named(tuple(pitch for stretch in stretches for pitch in _one_way(stretch, convention)), 0)


def _one_way(stretch: Sequence[Unnamed], convention: str) -> tuple[SpelledPitch, ...]:
    """A stretch with sharps or with flats, as the convention says."""
    sharps, flats = (tuple(_black_as(alter, note.midi) for note in stretch) for alter in (1, -1))
    leaps = [after.midi - before.midi for before, after in pairwise(stretch)]
    steps = [leap for leap in leaps if 0 < abs(leap) <= _BESIDE]
    rising = sum(step > 0 for step in steps) >= sum(step < 0 for step in steps)
    first, second = (sharps, flats) if rising else (flats, sharps)
    if convention != "fewest signs":
        return first
    bars = [note.bar for note in stretch]
    return min(first, second, key=lambda pitches: (printed_signs(pitches, bars), _fifths_between(pitches)))


def _fifths_between(pitches: Sequence[SpelledPitch]) -> int:
    """How far neighbouring names lie apart on the line of fifths, all in all."""
    return sum(abs(one.interval_to(other).fifths) for one, other in pairwise(pitches))


def _black_as(alter: int, midi: Midi) -> SpelledPitch:
    """The pitch by its natural name if it has one, else raised (1) or lowered (-1)."""
    for own in (0, alter):
        for natural in _NATURALS_UPWARDS:
            name = PitchName(natural + 7 * own)
            if name.pitch_class == midi % 12:
                return SpelledPitch(name, (midi - name.alter) // 12 - 1)
    raise AssertionError("every pitch is a natural or lies between two")


def printed_signs(pitches: Sequence[SpelledPitch], bars: Sequence[int]) -> int:
    """How many accidentals a line without signature shows: one wherever a letter changes its sign within a bar."""
    standing: dict[tuple[int, int], int] = {}
    count = 0
    for pitch, bar in zip(pitches, bars, strict=True):
        if standing.get((bar, pitch.letter_index), 0) != pitch.name.alter:
            count += 1
        standing[bar, pitch.letter_index] = pitch.name.alter
    return count
