"""House style that can be told from a score alone, without engraving it.

What is printed by the rules of `changes` must not say a thing twice: a circle for a string that the line is already
on, a position numeral for a position that it already has, a numeral beside the sign of a barre, the finger of a barre
under its own sign, a dash without a digit; and a letter stands on plucked notes only. Clearance between signs, straight
rows and the legend are measured on the engraved pictures, by `clearance`.
Source: rules of the editions we print, chosen by us.
"""

from collections.abc import Iterator
from fractions import Fraction

from engraver.fretboard.numerals import position_numeral
from engraver.score.marks import MarkStyle
from engraver.score.model import Element, Measure, Score, ScoreNote
from engraver.score.string_marks import looked_for


def house_style_warnings(score: Score, style: MarkStyle) -> tuple[str, ...]:
    """A warning for everything that the score prints against the house style."""
    circles = _circles_again(score) if style.strings == "changes" and _is_line(score) else ()
    fingers = _barre_fingers(score) if style.fingers == "changes" else ()
    return (*circles, *_positions_again(score), *fingers, *_dashes_alone(score), *_letters_unplucked(score))


def _is_line(score: Score) -> bool:
    return not score.has_two_voices and all(len(element.notes) < 2 for element in score.elements)


def _circles_again(score: Score) -> Iterator[str]:
    """Circles on the string of the note before, unless the note was last taken elsewhere or is looked for elsewhere."""
    before: tuple[int, int] | None = None
    opens = dict(enumerate(score.tuning.open_midis, start=1))
    taken: dict[int, int] = {}
    for measure in score.measures:
        for note in _notes(measure):
            midi = note.fretted.sounding_midi
            elsewhere = taken.get(midi, looked_for(midi, opens, before)) != note.string
            if note.show_string and before and note.string == before[0] and not elsewhere:
                yield f"house style: bar {measure.number} circles string {note.string} again"
            taken[midi] = note.string
            before = (note.string, note.fret)


def _positions_again(score: Score) -> Iterator[str]:
    """Numerals of the position in force, be it told by a numeral or by a barre; a natural harmonic ends it."""
    current = 0
    for bar, element in _in_time(score):
        if element.position is not None and element.position in (current, element.barre and element.barre.fret):
            yield f"house style: bar {bar} tells position {position_numeral(element.position)} twice"
        current = element.barre.fret if element.barre else element.position or current
        if any(note.harmonic and not note.harmonic.artificial for note in element.notes):
            current = 0


def _in_time(score: Score) -> list[tuple[int, Element]]:
    """Every element with the number of its bar, in order of time; of those that start together barres come first."""
    own = [(measure.number, e) for measure in score.measures for voice in measure.voices for e in voice.elements]
    return sorted(own, key=lambda pair: (pair[1].onset_quarters, pair[1].barre is None))


def _dashes_alone(score: Score) -> Iterator[str]:
    """Guide fingers without their digit."""
    for measure in score.measures:
        if any(note.guide and not note.show_finger for note in _notes(measure)):
            yield f"house style: bar {measure.number} has a guide finger without its digit"


def _barre_fingers(score: Score) -> Iterator[str]:
    """The digit of finger 1 on notes at the fret of a barre, under its sign: the sign has said it."""
    barre, until = None, Fraction(0)
    for bar, element in _in_time(score):
        if element.barre:
            barre, until = element.barre, element.barre.until_quarters
        if barre is None or element.onset_quarters >= until:
            continue
        if any(note.show_finger and note.left_finger == 1 and note.fret == barre.fret for note in element.notes):
            yield f"house style: bar {bar} has the finger of the barre again"


def _letters_unplucked(score: Score) -> Iterator[str]:
    """Plucking letters on notes that a slur or a tie sounds."""
    for measure in score.measures:
        if any(note.show_plucking and (note.slur_stop or note.tie_stop) for note in _notes(measure)):
            yield f"house style: bar {measure.number} has a plucking letter on a note that is not plucked"


def _notes(measure: Measure) -> Iterator[ScoreNote]:
    return (note for voice in measure.voices for element in voice.elements for note in element.notes)
