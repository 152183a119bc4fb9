"""The section of an explanation that tells where each harmonic is touched and what it sounds."""

from engraver.fingering.fingered import FingeredNote, FingeredPassage
from engraver.fretboard.harmonics import node_of, string_pitch
from engraver.press.explain_table import phrases
from engraver.press.explanation import Section


def harmonics_sections(fingered: FingeredPassage) -> tuple[Section, ...]:
    """One line for each natural harmonic and one for each stopped note that sounds as one; none without harmonics."""
    lines = dict.fromkeys(_line(place) for place in fingered.notes if place.note.harmonic)
    return (Section(phrases().headings.harmonics, tuple(lines)),) if lines else ()


def _line(place: FingeredNote) -> str:
    told, heard = phrases().harmonics, place.note.pitch
    assert place.note.harmonic is not None
    node = node_of(place.note.harmonic)
    if not place.touches:
        stopped = string_pitch(heard, place.note.harmonic)
        letter = place.plucking or phrases().signs.nothing
        return told.artificial.format(
            frets=node.printed, letter=letter, partial=node.partial, stopped=stopped, heard=heard
        )
    way = told.higher if node.cents > 0 else told.lower
    cents = told.cents.format(cents=abs(node.cents), way=way) if node.cents else ""
    return told.natural.format(
        place=node.printed, share=node.share, string=place.string, partial=node.partial, heard=heard, cents=cents
    )
