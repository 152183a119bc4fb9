"""Scales: from tonic, form, range and direction to a line."""

from engraver.errors import SpellingError
from engraver.exercises.lines import directed, line_passage
from engraver.exercises.register import named_range, register
from engraver.fretboard.tuning import Instrument
from engraver.spec.fields import Tonic
from engraver.spec.models import ScaleSpec
from engraver.spec.played import LineSpec
from engraver.spec.technique import ChromaticSpec
from engraver.theory.passage import Passage
from engraver.theory.scale import scale


def compose_scale(spec: ScaleSpec, instrument: Instrument) -> Passage:
    """The scale on the spec's (single) tonic; the melodic minor comes down in its natural form.

    Raises SpellingError for a tonic without a printable signature, OutOfRange when the neck is too short.
    """
    return scale_line(spec.scale, spec, spec.tonics[0], instrument)


def compose_chromatic(spec: ChromaticSpec, instrument: Instrument) -> Passage:
    """The chromatic scale in the named convention, under the signature of the major key on its tonic.

    Melodic: sharps up (but a flat seventh), flats down; harmonic: the notes of major and minor with flat second and
    sharp fourth, both ways; or sharps up and flats down throughout. Raises as `compose_scale` does.
    """
    name = {"melodic": "chromatic melodic", "harmonic": "chromatic harmonic"}.get(
        spec.convention, f"chromatic {spec.convention}"
    )
    return scale_line(name, spec, spec.tonics[0], instrument)


def scale_line(name: str, spec: LineSpec, tonic: Tonic, instrument: Instrument) -> Passage:
    """A scale by name on a tonic, in the range and direction of a line. Raises as `compose_scale` does."""
    form = scale(name, tonic.name)
    named = named_range(spec, instrument)
    if named:
        lowest, highest = named
    else:
        span = register(tonic.name, tonic.octave, spec.octaves, instrument, spec.left_hand.limits())
        lowest, highest = span.lowest.sounding_midi, span.highest
    pitches, turn = directed(form.line_up(lowest, highest), form.line_down(lowest, highest), spec.direction)
    if not pitches:
        raise SpellingError("no note of the scale lies in this range", hint="widen the range")
    return line_passage(pitches, spec, form.key_fifths, turn)
