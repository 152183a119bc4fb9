"""String crossings: repeated notes on each string in turn, for the alternating fingers of the plucking hand."""

from fractions import Fraction

from engraver.exercises.drills import Place, Touch, drill_passage, lay_groups, next_bar, on_neck, rested, there_and_back
from engraver.fretboard.tuning import Instrument
from engraver.spec.drills import CrossingsSpec
from engraver.theory.passage import Passage


def compose_crossings(spec: CrossingsSpec, instrument: Instrument) -> Passage:
    """Each string so many times, in the order given and back; every way through the strings begins with a bar.

    Raises OutOfRange for a string or fret that the instrument lacks.
    """
    frets = spec.frets * len(spec.strings) if len(spec.frets) == 1 else spec.frets or (0,) * len(spec.strings)
    row = [on_neck(instrument, Place(string, fret, None)) for string, fret in zip(spec.strings, frets, strict=True)]
    order = there_and_back(range(len(row)), spec.and_back)
    touches: list[Touch] = []
    start = Fraction(0)
    for times in spec.times:
        touches += rested(lay_groups([[row[n]] * times for n in order], spec, start), spec.metre)
        start = next_bar(touches[-1].onset + touches[-1].length, spec.metre)
    return drill_passage(touches, spec, instrument)
