"""A reader of the printed page: every fretting finger recomputed from what is printed, and from nothing else.

Printed are, for each note, string and fret (the tablature) and perhaps a digit; over the staff position numerals, and
signs of barres with their lines; on harmonics their heads. The rules are those of the legend, in the reader's words:

1. An open string has no finger. A printed digit is the finger.
2. Under the line of a barre, notes at its fret are finger 1.
3. A chord between whose outer notes of one fret one digit stands twice lies under that finger.
4. A place taken before keeps its finger, until the hand moves (a numeral or a barre with another fret) or a harmonic
   is touched.
5. On the string of the note before, one finger to a fret from the position upwards.
6. A natural harmonic is touched by the finger that touched the one before.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import groupby

from engraver.score.model import BarreSign, Element, Score, ScoreNote


@dataclass
class Reader:
    """What the reader has in mind: where the hand is, which places have which finger, which barre lies."""

    position: int | None = None
    barre: BarreSign | None = None
    places: dict[tuple[int, int], int] = field(default_factory=dict)
    before: tuple[int, int] | None = None
    touching: int | None = None

    def strike(self, onset: Fraction, elements: list[Element]) -> Iterator[tuple[ScoreNote, int | None]]:
        """Each note struck at a moment with its finger as read, None where nothing tells it."""
        if self.barre is not None and onset > self.barre.until_quarters:
            self.barre = None
        for element in elements:
            if element.position is not None:
                self._move(element.position)
        for element in elements:
            if element.barre is not None:
                self.barre = element.barre
                self._move(element.barre.fret)
        for grace in sorted((g for e in elements for g in e.graces), key=lambda grace: grace.onset_quarters):
            yield from self._chord(list(grace.notes))
        yield from self._chord([note for element in elements for note in element.notes if not note.tie_stop])

    def _chord(self, notes: list[ScoreNote]) -> Iterator[tuple[ScoreNote, int | None]]:
        for note in sorted(notes, key=lambda note: (note.fretted.sounding_midi, note.string)):
            finger = self._finger(note, notes)
            yield note, finger
            self._remember(note, finger)

    def _move(self, position: int) -> None:
        if position != self.position:
            self.places.clear()
        self.position = position

    def _finger(self, note: ScoreNote, chord: list[ScoreNote]) -> int | None:
        if note.harmonic is not None and not note.harmonic.artificial:
            return note.left_finger if note.show_finger else self.touching
        if note.fret == 0:
            return 0
        if note.show_finger:
            return note.left_finger
        if self.barre is not None and note.fret == self.barre.fret:
            return 1
        if (within := _within(note, chord)) is not None:
            return within
        if (note.string, note.fret) in self.places:
            return self.places[note.string, note.fret]
        if self.before is not None and self.before[0] == note.string and self.before[1] > 0 and self.position:
            return note.fret - self.position + 1
        return None

    def _remember(self, note: ScoreNote, finger: int | None) -> None:
        if note.harmonic is not None and not note.harmonic.artificial:
            self.touching, self.before, self.position = finger, None, None
            self.places.clear()
            return
        if finger is not None:
            for place in [place for place in self.places if place[0] == note.string]:
                del self.places[place]  # a string holds one place at a time
            self.places[note.string, note.fret] = finger
            self.before = (note.string, finger)


def _within(note: ScoreNote, chord: list[ScoreNote]) -> int | None:
    """The digit printed at two notes of this fret that lie on both sides of the note's string."""
    digits = [(other.left_finger, other.string) for other in chord if other.show_finger and other.fret == note.fret]
    for finger in {finger for finger, _ in digits}:
        strings = [string for each, string in digits if each == finger]
        if len(strings) > 1 and min(strings) < note.string < max(strings):
            return finger
    return None


def misread(score: Score) -> list[tuple[Fraction, str, int | None, int]]:
    """Every note that the reader would finger otherwise than it is: onset, pitch, finger as read, finger meant."""
    reader, out = Reader(), []
    elements = sorted((e for e in score.elements if not e.is_rest), key=lambda element: element.onset_quarters)
    for onset, together in groupby(elements, key=lambda element: element.onset_quarters):
        for note, finger in reader.strike(onset, list(together)):
            if finger != note.left_finger:
                out.append((onset, str(note.pitch), finger, note.left_finger))
    return out


def misread_strings(score: Score, leaps: bool) -> list[tuple[Fraction, str, int | None, int]]:
    """Every note of a single line on another string than the one read from its circles and pitches alone.

    `leaps`: the line leaps from string to string. Then a note without a circle lies where it lay before; new, it lies on
    the string of the note before if that lay above the fourth fret, else at its lowest place; with a digit 0 it is an
    open string. In a line that stays on its strings a circle holds until the next.
    """
    opens = {string: midi for string, midi in enumerate(score.tuning.open_midis, start=1)}
    told: dict[int, int] = {}
    before: int | None = None
    up = False
    out = []
    for element in sorted(score.elements, key=lambda element: element.onset_quarters):
        for note in element.notes:
            midi = note.pitch.sounding_midi
            low = [string for string, lowest in opens.items() if 0 <= midi - lowest <= 4]
            usual = told.get(midi, low[0] if low and not up else before) if leaps else before
            if note.show_finger and note.left_finger == 0:
                usual = next(string for string, lowest in opens.items() if lowest == midi)
            read = note.string if note.show_string else before if note.tie_stop else usual
            if read != note.string:
                out.append((element.onset_quarters, str(note.pitch), read, note.string))
            told[midi] = before = note.string
            up = midi - opens[note.string] > 4
    return out
