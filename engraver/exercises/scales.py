"""Scales: from tonic, form, range and direction to a line."""

from engraver.exercises.lines import directed, line_passage
from engraver.exercises.register import Register, register
from engraver.fretboard.tuning import Instrument
from engraver.spec.models import ScaleSpec
from engraver.spec.played import LineSpec
from engraver.theory.passage import Passage
from engraver.theory.scale import scale


def compose_scale(spec: ScaleSpec, instrument: Instrument) -> Passage:
    """The scale on the spec's (single) tonic; the melodic minor comes down in its natural form.

    Raises SpellingError for a tonic without a printable signature, OutOfRange when the neck is too short.
    """
    tonic = spec.tonics[0]
    form = scale(spec.scale, tonic.name)
    span = _range(spec) or register(tonic.name, tonic.octave, spec.octaves, instrument, spec.left_hand.limits())
    up = form.line_up(span.lowest, span.highest)
    down = form.line_down(span.lowest, span.highest)
    pitches, turn = directed(up, down, spec.direction)
    return line_passage(pitches, spec, form.key_fifths, turn)


def _range(spec: LineSpec) -> Register | None:
    """The range the book names, if it does."""
    return Register(spec.range[0], spec.range[1].sounding_midi) if spec.range else None
