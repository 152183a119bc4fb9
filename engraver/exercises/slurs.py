"""Slurs: groups of fingers in one position, each group under one slur, string after string, a bar or more each."""

from fractions import Fraction
from itertools import product

from engraver.exercises.drills import Touch, drill_passage, fitting, lay_groups, next_bar, placed, there_and_back
from engraver.fretboard.tuning import Instrument
from engraver.spec.drills import SlursSpec
from engraver.theory.passage import Passage


def compose_slurs(spec: SlursSpec, instrument: Instrument) -> Passage:
    """Each group on each string in turn; the first note of a group is plucked, the fretting hand sounds the others.

    Double slurs sound on two neighbouring strings at once. Without `times` a group fills its bar as often as it fits;
    every string and every group begins with a bar, so that what is left of a bar is rest for the hand.
    Raises OutOfRange for a string or fret that the instrument lacks.
    """
    touches: list[Touch] = []
    start = Fraction(0)
    places = product(spec.groups, there_and_back(spec.strings, spec.and_back))
    for number, (fingers, string) in enumerate(places):
        group = [placed(instrument, string, spec.position, finger) for finger in fingers]
        lower = [placed(instrument, string + 1, spec.position, finger) for finger in spec.lower_group]
        times = spec.times or fitting(group, spec, slurred=True)
        for row in (lower, group):
            touches += lay_groups([row] * times, spec, start, number, slurred=True)
        start = next_bar(touches[-1].onset + touches[-1].length, spec.metre)
    return drill_passage(touches, spec, instrument)
