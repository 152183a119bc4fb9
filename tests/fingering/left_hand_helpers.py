"""Short ways to write passages and read fingerings in the tests of the fretting hand."""

from fractions import Fraction

from engraver.fingering.fingered import FingeredPassage
from engraver.fretboard.tuning import Instrument, Player, Tuning
from engraver.theory.passage import Note, Passage
from engraver.theory.pitch import SpelledPitch
from engraver.theory.rhythm import Metre

STANDARD = Tuning("standard", tuple(SpelledPitch.parse(p) for p in ("E4", "B3", "G3", "D3", "A2", "E2")))
GUITAR = Instrument(STANDARD)
PLAYER = Player()


def passage(text: str, turn: int | None = None, quarters: Fraction = Fraction(1, 2)) -> Passage:
    """Events separated by blanks, chord notes joined by +: ``C3 E3+G3``."""
    notes = [
        Note(SpelledPitch.parse(pitch), number * quarters, quarters)
        for number, event in enumerate(text.split())
        for pitch in event.split("+")
    ]
    return Passage(tuple(notes), 0, Metre(4, 4), turn=turn)


def up_and_down(text: str) -> Passage:
    """The line there and back."""
    line = text.split()
    return passage(" ".join(line + line[-2::-1]), turn=len(line) - 1)


def rolled(text: str) -> Passage:
    """A chord broken upwards, every note held to the end of the bar."""
    pitches = text.split()
    step = Fraction(1, 2)
    notes = [Note(SpelledPitch.parse(p), i * step, 4 - i * step) for i, p in enumerate(pitches)]
    return Passage(tuple(notes), 0, Metre(4, 4))


def places(done: FingeredPassage) -> str:
    """Every note as string/fret-finger."""
    return " ".join(f"{n.string}/{n.fret}-{n.left_finger}" for n in done.notes)
