"""The rules of part-writing between two chords: what is forbidden, and what the rest costs.

Source: common-practice part-writing (from memory; see tables/harmony.yaml). Exceptions, each named in `Rule` or here:
the German sixth may move to V in parallel fifths between the bass and an inner voice; the falling diminished third of
the Neapolitan (lowered second to leading note) is allowed; a semitone on one letter (4 to raised 4) is a step.
"""

from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from itertools import combinations

from engraver.theory.harmony import AUGMENTED_SIXTH, RomanChord, harmony_table
from engraver.theory.pitch import PitchName, SpelledPitch

_OCTAVE, _FIFTH = (0, 0), (4, 7)
_PERFECT = (_OCTAVE, _FIFTH)
_DIMINISHED_FIFTH = (4, 6)
_WHOLE_TONE, _MINOR_THIRD = 2, 3
_SMALLEST_AUGMENTED = 6
"""Places on the line of fifths between the notes of an augmented fourth; the other augmented intervals span more."""


class Rule(StrEnum):
    """What a move may offend against."""

    TENDENCY = "a note that must move goes elsewhere"
    LEAP = "a voice leaps too far"
    AUGMENTED = "a voice moves by an augmented interval"
    PARALLEL = "two voices move in parallel fifths or octaves"
    DIRECT = "the outer voices run into a fifth or an octave, the upper one leaping"


@dataclass(frozen=True, slots=True)
class Move:
    """Two chords in a row, voice by voice from the bass up."""

    chord: RomanChord
    before: tuple[SpelledPitch, ...]
    next_chord: RomanChord
    after: tuple[SpelledPitch, ...]


@cache
def cost(name: str) -> float:
    """A cost of tables/harmony.yaml. Raises KeyError for a name that the table lacks."""
    return {row.name: row.value for row in harmony_table().costs}[name]


def forbidden(move: Move) -> Rule | None:
    """The first rule that a move offends against, or None."""
    if not _tendencies_kept(move):
        return Rule.TENDENCY
    if rule := _melodic_fault(move):
        return rule
    if any(_is_parallel(move, low, high) and not _excused(move, low, high) for low, high in _pairs(move)):
        return Rule.PARALLEL
    return Rule.DIRECT if _is_direct(move) else None


def move_cost(move: Move) -> float:
    """What a permitted move costs: far upper voices, lost common tones, weak fifths, voices all in one direction."""
    steps = _steps(move)
    total = abs(steps[0]) * cost("bass")
    for voice, step in enumerate(steps[1:], start=1):
        total += abs(step) * cost("step") + max(0, abs(step) - _MINOR_THIRD - 1) * cost("leap")
        total += cost("lost") * (step != 0 and move.before[voice].name in {p.name for p in move.after[1:]})
    total += cost("overlap") * _overlaps(move)
    for low, high in _pairs(move):
        both = _between(move.before, low, high), _between(move.after, low, high)
        total += cost("unequal") * (both == (_DIMINISHED_FIFTH, _FIFTH)) + cost("exception") * (
            _is_parallel(move, low, high)
        )
    one_way = all(step > 0 for step in steps) or all(step < 0 for step in steps)
    return total + cost("together") * one_way


def _steps(move: Move) -> tuple[int, ...]:
    return tuple(b.sounding_midi - a.sounding_midi for a, b in zip(move.before, move.after, strict=True))


def _pairs(move: Move) -> tuple[tuple[int, int], ...]:
    return tuple(combinations(range(len(move.before)), 2))


def _tendencies_kept(move: Move) -> bool:
    names = {pitch.name for pitch in move.after}
    for name, targets in move.chord.tendencies:
        for a, b in zip(move.before, move.after, strict=True):
            if a.name == name and not _resolved(a, b, targets, names):
                return False
    return True


def _resolved(a: SpelledPitch, b: SpelledPitch, targets: tuple[PitchName, ...], names: set[PitchName]) -> bool:
    """True when a note with a tendency stays (if the next chord has it too) or steps to one of its targets."""
    if a.name in names:
        return a == b
    return b.name in targets and abs(b.sounding_midi - a.sounding_midi) <= _WHOLE_TONE


def _melodic_fault(move: Move) -> Rule | None:
    limits = harmony_table().limits
    for voice, (a, b) in enumerate(zip(move.before, move.after, strict=True)):
        widest = limits.widest_leap if voice else limits.widest_bass_leap
        low, high = sorted((a, b), key=lambda pitch: pitch.letter_index)
        interval = low.interval_to(high)
        if abs(interval.semitones) > widest:
            return Rule.LEAP
        if interval.letter_steps and interval.fifths >= _SMALLEST_AUGMENTED:
            return Rule.AUGMENTED
    return None


def _between(chord: tuple[SpelledPitch, ...], low: int, high: int) -> tuple[int, int]:
    """The interval between two voices within the octave: letters and semitones."""
    letters = chord[high].letter_index - chord[low].letter_index
    return letters % 7, (chord[high].sounding_midi - chord[low].sounding_midi) % 12


def _is_parallel(move: Move, low: int, high: int) -> bool:
    """True for the same perfect interval twice running, both voices moving; in contrary motion too."""
    first = _between(move.before, low, high)
    moved = move.before[low] != move.after[low]
    return moved and first in _PERFECT and first == _between(move.after, low, high)


def _excused(move: Move, low: int, high: int) -> bool:
    """The fifths of the German sixth on its way to the dominant, between the bass and an inner voice."""
    inner = high < len(move.before) - 1
    fifth = _between(move.before, low, high) == _FIFTH
    return move.chord.numeral == AUGMENTED_SIXTH and low == 0 and inner and fifth


def _is_direct(move: Move) -> bool:
    steps = _steps(move)
    similar = steps[0] * steps[-1] > 0
    return similar and abs(steps[-1]) > _WHOLE_TONE and _between(move.after, 0, len(steps) - 1) in _PERFECT


def _overlaps(move: Move) -> int:
    """How many voices pass the place that a neighbour has just left."""
    pairs = zip(range(len(move.before)), range(1, len(move.before)), strict=False)
    midi_before = [pitch.sounding_midi for pitch in move.before]
    midi_after = [pitch.sounding_midi for pitch in move.after]
    return sum((midi_after[low] > midi_before[high]) + (midi_after[high] < midi_before[low]) for low, high in pairs)
