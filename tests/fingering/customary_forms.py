"""Customary forms of technique as facts: string, fret and finger of every note.

Source of every row: common practice of the nineteenth-century methods and of teachers since, from memory; the
arrangement is ours. Certainty: HIGH where practically every method agrees, MEDIUM where good teachers differ in a
note or two. Forms in which schools go their own ways are left out.
"""

from dataclasses import dataclass
from enum import StrEnum

from engraver.fretboard.limits import OpenStrings

OPEN, CLOSED = OpenStrings.ALLOW, OpenStrings.AVOID


class Certainty(StrEnum):
    """How far the methods agree."""

    HIGH = "high"
    MEDIUM = "medium"


HIGH, MEDIUM = Certainty.HIGH, Certainty.MEDIUM


@dataclass(frozen=True, slots=True)
class Form:
    """One form: `notes` are pitches, `places` string/fret-finger of each; + joins what is struck together.

    `turn`: the event (from 0) on which the line turns back, None where it does not.
    """

    name: str
    certainty: Certainty
    policy: OpenStrings
    notes: str
    places: str
    turn: int | None = None


def _up_down(name: str, certainty: Certainty, policy: OpenStrings, up: str, places: str, down: str, back: str) -> Form:
    """A line that comes down otherwise than it went up."""
    return Form(name, certainty, policy, f"{up} {down}", f"{places} {back}", len(up.split()) - 1)


OPEN_SCALES = (
    Form(
        "C major, 2 octaves, one shift on string 1",
        MEDIUM,
        OPEN,
        "C3 D3 E3 F3 G3 A3 B3 C4 D4 E4 F4 G4 A4 B4 C5",
        "5/3-3 4/0-0 4/2-2 4/3-3 3/0-0 3/2-2 2/0-0 2/1-1 2/3-3 1/0-0 1/1-1 1/3-3 1/5-1 1/7-3 1/8-4",
    ),
    Form(
        "G major, 1 octave from string 3",
        HIGH,
        OPEN,
        "G3 A3 B3 C4 D4 E4 F#4 G4",
        "3/0-0 3/2-2 2/0-0 2/1-1 2/3-3 1/0-0 1/2-2 1/3-3",
    ),
    Form(
        "D major, 1 octave", HIGH, OPEN, "D3 E3 F#3 G3 A3 B3 C#4 D4", "4/0-0 4/2-2 4/4-4 3/0-0 3/2-2 2/0-0 2/2-2 2/3-3"
    ),
    Form(
        "A major, 1 octave", HIGH, OPEN, "A2 B2 C#3 D3 E3 F#3 G#3 A3", "5/0-0 5/2-2 5/4-4 4/0-0 4/2-2 4/4-4 3/1-1 3/2-2"
    ),
    Form(
        "A major, 2 octaves, the hand in II for string 1",
        MEDIUM,
        OPEN,
        "A2 B2 C#3 D3 E3 F#3 G#3 A3 B3 C#4 D4 E4 F#4 G#4 A4",
        "5/0-0 5/2-2 5/4-4 4/0-0 4/2-2 4/4-4 3/1-1 3/2-2 2/0-0 2/2-2 2/3-3 1/0-0 1/2-1 1/4-3 1/5-4",
    ),
    Form(
        "E major, 1 octave",
        HIGH,
        OPEN,
        "E2 F#2 G#2 A2 B2 C#3 D#3 E3",
        "6/0-0 6/2-2 6/4-4 5/0-0 5/2-2 5/4-4 4/1-1 4/2-2",
    ),
    Form(
        "E major, 2 octaves",
        HIGH,
        OPEN,
        "E2 F#2 G#2 A2 B2 C#3 D#3 E3 F#3 G#3 A3 B3 C#4 D#4 E4",
        "6/0-0 6/2-2 6/4-4 5/0-0 5/2-2 5/4-4 4/1-1 4/2-2 4/4-4 3/1-1 3/2-2 2/0-0 2/2-2 2/4-4 1/0-0",
    ),
    Form(
        "F major, 1 octave", HIGH, OPEN, "F2 G2 A2 Bb2 C3 D3 E3 F3", "6/1-1 6/3-3 5/0-0 5/1-1 5/3-3 4/0-0 4/2-2 4/3-3"
    ),
    Form(
        "F major, 2 octaves",
        HIGH,
        OPEN,
        "F2 G2 A2 Bb2 C3 D3 E3 F3 G3 A3 Bb3 C4 D4 E4 F4",
        "6/1-1 6/3-3 5/0-0 5/1-1 5/3-3 4/0-0 4/2-2 4/3-3 3/0-0 3/2-2 3/3-3 2/1-1 2/3-3 1/0-0 1/1-1",
    ),
    Form(
        "B flat major, 1 octave",
        HIGH,
        OPEN,
        "Bb2 C3 D3 Eb3 F3 G3 A3 Bb3",
        "5/1-1 5/3-3 4/0-0 4/1-1 4/3-3 3/0-0 3/2-2 3/3-3",
    ),
    Form(
        "A minor natural, 1 octave",
        HIGH,
        OPEN,
        "A2 B2 C3 D3 E3 F3 G3 A3",
        "5/0-0 5/2-2 5/3-3 4/0-0 4/2-2 4/3-3 3/0-0 3/2-2",
    ),
    Form(
        "A minor harmonic, 1 octave",
        HIGH,
        OPEN,
        "A2 B2 C3 D3 E3 F3 G#3 A3",
        "5/0-0 5/2-2 5/3-3 4/0-0 4/2-2 4/3-3 3/1-1 3/2-2",
    ),
    _up_down(
        "A minor melodic, 1 octave, up and down",
        HIGH,
        OPEN,
        "A2 B2 C3 D3 E3 F#3 G#3 A3",
        "5/0-0 5/2-2 5/3-3 4/0-0 4/2-2 4/4-4 3/1-1 3/2-2",
        "G3 F3 E3 D3 C3 B2 A2",
        "3/0-0 4/3-3 4/2-2 4/0-0 5/3-3 5/2-2 5/0-0",
    ),
    Form(
        "A minor melodic, 2 octaves, the hand in II for string 1",
        MEDIUM,
        OPEN,
        "A2 B2 C3 D3 E3 F#3 G#3 A3 B3 C4 D4 E4 F#4 G#4 A4",
        "5/0-0 5/2-2 5/3-3 4/0-0 4/2-2 4/4-4 3/1-1 3/2-2 2/0-0 2/1-1 2/3-3 1/0-0 1/2-1 1/4-3 1/5-4",
    ),
    Form(
        "E minor natural, 2 octaves",
        HIGH,
        OPEN,
        "E2 F#2 G2 A2 B2 C3 D3 E3 F#3 G3 A3 B3 C4 D4 E4",
        "6/0-0 6/2-2 6/3-3 5/0-0 5/2-2 5/3-3 4/0-0 4/2-2 4/4-4 3/0-0 3/2-2 2/0-0 2/1-1 2/3-3 1/0-0",
    ),
    Form(
        "E minor harmonic, 2 octaves",
        HIGH,
        OPEN,
        "E2 F#2 G2 A2 B2 C3 D#3 E3 F#3 G3 A3 B3 C4 D#4 E4",
        "6/0-0 6/2-2 6/3-3 5/0-0 5/2-2 5/3-3 4/1-1 4/2-2 4/4-4 3/0-0 3/2-2 2/0-0 2/1-1 2/4-4 1/0-0",
    ),
    _up_down(
        "E minor melodic, 1 octave, up and down",
        HIGH,
        OPEN,
        "E2 F#2 G2 A2 B2 C#3 D#3 E3",
        "6/0-0 6/2-2 6/3-3 5/0-0 5/2-2 5/4-4 4/1-1 4/2-2",
        "D3 C3 B2 A2 G2 F#2 E2",
        "4/0-0 5/3-3 5/2-2 5/0-0 6/3-3 6/2-2 6/0-0",
    ),
    _up_down(
        "E minor melodic, 2 octaves, up and down",
        HIGH,
        OPEN,
        "E2 F#2 G2 A2 B2 C#3 D#3 E3 F#3 G3 A3 B3 C#4 D#4 E4",
        "6/0-0 6/2-2 6/3-3 5/0-0 5/2-2 5/4-4 4/1-1 4/2-2 4/4-4 3/0-0 3/2-2 2/0-0 2/2-2 2/4-4 1/0-0",
        "D4 C4 B3 A3 G3 F#3 E3 D3 C3 B2 A2 G2 F#2 E2",
        "2/3-3 2/1-1 2/0-0 3/2-2 3/0-0 4/4-4 4/2-2 4/0-0 5/3-3 5/2-2 5/0-0 6/3-3 6/2-2 6/0-0",
    ),
    Form(
        "D minor natural, 1 octave",
        HIGH,
        OPEN,
        "D3 E3 F3 G3 A3 Bb3 C4 D4",
        "4/0-0 4/2-2 4/3-3 3/0-0 3/2-2 3/3-3 2/1-1 2/3-3",
    ),
    Form(
        "D minor harmonic, 1 octave",
        HIGH,
        OPEN,
        "D3 E3 F3 G3 A3 Bb3 C#4 D4",
        "4/0-0 4/2-2 4/3-3 3/0-0 3/2-2 3/3-3 2/2-2 2/3-3",
    ),
    _up_down(
        "D minor melodic, 1 octave, up and down",
        HIGH,
        OPEN,
        "D3 E3 F3 G3 A3 B3 C#4 D4",
        "4/0-0 4/2-2 4/3-3 3/0-0 3/2-2 2/0-0 2/2-2 2/3-3",
        "C4 Bb3 A3 G3 F3 E3 D3",
        "2/1-1 3/3-3 3/2-2 3/0-0 4/3-3 4/2-2 4/0-0",
    ),
    Form(
        "Chromatic, first position, descending",
        HIGH,
        OPEN,
        "G#4 G4 F#4 F4 E4 Eb4 D4 Db4 C4 B3 Bb3 A3 Ab3 G3 Gb3 F3 E3 Eb3 D3 Db3 C3 B2 Bb2 A2 Ab2 G2 Gb2 F2 E2",
        "1/4-4 1/3-3 1/2-2 1/1-1 1/0-0 2/4-4 2/3-3 2/2-2 2/1-1 2/0-0 3/3-3 3/2-2 3/1-1 3/0-0 4/4-4 4/3-3 4/2-2 4/1-1 "
        "4/0-0 5/4-4 5/3-3 5/2-2 5/1-1 5/0-0 6/4-4 6/3-3 6/2-2 6/1-1 6/0-0",
    ),
)

MAJOR_FORMS = (
    Form(
        "major, root on 5, finger 2, 1 octave",
        HIGH,
        CLOSED,
        "C3 D3 E3 F3 G3 A3 B3 C4",
        "5/3-2 5/5-4 4/2-1 4/3-2 4/5-4 3/2-1 3/4-3 3/5-4",
    ),
    Form(
        "major, root on 5, finger 2, 2 octaves, in D",
        HIGH,
        CLOSED,
        "D3 E3 F#3 G3 A3 B3 C#4 D4 E4 F#4 G4 A4 B4 C#5 D5",
        "5/5-2 5/7-4 4/4-1 4/5-2 4/7-4 3/4-1 3/6-3 3/7-1 3/9-3 2/7-1 2/8-2 2/10-4 1/7-1 1/9-3 1/10-4",
    ),
    Form(
        "major, root on 5, finger 2, 2 octaves, in E flat",
        HIGH,
        CLOSED,
        "Eb3 F3 G3 Ab3 Bb3 C4 D4 Eb4 F4 G4 Ab4 Bb4 C5 D5 Eb5",
        "5/6-2 5/8-4 4/5-1 4/6-2 4/8-4 3/5-1 3/7-3 3/8-1 3/10-3 2/8-1 2/9-2 2/11-4 1/8-1 1/10-3 1/11-4",
    ),
    Form(
        "major, root on 5, finger 4, to the fifth above the octave, position II",
        HIGH,
        CLOSED,
        "D3 E3 F#3 G3 A3 B3 C#4 D4 E4 F#4 G4 A4",
        "5/5-4 4/2-1 4/4-3 4/5-4 3/2-1 3/4-3 2/2-1 2/3-2 2/5-4 1/2-1 1/3-2 1/5-4",
    ),
    Form(
        "major, root on 6, finger 4, 1 octave, finger 1 reaches back",
        MEDIUM,
        CLOSED,
        "A2 B2 C#3 D3 E3 F#3 G#3 A3",
        "6/5-4 5/2-1 5/4-3 5/5-4 4/2-1 4/4-3 3/1-1 3/2-2",
    ),
    Form(
        "major, root on 4, finger 2, 1 octave",
        MEDIUM,
        CLOSED,
        "F3 G3 A3 Bb3 C4 D4 E4 F4",
        "4/3-2 4/5-4 3/2-1 3/3-2 3/5-4 2/3-1 2/5-3 2/6-4",
    ),
    Form(
        "major, root on 3, finger 1, 1 octave",
        HIGH,
        CLOSED,
        "C4 D4 E4 F4 G4 A4 B4 C5",
        "3/5-1 3/7-3 2/5-1 2/6-2 2/8-4 1/5-1 1/7-3 1/8-4",
    ),
    Form(
        "major, root on 6, finger 2, 1 octave, in B flat",
        HIGH,
        CLOSED,
        "Bb2 C3 D3 Eb3 F3 G3 A3 Bb3",
        "6/6-2 6/8-4 5/5-1 5/6-2 5/8-4 4/5-1 4/7-3 4/8-4",
    ),
    Form(
        "mixolydian, root on 6, finger 2, 1 octave",
        HIGH,
        CLOSED,
        "G2 A2 B2 C3 D3 E3 F3 G3",
        "6/3-2 6/5-4 5/2-1 5/3-2 5/5-4 4/2-1 4/3-2 4/5-4",
    ),
    Form(
        "lydian, root on 6, finger 2, 1 octave",
        HIGH,
        CLOSED,
        "G2 A2 B2 C#3 D3 E3 F#3 G3",
        "6/3-2 6/5-4 5/2-1 5/4-3 5/5-4 4/2-1 4/4-3 4/5-4",
    ),
)

MINOR_FORMS = (
    Form(
        "natural minor, root on 6, finger 1, 1 octave",
        HIGH,
        CLOSED,
        "A2 B2 C3 D3 E3 F3 G3 A3",
        "6/5-1 6/7-3 6/8-4 5/5-1 5/7-3 5/8-4 4/5-1 4/7-3",
    ),
    Form(
        "natural minor, root on 6, finger 1, 2 octaves",
        MEDIUM,
        CLOSED,
        "A2 B2 C3 D3 E3 F3 G3 A3 B3 C4 D4 E4 F4 G4 A4",
        "6/5-1 6/7-3 6/8-4 5/5-1 5/7-3 5/8-4 4/5-1 4/7-3 3/4-1 3/5-2 3/7-4 2/5-1 2/6-2 2/8-4 1/5-1",
    ),
    Form(
        "harmonic minor, root on 6, finger 1, 1 octave",
        HIGH,
        CLOSED,
        "A2 B2 C3 D3 E3 F3 G#3 A3",
        "6/5-1 6/7-3 6/8-4 5/5-1 5/7-3 5/8-4 4/6-2 4/7-3",
    ),
    Form(
        "harmonic minor, root on 6, finger 1, 2 octaves",
        MEDIUM,
        CLOSED,
        "A2 B2 C3 D3 E3 F3 G#3 A3 B3 C4 D4 E4 F4 G#4 A4",
        "6/5-1 6/7-3 6/8-4 5/5-1 5/7-3 5/8-4 4/6-2 4/7-3 3/4-1 3/5-2 3/7-4 2/5-2 2/6-3 1/4-1 1/5-2",
    ),
    Form(
        "melodic minor, root on 6, finger 1, 1 octave",
        HIGH,
        CLOSED,
        "G2 A2 Bb2 C3 D3 E3 F#3 G3",
        "6/3-1 6/5-3 6/6-4 5/3-1 5/5-3 4/2-1 4/4-3 4/5-4",
    ),
    Form(
        "melodic minor, root on 6, finger 1, 2 octaves",
        MEDIUM,
        CLOSED,
        "G2 A2 Bb2 C3 D3 E3 F#3 G3 A3 Bb3 C4 D4 E4 F#4 G4",
        "6/3-1 6/5-3 6/6-4 5/3-1 5/5-3 4/2-1 4/4-3 4/5-4 3/2-1 3/3-2 3/5-4 2/3-2 2/5-4 1/2-1 1/3-2",
    ),
    Form(
        "natural minor, root on 5, finger 1, 1 octave",
        HIGH,
        CLOSED,
        "C3 D3 Eb3 F3 G3 Ab3 Bb3 C4",
        "5/3-1 5/5-3 5/6-4 4/3-1 4/5-3 4/6-4 3/3-1 3/5-3",
    ),
    Form(
        "harmonic minor, root on 5, finger 1, 1 octave",
        HIGH,
        CLOSED,
        "C3 D3 Eb3 F3 G3 Ab3 B3 C4",
        "5/3-1 5/5-3 5/6-4 4/3-1 4/5-3 4/6-4 3/4-2 3/5-3",
    ),
    Form(
        "melodic minor, root on 5, finger 1, 1 octave",
        HIGH,
        CLOSED,
        "C3 D3 Eb3 F3 G3 A3 B3 C4",
        "5/3-1 5/5-3 5/6-4 4/3-1 4/5-3 3/2-1 3/4-3 3/5-4",
    ),
    Form(
        "natural minor, root on 6, finger 4, 1 octave",
        MEDIUM,
        CLOSED,
        "A2 B2 C3 D3 E3 F3 G3 A3",
        "6/5-4 5/2-1 5/3-2 5/5-4 4/2-1 4/3-2 4/5-4 3/2-1",
    ),
    Form(
        "natural minor, root on 5, finger 4, 1 octave",
        MEDIUM,
        CLOSED,
        "D3 E3 F3 G3 A3 Bb3 C4 D4",
        "5/5-4 4/2-1 4/3-2 4/5-4 3/2-1 3/3-2 3/5-4 2/3-2",
    ),
    Form(
        "melodic minor, root on 5, finger 1, 2 octaves, one shift on string 3",
        MEDIUM,
        CLOSED,
        "C3 D3 Eb3 F3 G3 A3 B3 C4 D4 Eb4 F4 G4 A4 B4 C5",
        "5/3-1 5/5-3 5/6-4 4/3-1 4/5-3 3/2-1 3/4-3 3/5-1 3/7-3 3/8-4 2/6-2 2/8-4 1/5-1 1/7-3 1/8-4",
    ),
    Form(
        "dorian, root on 6, finger 1, 1 octave",
        MEDIUM,
        CLOSED,
        "A2 B2 C3 D3 E3 F#3 G3 A3",
        "6/5-1 6/7-3 6/8-4 5/5-1 5/7-3 4/4-1 4/5-2 4/7-4",
    ),
    Form(
        "phrygian, root on 6, finger 1, 1 octave",
        HIGH,
        CLOSED,
        "A2 Bb2 C3 D3 E3 F3 G3 A3",
        "6/5-1 6/6-2 6/8-4 5/5-1 5/7-3 5/8-4 4/5-1 4/7-3",
    ),
)

FIVE_AND_SIX_NOTE_FORMS = (
    Form(
        "minor pentatonic, root on 6, finger 1, 2 octaves",
        HIGH,
        CLOSED,
        "A2 C3 D3 E3 G3 A3 C4 D4 E4 G4 A4 C5",
        "6/5-1 6/8-4 5/5-1 5/7-3 4/5-1 4/7-3 3/5-1 3/7-3 2/5-1 2/8-4 1/5-1 1/8-4",
    ),
    Form(
        "major pentatonic, root on 6, finger 2, 2 octaves",
        HIGH,
        CLOSED,
        "G2 A2 B2 D3 E3 G3 A3 B3 D4 E4 G4",
        "6/3-2 6/5-4 5/2-1 5/5-4 4/2-1 4/5-4 3/2-1 3/4-3 2/3-2 2/5-4 1/3-2",
    ),
    Form(
        "chromatic, root on 6, four to a string, the hand back a fret at each crossing",
        MEDIUM,
        CLOSED,
        "A2 A#2 B2 C3 C#3 D3 D#3 E3 F3 F#3 G3 G#3 A3",
        "6/5-1 6/6-2 6/7-3 6/8-4 5/4-1 5/5-2 5/6-3 5/7-4 4/3-1 4/4-2 4/5-3 4/6-4 3/2-1",
    ),
)

THREE_OCTAVES = (
    Form(
        "G major, 3 octaves, finger 2",
        MEDIUM,
        CLOSED,
        "G2 A2 B2 C3 D3 E3 F#3 G3 A3 B3 C4 D4 E4 F#4 G4 A4 B4 C5 D5 E5 F#5 G5",
        "6/3-2 6/5-4 5/2-1 5/3-2 5/5-4 4/2-1 4/4-3 4/5-4 3/2-1 3/4-3 3/5-1 3/7-3 2/5-1 2/7-3 2/8-4 "
        "1/5-1 1/7-3 1/8-1 1/10-3 1/12-1 1/14-3 1/15-4",
    ),
    Form(
        "F sharp major, 3 octaves, finger 2",
        MEDIUM,
        CLOSED,
        "F#2 G#2 A#2 B2 C#3 D#3 E#3 F#3 G#3 A#3 B3 C#4 D#4 E#4 F#4 G#4 A#4 B4 C#5 D#5 E#5 F#5",
        "6/2-2 6/4-4 5/1-1 5/2-2 5/4-4 4/1-1 4/3-3 4/4-4 3/1-1 3/3-3 3/4-1 3/6-3 2/4-1 2/6-3 2/7-4 "
        "1/4-1 1/6-3 1/7-1 1/9-3 1/11-1 1/13-3 1/14-4",
    ),
)

ALONG_THE_NECK = (
    Form(
        "chromatic, 3 octaves, open strings, then up string 1",
        MEDIUM,
        OPEN,
        "E2 F2 F#2 G2 G#2 A2 A#2 B2 C3 C#3 D3 D#3 E3 F3 F#3 G3 G#3 A3 A#3 B3 C4 C#4 D4 D#4 E4 F4 F#4 G4 G#4 "
        "A4 A#4 B4 C5 C#5 D5 D#5 E5",
        "6/0-0 6/1-1 6/2-2 6/3-3 6/4-4 5/0-0 5/1-1 5/2-2 5/3-3 5/4-4 4/0-0 4/1-1 4/2-2 4/3-3 4/4-4 3/0-0 3/1-1 3/2-2 "
        "3/3-3 2/0-0 2/1-1 2/2-2 2/3-3 2/4-4 1/0-0 1/1-1 1/2-2 1/3-3 1/4-4 1/5-1 1/6-2 1/7-3 1/8-4 1/9-1 1/10-2 "
        "1/11-3 1/12-4",
    ),
    Form(
        "C major up string 1",
        MEDIUM,
        OPEN,
        "E4 F4 G4 A4 B4 C5 D5 E5",
        "1/0-0 1/1-1 1/3-3 1/5-1 1/7-3 1/8-4 1/10-1 1/12-3",
    ),
)

ARPEGGIOS = (
    Form("C major, first position", HIGH, OPEN, "C3 E3 G3 C4 E4", "5/3-3 4/2-2 3/0-0 2/1-1 1/0-0"),
    Form("F major, first position, on its grip", MEDIUM, OPEN, "F3 A3 C4 F4", "4/3-3 3/2-2 2/1-1 1/1-1"),
    Form(
        "major, root on 5, finger 4, position II, to the fifth above the octave",
        HIGH,
        CLOSED,
        "D3 F#3 A3 D4 F#4 A4",
        "5/5-4 4/4-3 3/2-1 2/3-2 1/2-1 1/5-4",
    ),
    Form("major, root on 6, finger 2, 1 octave", MEDIUM, CLOSED, "G2 B2 D3 G3", "6/3-2 5/2-1 5/5-4 4/5-4"),
    Form("major, root on 5, finger 2, 1 octave", MEDIUM, CLOSED, "C3 E3 G3 C4", "5/3-2 4/2-1 4/5-4 3/5-4"),
    Form("minor, root on 6, finger 1, 1 octave", MEDIUM, CLOSED, "A2 C3 E3 A3", "6/5-1 6/8-4 5/7-3 4/7-3"),
    Form("minor, root on 5, finger 1, 1 octave", MEDIUM, CLOSED, "C3 Eb3 G3 C4", "5/3-1 5/6-4 4/5-3 3/5-3"),
    Form(
        "dominant seventh, root on 6, finger 2, 1 octave",
        HIGH,
        CLOSED,
        "G2 B2 D3 F3 G3",
        "6/3-2 5/2-1 5/5-4 4/3-2 4/5-4",
    ),
    Form(
        "dominant seventh, root on 5, finger 2, 1 octave",
        HIGH,
        CLOSED,
        "C3 E3 G3 Bb3 C4",
        "5/3-2 4/2-1 4/5-4 3/3-2 3/5-4",
    ),
    Form(
        "minor seventh, root on 6, finger 1, 1 octave",
        MEDIUM,
        CLOSED,
        "A2 C3 E3 G3 A3",
        "6/5-1 6/8-4 5/7-3 4/5-1 4/7-3",
    ),
    Form(
        "diminished seventh, two to a string from 6",
        MEDIUM,
        CLOSED,
        "G#2 B2 D3 F3 G#3 B3",
        "6/4-1 6/7-4 5/5-1 5/8-4 4/6-1 4/9-4",
    ),
    Form(
        "dominant seventh of C, first position",
        HIGH,
        OPEN,
        "G2 B2 D3 F3 G3 B3 D4 F4",
        "6/3-3 5/2-2 4/0-0 4/3-3 3/0-0 2/0-0 2/3-3 1/1-1",
    ),
)

DOUBLE_STOPS = (
    Form(
        "thirds on 3 and 2, C major",
        HIGH,
        OPEN,
        "G3+B3 A3+C4 B3+D4 C4+E4 D4+F4 E4+G4 F4+A4 G4+B4",
        "3/0-0 2/0-0 3/2-2 2/1-1 3/4-2 2/3-1 3/5-2 2/5-3 3/7-2 2/6-1 3/9-2 2/8-1 3/10-2 2/10-3 3/12-2 2/12-3",
    ),
    Form(
        "thirds on 4 and 3, C major",
        MEDIUM,
        CLOSED,
        "E3+G3 F3+A3 G3+B3 A3+C4 B3+D4 C4+E4",
        "4/2-2 3/0-0 4/3-2 3/2-1 4/5-2 3/4-1 4/7-3 3/5-1 4/9-3 3/7-1 4/10-2 3/9-1",
    ),
    Form(
        "thirds on 2 and 1, A major",
        MEDIUM,
        CLOSED,
        "C#4+E4 D4+F#4 E4+G#4 F#4+A4 G#4+B4 A4+C#5",
        "2/2-2 1/0-0 2/3-2 1/2-1 2/5-2 1/4-1 2/7-3 1/5-1 2/9-3 1/7-1 2/10-2 1/9-1",
    ),
    Form(
        "sixths on 3 and 1, C major",
        HIGH,
        OPEN,
        "G3+E4 A3+F4 B3+G4 C4+A4 D4+B4 E4+C5 F4+D5 G4+E5",
        "3/0-0 1/0-0 3/2-2 1/1-1 3/4-2 1/3-1 3/5-2 1/5-3 3/7-2 1/7-3 3/9-2 1/8-1 3/10-2 1/10-3 3/12-2 1/12-3",
    ),
    Form(
        "sixths on 4 and 2, C major",
        HIGH,
        OPEN,
        "D3+B3 E3+C4 F3+D4 G3+E4 A3+F4 B3+G4 C4+A4",
        "4/0-0 2/0-0 4/2-2 2/1-1 4/3-2 2/3-3 4/5-2 2/5-3 4/7-2 2/6-1 4/9-2 2/8-1 4/10-2 2/10-3",
    ),
    Form(
        "sixths on 5 and 3, C major",
        MEDIUM,
        CLOSED,
        "C3+A3 D3+B3 E3+C4 F3+D4 G3+E4",
        "5/3-2 3/2-1 5/5-2 3/4-1 5/7-3 3/5-1 5/8-2 3/7-1 5/10-2 3/9-1",
    ),
    Form(
        "thirds on 5 and 4, F major",
        MEDIUM,
        CLOSED,
        "D3+F3 E3+G3 F3+A3 G3+Bb3 A3+C4",
        "5/5-3 4/3-1 5/7-3 4/5-1 5/8-2 4/7-1 5/10-3 4/8-1 5/12-3 4/10-1",
    ),
    Form(
        "octaves on 4 and 2, G major",
        HIGH,
        CLOSED,
        "E3+E4 F#3+F#4 G3+G4 A3+A4 B3+B4 C4+C5",
        "4/2-1 2/5-4 4/4-1 2/7-4 4/5-1 2/8-4 4/7-1 2/10-4 4/9-1 2/12-4 4/10-1 2/13-4",
    ),
    Form(
        "octaves on 3 and 1, C major",
        HIGH,
        CLOSED,
        "A3+A4 B3+B4 C4+C5 D4+D5 E4+E5",
        "3/2-1 1/5-4 3/4-1 1/7-4 3/5-1 1/8-4 3/7-1 1/10-4 3/9-1 1/12-4",
    ),
    Form(
        "octaves on 5 and 3, C major, fingers 1 and 3",
        MEDIUM,
        CLOSED,
        "C3+C4 D3+D4 E3+E4 F3+F4 G3+G4",
        "5/3-1 3/5-3 5/5-1 3/7-3 5/7-1 3/9-3 5/8-1 3/10-3 5/10-1 3/12-3",
    ),
)

SEQUENCES = (
    Form(
        "broken thirds, C major, first position",
        HIGH,
        OPEN,
        "C3 E3 D3 F3 E3 G3 F3 A3 G3 B3 A3 C4 B3 D4 C4",
        "5/3-3 4/2-2 4/0-0 4/3-3 4/2-2 3/0-0 4/3-3 3/2-2 3/0-0 2/0-0 3/2-2 2/1-1 2/0-0 2/3-3 2/1-1",
    ),
    Form(
        "broken thirds, G major, position II",
        HIGH,
        CLOSED,
        "G2 B2 A2 C3 B2 D3 C3 E3 D3 F#3 E3 G3 F#3 A3 G3 B3 A3 C4 B3 D4 C4",
        "6/3-2 5/2-1 6/5-4 5/3-2 5/2-1 5/5-4 5/3-2 4/2-1 5/5-4 4/4-3 4/2-1 4/5-4 4/4-3 3/2-1 4/5-4 3/4-3 3/2-1 "
        "3/5-4 3/4-3 2/3-2 3/5-4",
    ),
    Form(
        "groups of four, G major, position II",
        HIGH,
        CLOSED,
        "G2 A2 B2 C3 A2 B2 C3 D3 B2 C3 D3 E3 C3 D3 E3 F#3 D3 E3 F#3 G3 E3 F#3 G3 A3 F#3 G3 A3 B3 G3 A3 B3 C4",
        "6/3-2 6/5-4 5/2-1 5/3-2 6/5-4 5/2-1 5/3-2 5/5-4 5/2-1 5/3-2 5/5-4 4/2-1 5/3-2 5/5-4 4/2-1 4/4-3 5/5-4 4/2-1 "
        "4/4-3 4/5-4 4/2-1 4/4-3 4/5-4 3/2-1 4/4-3 4/5-4 3/2-1 3/4-3 4/5-4 3/2-1 3/4-3 3/5-4",
    ),
    Form(
        "groups of three, C major, first position",
        HIGH,
        OPEN,
        "C3 D3 E3 D3 E3 F3 E3 F3 G3 F3 G3 A3 G3 A3 B3 A3 B3 C4",
        "5/3-3 4/0-0 4/2-2 4/0-0 4/2-2 4/3-3 4/2-2 4/3-3 3/0-0 4/3-3 3/0-0 3/2-2 3/0-0 3/2-2 2/0-0 3/2-2 2/0-0 2/1-1",
    ),
)

ALL_FORMS = (
    *OPEN_SCALES,
    *MAJOR_FORMS,
    *MINOR_FORMS,
    *FIVE_AND_SIX_NOTE_FORMS,
    *THREE_OCTAVES,
    *ALONG_THE_NECK,
    *ARPEGGIOS,
    *DOUBLE_STOPS,
    *SEQUENCES,
)
