"""The moments of a score: what starts together, and where the measures lie, counted in whole ticks.

Ticks are the smallest unit the score needs (a crotchet has 1, a quaver line 2, with triplets 6 …), so that the rows of
marks are laid out with whole numbers.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from math import lcm

from engraver.outputs.lilypond_notes import length_text
from engraver.score.model import Element, Measure, NoteValue, Score, ScoreNote


@cache
def quarters(value: NoteValue) -> Fraction:
    """The length of a note value in quarters, worked out once."""
    return value.quarters


def measure_length(measure: Measure) -> Fraction:
    """The length of a measure in quarters, by its fullest voice."""
    return max(sum((quarters(e.value) for e in voice.elements), Fraction(0)) for voice in measure.voices)


@dataclass(frozen=True, slots=True)
class Moment:
    """A tick and the elements that start there."""

    tick: int
    elements: tuple[Element, ...]

    @property
    def notes(self) -> Iterator[ScoreNote]:
        """The notes that start here, voice by voice."""
        return (note for element in self.elements for note in element.notes)


@dataclass(frozen=True, slots=True)
class Timeline:
    """The moments in order of time, and the first tick of each measure with the end of the last."""

    ticks_per_quarter: int
    moments: tuple[Moment, ...]
    bounds: tuple[int, ...]

    def tick(self, onset: Fraction) -> int:
        """The tick of an onset in quarters."""
        return onset.numerator * self.ticks_per_quarter // onset.denominator

    def length(self, ticks: int) -> str:
        """A length in LilyPond's words."""
        return _length(ticks, self.ticks_per_quarter)


def timeline(score: Score) -> Timeline:
    """The moments and measures of a score."""
    lengths = [measure_length(measure) for measure in score.measures]
    end = sum(lengths, Fraction(0))
    start = score.measures[0].voices[0].elements[0].onset_quarters
    whole = lcm(start.denominator, *(e.onset_quarters.denominator for e in score.elements))
    whole = lcm(whole, *(length.denominator for length in lengths))
    if any(hairpin.end_quarters - start >= end for hairpin in score.hairpins):
        whole *= 2  # its end stands in the middle of the last note
    groups: dict[int, list[Element]] = {}
    for element in score.elements:
        onset = element.onset_quarters
        groups.setdefault(onset.numerator * whole // onset.denominator, []).append(element)
    bounds = [int(start * whole)]
    for length in lengths:
        bounds.append(bounds[-1] + int(length * whole))
    moments = tuple(Moment(tick, tuple(groups[tick])) for tick in sorted(groups))
    return Timeline(whole, moments, tuple(bounds))


@cache
def _length(ticks: int, ticks_per_quarter: int) -> str:
    return length_text(Fraction(ticks, ticks_per_quarter))
