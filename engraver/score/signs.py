"""The signs a score prints, so that a legend can explain those and no others."""

from collections.abc import Iterator
from enum import StrEnum

from engraver.score.harmonics import HarmonicSign, HarmonicSystem
from engraver.score.model import Barline, Element, Notation, Score, ScoreNote
from engraver.theory.passage import PluckingFinger


class Sign(StrEnum):
    """A printed sign that a reader may need explained, in the order of the legend (chosen by us).

    The signs of loudness are not among them: whoever reads notes knows them.
    """

    FINGER = "finger"
    GUIDE_FINGER = "guide finger"
    BARRE = "barre"
    PARTIAL_BARRE = "partial barre"
    HINGE_BARRE = "hinge barre"
    SMALL_BARRE = "small barre"
    STRING = "string"
    STRING_LINE = "string line"
    POSITION = "position"
    PLUCKING = "plucking"
    LITTLE_FINGER = "little finger"
    REVERSAL = "reversal"
    PLANTED = "planted"
    HARMONIC_BY_STRING = "harmonic by string"
    HARMONIC_BY_PLACE = "harmonic by place"
    HARMONIC_BY_SOUND = "harmonic by sound"
    ARTIFICIAL_HARMONIC = "artificial harmonic"
    ARTIFICIAL_BY_SOUND = "artificial harmonic by sound"
    SLUR = "slur"
    ACCENT = "accent"
    TIE = "tie"
    CAUTIONARY = "cautionary"
    OCTAVE_CLEF = "octave clef"
    TABLATURE = "tablature"
    HARMONIC_IN_TABLATURE = "harmonic in tablature"
    ARTIFICIAL_IN_TABLATURE = "artificial harmonic in tablature"
    REPEAT = "repeat"


_HARMONICS = {
    HarmonicSystem.OPEN_STRING: (Sign.HARMONIC_BY_STRING, Sign.ARTIFICIAL_HARMONIC),
    HarmonicSystem.TOUCHED: (Sign.HARMONIC_BY_PLACE, Sign.ARTIFICIAL_HARMONIC),
    HarmonicSystem.SOUNDING: (Sign.HARMONIC_BY_SOUND, Sign.ARTIFICIAL_BY_SOUND),
}
"""What a natural and an artificial harmonic of each system are explained by."""
_ON_STAFF = tuple(sign for pair in _HARMONICS.values() for sign in pair)
_ON_TABLATURE = (Sign.HARMONIC_IN_TABLATURE, Sign.ARTIFICIAL_IN_TABLATURE)


def signs_used(score: Score) -> tuple[Sign, ...]:
    """The signs this score prints, in the order of the legend.

    A string circle and its line count only where a staff is printed, since tablature alone shows the strings itself.
    """
    used = {sign for element in score.elements for sign in _signs_of(element)}
    if score.notation is Notation.TABLATURE:
        used -= {Sign.STRING, Sign.STRING_LINE, Sign.CAUTIONARY, *_ON_STAFF}
    else:
        used.add(Sign.OCTAVE_CLEF)
    if score.notation is not Notation.STAFF:
        used |= {Sign.TABLATURE, *(_ON_TABLATURE[sign.artificial] for sign in _harmonics(score))}
    if any(measure.repeat_start or measure.barline is Barline.REPEAT_END for measure in score.measures):
        used.add(Sign.REPEAT)
    return tuple(sign for sign in Sign if sign in used)


def has_string_line(element: Element) -> bool:
    """True when a dashed line follows the string circle: the string holds beyond the element's own note."""
    return (
        element.string_line_end is not None
        and element.string_line_end > element.onset_quarters
        and any(note.show_string for note in element.notes)
    )


def has_small_barre(element: Element) -> bool:
    """True when one digit stands on two strings of one fret: the finger lies over both, and no sign says so."""
    held = [(note.left_finger, note.fret) for note in element.notes if note.show_finger and note.left_finger > 0]
    return len(set(held)) < len(held)


def _harmonics(score: Score) -> Iterator[HarmonicSign]:
    return (note.harmonic for element in score.elements for note in element.notes if note.harmonic)


def _signs_of(element: Element) -> set[Sign]:
    """The signs of one element; most bear none or few, so each note is looked at once."""
    found = set(_of_element(element))
    for note in element.all_notes if element.graces else element.notes:
        found.update(_of_note(note))
    return found


def _of_element(element: Element) -> Iterator[Sign]:
    if element.barre is not None:
        yield Sign.BARRE
        if element.barre.fraction:
            yield Sign.PARTIAL_BARRE
        if element.barre.hinge:
            yield Sign.HINGE_BARRE
    if len(element.notes) > 1 and has_small_barre(element):
        yield Sign.SMALL_BARRE
    if element.string_line_end is not None and has_string_line(element):
        yield Sign.STRING_LINE
    if element.position is not None:
        yield Sign.POSITION
    if element.reversal:
        yield Sign.REVERSAL
    if element.planted:
        yield Sign.PLANTED
    if element.accent:
        yield Sign.ACCENT


def _of_note(note: ScoreNote) -> Iterator[Sign]:
    if note.show_finger:
        yield Sign.FINGER
        if note.guide:
            yield Sign.GUIDE_FINGER
    if note.show_string:
        yield Sign.STRING
    if note.show_plucking and note.plucking is not None:
        yield Sign.PLUCKING
        if note.plucking is PluckingFinger.LITTLE:
            yield Sign.LITTLE_FINGER
    if note.slur_start:
        yield Sign.SLUR
    if note.tie_start:
        yield Sign.TIE
    if note.cautionary:
        yield Sign.CAUTIONARY
    if note.harmonic:
        yield _HARMONICS[note.harmonic.system][note.harmonic.artificial]
