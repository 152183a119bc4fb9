"""Arpeggios: the notes of a chord in order, over the octaves asked for."""

from engraver.errors import SpellingError
from engraver.exercises.lines import directed, line_passage
from engraver.exercises.register import named_range, register
from engraver.fretboard.tuning import Instrument
from engraver.spec.models import ArpeggioSpec
from engraver.theory.chord import Chord, chord, chord_in_key
from engraver.theory.passage import Passage


def arpeggio_chord(spec: ArpeggioSpec) -> Chord:
    """The chord of the entry: on its tonic, or in its key (dominant or leading-note chord)."""
    practical = spec.spelling == "practical"
    if spec.key is not None:
        return chord_in_key(spec.chord, spec.key)
    return chord(spec.chord, spec.tonics[0].name, practical)


def compose_arpeggio(spec: ArpeggioSpec, instrument: Instrument) -> Passage:
    """The arpeggio from its lowest note (root, or the third, fifth, seventh in an inversion) and back as asked.

    With `resolution` the chord it resolves to follows; a `study` or a `chain` takes its place.

    Raises SpellingError for an inversion the chord lacks, OutOfRange when the neck is too short.
    """
    if spec.study or spec.chain:
        from engraver.exercises.arpeggio_studies import compose_chain, compose_four_keys

        return compose_four_keys(spec, instrument) if spec.study else compose_chain(spec, instrument)
    sounding = arpeggio_chord(spec)
    if spec.inversion >= len(sounding.intervals):
        most = len(sounding.intervals) - 1
        raise SpellingError(
            f"a chord of {most + 1} notes has no inversion {spec.inversion}", hint=f"write inversion: 0 to {most}"
        )
    bass = sounding.names[spec.inversion]
    named = named_range(spec, instrument)
    if named:
        lowest, highest = named
    else:
        octave = spec.tonics[0].octave if spec.tonics and not spec.inversion else None
        span = register(bass, octave, spec.octaves, instrument, spec.left_hand.limits())
        lowest, highest = span.lowest.sounding_midi, span.highest
    up = sounding.pitches(lowest, highest)
    if not up:
        raise SpellingError("no note of the chord lies in this range", hint="widen the range")
    pitches, turn = directed(up, up[::-1], spec.direction)
    line = line_passage(pitches, spec, sounding.key_fifths, turn)
    if not spec.resolution:
        return line
    from engraver.exercises.arpeggio_studies import with_resolution

    return with_resolution(line, sounding, spec, instrument)
