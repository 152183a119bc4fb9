"""Harmonics as the fretting hand meets them: a note that it stops, or a place that it only touches.

On an open string the hand touches the node at its nearest fret, with finger 3 or 4 by custom, and is free as soon as
the string is plucked, since a harmonic rings on without it. On a stopped string it stops the note as always; touching
and plucking are the other hand's affair, i touching twelve frets higher.
Source: custom of the methods, from memory.
"""

from dataclasses import replace
from fractions import Fraction

from engraver.errors import OutOfRange
from engraver.fingering.fingered import FingeredNote, FingeredPassage
from engraver.fingering.wishes import note_words
from engraver.fretboard.harmonics import node_of, string_of, string_pitch, touched_pitch
from engraver.fretboard.tuning import Instrument
from engraver.theory.passage import HarmonicKind, Note, Passage

LIFTED_AFTER_QUARTERS = Fraction(1, 16)
"""How long the finger stays on a node after the stroke (chosen by us)."""


def as_touched(passage: Passage, instrument: Instrument) -> Passage:
    """The passage with the pitch under the finger in place of each harmonic's sound.

    Raises OutOfRange for a natural harmonic that no open string sounds, or whose node lies beyond the last fret.
    """
    if not any(note.harmonic for note in passage.notes):
        return passage
    notes = tuple(_touched(passage, index, instrument) for index in range(len(passage.notes)))
    return replace(passage, notes=notes)


def as_heard(touched: FingeredPassage, passage: Passage) -> FingeredPassage:
    """The fingered passage with its harmonics as they sound; a finger that touches several strings is no barre."""
    notes = tuple(
        _heard(place, note) if note.harmonic else place
        for place, note in zip(touched.notes, passage.notes, strict=True)
    )
    return replace(touched, passage=passage, notes=notes)


def _heard(place: FingeredNote, note: Note) -> FingeredNote:
    heard = replace(place, note=note)
    return replace(heard, barre_fret=None) if heard.touches else heard


def _touched(passage: Passage, index: int, instrument: Instrument) -> Note:
    note = passage.notes[index]
    if note.harmonic is None:
        return note
    if note.harmonic.kind is HarmonicKind.ARTIFICIAL:
        return replace(note, pitch=string_pitch(note.pitch, note.harmonic))
    node, string = node_of(note.harmonic), string_of(instrument, note)
    what = note_words(passage, index)
    if string is None:
        raise OutOfRange(
            f"{what} is no harmonic at {node.printed} of any open string",
            hint="name another fret, or play it as an artificial harmonic",
        )
    if node.frets > instrument.highest_fret:
        raise OutOfRange(
            f"the node of {what} lies at {node.printed}, beyond the last fret ({instrument.highest_fret})",
            hint="touch the string at a node nearer to the nut",
        )
    return replace(
        note,
        pitch=touched_pitch(note.pitch, note.harmonic),
        string=string,
        held_quarters=min(LIFTED_AFTER_QUARTERS, note.duration_quarters),
    )
