"""Barre drills: at each fret a bar struck and a bar broken under a lying finger or a chord grip, or a hinge."""

from collections.abc import Sequence
from fractions import Fraction
from itertools import cycle

from engraver.exercises.barre_names import name_barres, name_grips
from engraver.exercises.drills import Place, Touch, drill_passage, on_neck
from engraver.exercises.grips import movable_frets
from engraver.fretboard.tuning import Instrument
from engraver.spec.drills import BarreSpec
from engraver.theory.passage import Passage
from engraver.theory.rhythm import rhythm

_TIP_VOICE = 2


def compose_barre(spec: BarreSpec, instrument: Instrument) -> Passage:
    """Two bars for every fret of the entry, one finger lying over its strings throughout.

    Raises OutOfRange for a string or fret that the instrument lacks, Unplayable for a chord without a barre grip,
    SpellingError for one without a printable name.
    """
    bar = spec.metre.bar_quarters
    touches: list[Touch] = []
    for number, fret in enumerate(spec.frets):
        start = 2 * number * bar
        if spec.manner == "hinge":
            touches += _hinge(spec, fret, instrument, start) + _hinge(spec, fret, instrument, start + bar)
        else:
            places = _places(spec, fret, instrument)
            touches += [Touch(place, start, bar) for place in places] + _broken(spec, places, start + bar, bar)
    if spec.key is not None:
        return drill_passage(touches, spec, instrument)
    if spec.chord is not None:
        return drill_passage(touches, spec, instrument, name_grips(spec.chord, spec.frets, instrument))
    return drill_passage(touches, spec, instrument, name_barres(spec.frets, instrument))


def _places(spec: BarreSpec, fret: int, instrument: Instrument) -> list[Place]:
    """The places under the hand, lowest string first; of a chord grip the drill prescribes the barre alone."""
    if spec.chord is None:
        return [on_neck(instrument, Place(string, fret, 1)) for string in sorted(spec.strings, reverse=True)]
    grip = movable_frets(spec.chord, 6, instrument)
    return [on_neck(instrument, Place(string, fret + up, None if up else 1)) for string, up in grip]


def _broken(spec: BarreSpec, places: Sequence[Place], start: Fraction, length: Fraction) -> list[Touch]:
    """The places one after the other, up and down again, as often as the time allows; each is held to the end."""
    touches: list[Touch] = []
    end, order = start + length, cycle([*places, *places[-2:0:-1]])
    for place, step in zip(order, cycle(rhythm(spec.rhythm).cycle_quarters), strict=False):
        if start + step > end:
            break
        touches.append(Touch(place, start, step, held=end - start))
        start += step
    return touches


def _hinge(spec: BarreSpec, fret: int, instrument: Instrument, start: Fraction) -> list[Touch]:
    """One bar: the tip keeps its bass note while the upper strings sound open, then under the finger laid flat."""
    tip, *upper = (on_neck(instrument, Place(string, fret, 1)) for string in sorted(spec.strings, reverse=True))
    half = spec.metre.bar_quarters / 2
    lifted = [Place(place.string, 0, 0) for place in upper]
    return [
        Touch(tip, start, half, voice=_TIP_VOICE),
        *_broken(spec, lifted, start, half),
        Touch(tip, start + half, half, voice=_TIP_VOICE),
        *_broken(spec, upper, start + half, half),
    ]
