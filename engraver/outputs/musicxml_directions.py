"""What stands over and under the notes in MusicXML: numerals, barres, planted fingers, loudness, hairpins.

Source: MusicXML 4.0 schema, types direction and direction-type; each part has a direction-type of its own.
"""

from collections.abc import Iterable
from fractions import Fraction

from engraver.fretboard.numerals import position_numeral
from engraver.outputs.musicxml_marks import SpanPoint
from engraver.outputs.musicxml_notes import VoiceLine
from engraver.outputs.musicxml_tree import Xml, tag
from engraver.score.model import BarreSign, Element

_REVERSAL = "↔"  # chosen by us


def directions(line: VoiceLine, element: Element) -> Iterable[Xml]:
    """Words above the notes (position numeral, barre, reversed plucking pattern), below them planted fingers, loudness.

    Source: MusicXML 4.0 has no element for planting, so it is words, the letters in square brackets; chosen by us.
    """
    if not line.staff.in_full:
        return
    if element.barre is not None:
        yield _barre(line, element.barre, element.onset_quarters in line.barres)
    if element.position is not None:
        yield _words(line, position_numeral(element.position))
    if element.reversal:
        yield _words(line, _REVERSAL)
    if element.planted:
        yield direction(line, tag("words", f"[{' '.join(element.planted)}]"), placement="below")
    if element.dynamic is not None:
        yield direction(line, tag("dynamics", tag(element.dynamic.value)), placement="below")


def _barre(line: VoiceLine, barre: BarreSign, lasts: bool) -> Xml:
    """Letter, share of the strings and Roman fret, with a bracket while it lasts, dashed for a hinge.

    Source: MusicXML 4.0 has a barre of its own only in chord diagrams, so over notes it is words and a bracket.
    """
    parts = (barre.letter, barre.fraction, position_numeral(barre.fret))
    words = tag("words", " ".join(part for part in parts if part))
    kind = "dashed" if barre.hinge else "solid"
    line_of_it = tag("bracket", type="start", number=1, line_end="none", line_type=kind) if lasts else None
    return direction(line, words, line_of_it)


def hairpin(line: VoiceLine, point: SpanPoint, offset: Fraction) -> Xml:
    """Words, or the beginning or end of a hairpin: a wedge, or its own words with or without dashes."""
    parts = tuple(tag(name, text, **dict(attributes)) for name, text, attributes in point.elements)
    return direction(line, *parts, placement=point.placement, offset=offset)


def _words(line: VoiceLine, text: str) -> Xml:
    return direction(line, tag("words", text))


def direction(line: VoiceLine, *parts: Xml | None, placement: str = "above", offset: Fraction = Fraction(0)) -> Xml:
    """Something above or below the notes; each part has a direction-type of its own."""
    staff = None if line.staff.label is None else tag("staff", line.staff.label)
    types = (tag("direction-type", part) for part in parts if part is not None)
    moved = tag("offset", str(offset * line.divisions)) if offset else None
    return tag("direction", *types, moved, tag("voice", line.number), staff, placement=placement)
