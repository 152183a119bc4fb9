"""Harmonics of a music file: what sounds, and where the string is touched, from the little that files say of them."""

from dataclasses import replace
from itertools import product

from engraver.errors import OutOfRange
from engraver.fretboard.harmonics import harmonic_on, matching_harmonic, natural_places, nodes, string_of
from engraver.fretboard.tuning import Instrument
from engraver.reading.music import EditorMarks, HarmonicPitch
from engraver.theory.passage import Harmonic, HarmonicKind, Note
from engraver.theory.pitch import SpelledPitch

Found = tuple[Harmonic, SpelledPitch, int | None]
"""A harmonic, the pitch heard, and the string where it is known."""
_OCTAVE_ABOVE = Harmonic(HarmonicKind.ARTIFICIAL)


def harmonic_of(marks: EditorMarks, head: SpelledPitch, instrument: Instrument) -> Found | None:
    """The harmonic under a note head with these marks; None where the file does not tell enough.

    A natural one by its string and fret, else by its touched or sounding pitch on the open strings; a head of which the
    file says nothing stands on the touched fret of the lowest partial if that is a node, else on what
    sounds. An artificial one is touched an
    octave above its stopped note. Source: common practice, no source; the order of guesses is chosen by us.
    """
    if marks.harmonic_kind is HarmonicKind.ARTIFICIAL:
        lying = head if marks.harmonic_pitch is HarmonicPitch.BASE else None
        sounding = head if marks.harmonic_pitch in (HarmonicPitch.SOUNDING, None) else None
        found = matching_harmonic(HarmonicKind.ARTIFICIAL, lying, None, sounding) if lying or sounding else None
        return (*found, marks.string) if found else None
    return _by_place(marks, head, instrument) or _by_head(marks, head, instrument)


def _by_place(marks: EditorMarks, head: SpelledPitch, instrument: Instrument) -> Found | None:
    """The harmonic at a string and fret; of two nodes nearest to one fret the one that sounds, where the head tells."""
    strings = instrument.tuning.open_strings
    if marks.string is None or marks.fret is None or marks.string > len(strings):
        return None
    lying, heard = strings[marks.string - 1], head if marks.harmonic_pitch is HarmonicPitch.SOUNDING else None
    partials = (node.partial for node in nodes() if node.frets == marks.fret and lying.up(node.sounds) == heard)
    found = harmonic_on(lying, marks.fret, HarmonicKind.NATURAL, next(partials, None))
    return (*found, marks.string) if found else None


def _by_head(marks: EditorMarks, head: SpelledPitch, instrument: Instrument) -> Found | None:
    if marks.harmonic_pitch in (HarmonicPitch.TOUCHING, None):
        for node, (number, lying) in product(nodes(), enumerate(instrument.tuning.open_strings, start=1)):
            here = marks.string in (None, number) and head.sounding_midi - lying.sounding_midi == node.frets
            found = harmonic_on(lying, node.frets, HarmonicKind.NATURAL, node.partial) if here else None
            if found:
                return (*found, number)
    if marks.harmonic_pitch in (HarmonicPitch.SOUNDING, None):
        for number, harmonic in natural_places(instrument, head):
            if marks.string in (None, number):
                return harmonic, head, number
    return None


def playable(note: Note, instrument: Instrument) -> Note:
    """The note, its natural harmonic made artificial where no open string sounds it, as after a transposition."""
    if note.harmonic is None or note.harmonic.kind is HarmonicKind.ARTIFICIAL:
        return note
    try:
        found = string_of(instrument, note)
    except OutOfRange:
        found = None
    return note if found is not None else replace(note, harmonic=_OCTAVE_ABOVE, string=None, finger=None)
