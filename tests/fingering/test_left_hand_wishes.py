"""What a teacher may ask of the fretting hand as a whole: barres, extensions, one finger per fret, a place to stay near."""

from dataclasses import replace
from fractions import Fraction

import pytest

from engraver.errors import Unplayable
from engraver.fingering.fingered import FingeredPassage
from engraver.fingering.left_hand import finger_left_hand
from engraver.fretboard.limits import Barres, HandShape, LeftHandLimits, OpenStrings, Pin, Spread, Yielding
from engraver.fretboard.tuning import Instrument
from engraver.theory.passage import Note, Passage
from engraver.theory.pitch import SpelledPitch
from engraver.theory.rhythm import Metre
from tests.fingering.left_hand_helpers import GUITAR, PLAYER, STANDARD, passage, places
from tests.fingering.playable import faults

F_MAJOR = "F2+C3+F3+A3+C4+F4"
SMALL_F = "F3+A3+C4+F4"
C_SCALE = "C3 D3 E3 F3 G3 A3 B3 C4 D4 E4 F4 G4 A4 B4 C5"
CLOSED = LeftHandLimits(OpenStrings.AVOID)


def shaped(limits: LeftHandLimits = CLOSED, **shape: object) -> LeftHandLimits:
    return replace(limits, shape=HandShape(**shape))


def done(text: str, limits: LeftHandLimits) -> FingeredPassage:
    result = finger_left_hand(passage(text), GUITAR, PLAYER, limits)
    assert faults(result, GUITAR, PLAYER) == []
    return result


def test_a_small_f_without_a_barre_takes_four_fingers() -> None:
    """Two strings at one fret under one finger are a barre; without one every string has its own finger."""
    low = replace(CLOSED, position=1, pins=(Pin(3, finger=1),))
    assert places(done(SMALL_F, low)) == "4/3-3 3/2-2 2/1-1 1/1-1"
    low = replace(low, pins=())
    assert places(done(SMALL_F, shaped(low, barre=Barres.NONE))) == "4/3-4 3/2-3 2/1-1 1/1-2"


def test_a_grip_that_needs_a_barre_is_refused_by_name() -> None:
    """Six fretted notes cannot be held by four fingers, and the remedy is the wish itself."""
    with pytest.raises(Unplayable) as caught:
        done(F_MAJOR, shaped(barre=Barres.NONE))
    assert caught.value.message.endswith("at note 1 (F2) in bar 1 cannot be held without a barre")
    assert caught.value.hint.startswith("write 'barre: allow'")


def test_a_partial_barre_lies_over_four_strings_at_most() -> None:
    """The full F barre is refused, and the small one kept."""
    with pytest.raises(Unplayable, match="over at most 4 strings"):
        done(F_MAJOR, shaped(barre=Barres.PARTIAL))
    low = replace(CLOSED, position=1, pins=(Pin(3, finger=1),))
    assert places(done(SMALL_F, shaped(low, barre=Barres.PARTIAL))) == "4/3-3 3/2-2 2/1-1 1/1-1"


def widest_opening(result: FingeredPassage) -> int:
    """Frets between neighbouring notes beyond their fingers, where the hand does not shift: counted again here."""
    opened = [0]
    for a, b in zip(result.notes, result.notes[1:], strict=False):
        low, high = (a, b) if a.left_finger < b.left_finger else (b, a)
        if 0 < low.left_finger < high.left_finger and abs(a.position - b.position) < 2:
            opened.append(high.fret - low.fret - (high.left_finger - low.left_finger))
    return max(opened)


def test_no_extension_keeps_the_hand_closed() -> None:
    """Three notes of a scale on each string open the hand by a fret, or are shifted where the book allows no opening."""
    three = LeftHandLimits(OpenStrings.AVOID, start_string=6, notes_per_string=3)
    assert widest_opening(done("G2 A2 B2 C3 D3 E3", three)) >= 1
    assert widest_opening(done("G2 A2 B2 C3 D3 E3", shaped(three, spread=Spread.NO_EXTENSION))) <= 0
    assert widest_opening(done(C_SCALE, shaped(spread=Spread.NO_EXTENSION))) <= 0


def test_one_finger_per_fret_fits_every_note_into_its_position() -> None:
    """Each finger lies exactly on its fret of the hand's position, and the hand moves by true shifts alone."""
    result = done(C_SCALE, shaped(spread=Spread.ONE_PER_FRET))
    assert all(n.fret - n.left_finger == n.position - 1 for n in result.notes)
    moves = [abs(a.position - b.position) for a, b in zip(result.notes, result.notes[1:], strict=False)]
    assert 1 not in moves


def test_a_chord_that_needs_an_extension_is_refused_by_name() -> None:
    """Two fingers pinned three frets apart cannot stay within one finger per fret."""
    pins = (Pin(0, 5, 1), Pin(1, 4, 2))
    with pytest.raises(Unplayable, match="cannot be held without an extension; write 'extensions: allow'"):
        done("E3+C4", replace(shaped(spread=Spread.NO_EXTENSION), pins=pins))


def test_pins_that_open_the_hand_are_refused_where_no_extension_is_allowed() -> None:
    """The note that the pins drive apart is named."""
    pins = (Pin(0, 6, 1), Pin(1, 6, 4))
    with pytest.raises(Unplayable, match=r"note 2 \(B2\) in bar 1 cannot be reached without an extension"):
        done("G2 B2 D3", replace(shaped(spread=Spread.NO_EXTENSION), pins=pins))


@pytest.mark.parametrize("asked", [5, 7, 9])
def test_the_hand_stays_near_the_position_it_is_asked_for(asked: int) -> None:
    """`around_position` draws a line there, and a note that does not lie there is played all the same."""
    line = "E3 F#3 G3 A3 B3 C4 D4 E4"
    near = done(line, shaped(around_position=asked))
    assert all(abs(n.position - asked) <= 2 for n in near.notes)
    assert min(n.position for n in done(line, shaped()).notes) < 3
    assert done("E2 F2 " + line, shaped(around_position=asked)).notes[0].fret == 0


def test_another_position_is_proposed() -> None:
    """Where a position does not hold the passage the error names the nearest that does."""
    with pytest.raises(Unplayable) as caught:
        done("G4 A4 B4 C5", LeftHandLimits(position=1))
    found = int(caught.value.hint.split()[1])
    assert done("G4 A4 B4 C5", LeftHandLimits(position=found))
    assert caught.value.hint == f"position {found} holds the whole passage"


def test_first_position_holds_the_chords_of_first_position() -> None:
    """A minor has two fingers on one fret, C7 a finger next to its own: both belong to first position."""
    assert places(done("A2+E3+A3+C4+E4", LeftHandLimits(position=1))) == "5/0-0 4/2-2 3/2-3 2/1-1 1/0-0"
    assert done("C3+E3+Bb3+C4+E4", LeftHandLimits(position=1))


BEGINNER = LeftHandLimits(
    position=1,
    shape=HandShape(Barres.NONE, Spread.NO_EXTENSION, 1),
    yielding=(Yielding.POSITION, Yielding.EXTENSIONS, Yielding.BARRE),
)


def test_a_level_gives_up_no_more_than_it_must() -> None:
    """A line beyond first position gives up the position alone, a full barre the barre alone; others give up nothing."""
    assert done("C3 D3 E3", BEGINNER).given_up == ()
    assert done("G4 A4 B4 C5", BEGINNER).given_up == (Yielding.POSITION,)
    assert done(F_MAJOR, BEGINNER).given_up == (Yielding.BARRE,)


def test_what_the_book_asks_itself_is_not_given_up() -> None:
    """Only the wishes named as yielding go; the barre that the book itself forbids is refused."""
    with pytest.raises(Unplayable, match="without a barre"):
        done(F_MAJOR, replace(BEGINNER, yielding=(Yielding.POSITION,)))


def grip_study(*bars: str) -> Passage:
    """Bars of `5/2 3/2 …` strokes (string/fret), each held until its string is struck again."""
    half, notes = Fraction(1, 2), []
    for number, text in enumerate(bars):
        strokes = [tuple(map(int, stroke.split("/"))) for stroke in text.split()]
        for at, (string, fret) in enumerate(strokes):
            later = next((n for n, s in enumerate(strokes) if n > at and s[0] == string), 8)
            midi = GUITAR.sounding(string, fret)
            name = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")[midi % 12]
            pitch = SpelledPitch.parse(f"{name}{midi // 12 - 1}")
            notes.append(Note(pitch, 4 * number + at * half, half, string=string, held_quarters=(later - at) * half))
    return Passage(tuple(notes), 0, Metre(4, 4))


def test_a_grip_keeps_its_fingers_through_the_bar() -> None:
    """A minor under p-i-m-i holds 3 on its A and 1 on its C from the first stroke to the last."""
    study = grip_study("5/0 3/2 2/1 3/2 5/0 3/2 2/1 3/2", "5/2 3/2 2/0 3/2 5/2 3/2 2/0 3/2")
    result = finger_left_hand(study, GUITAR, PLAYER, LeftHandLimits())
    for bar in (0, 1):
        held = {(n.string, n.fret, n.left_finger) for n in result.notes[8 * bar : 8 * bar + 8]}
        assert len(held) == len({(string, fret) for string, fret, _ in held})


@pytest.mark.parametrize(
    ("frets", "fingers"),
    [
        ("5/3 4/2 3/0 2/1 1/0", "3 2 0 1 0"),
        ("4/0 3/2 2/3 1/2", "0 1 3 2"),
        ("6/0 5/2 4/2 3/1 2/0 1/0", "0 2 3 1 0 0"),
        ("6/3 5/2 4/0 3/0 2/0 1/1", "3 2 0 0 0 1"),
        ("5/2 4/1 3/2 2/0 1/2", "2 1 3 0 4"),
        ("6/5 5/7 4/7 3/6 2/5 1/5", "1 3 4 2 1 1"),
        ("5/3 4/5 3/3 2/5 1/3", "1 3 1 4 1"),
    ],
)
def test_usual_grips_take_their_usual_fingers(frets: str, fingers: str) -> None:
    """C, D, E, G7, B7, a barred A and a barred C7 as every method prints them (common practice, from memory)."""
    study = grip_study(frets)
    result = finger_left_hand(study, GUITAR, PLAYER, LeftHandLimits())
    assert [n.left_finger for n in result.notes] == [int(f) for f in fingers.split()]


def test_a_pin_wins_over_the_usual_grip() -> None:
    """A teacher's finger on one note of a grip is kept through the bar."""
    study = grip_study("5/0 4/2 3/2 2/1 3/2 4/2 5/0 3/2")
    result = finger_left_hand(study, GUITAR, PLAYER, LeftHandLimits(pins=(Pin(2, finger=4),)))
    assert {n.left_finger for n in result.notes if n.string == 3} == {4}


def test_grips_on_a_short_guitar_with_a_capo_stay_usual() -> None:
    """Frets count from the capo, so the grip is the same."""
    guitar = Instrument(STANDARD, scale_length_mm=530, capo=2)
    result = finger_left_hand(grip_study("5/3 4/2 3/0 2/1"), guitar, PLAYER, LeftHandLimits())
    assert [n.left_finger for n in result.notes] == [3, 2, 0, 1]


def test_a_grip_is_held_whole_although_the_bar_plucks_less() -> None:
    """A minor without its string 2 could be A major; the study names its grip, and the fingers are those of A minor."""
    study = grip_study("5/0 4/2 3/2 1/0 3/2 4/2 3/2 4/2")
    whole = tuple((string, GUITAR_PITCH[string, fret]) for string, fret in ((5, 0), (4, 2), (3, 2), (2, 1), (1, 0)))
    result = finger_left_hand(replace(study, grips=(whole,)), GUITAR, PLAYER, LeftHandLimits())
    assert {(n.string, n.left_finger) for n in result.notes} == {(5, 0), (4, 2), (3, 3), (1, 0)}


GUITAR_PITCH = {
    (string, fret): SpelledPitch.parse(name)
    for string, fret, name in ((5, 0, "A2"), (4, 2, "E3"), (3, 2, "A3"), (2, 1, "C4"), (1, 0, "E4"))
}


def test_struck_chords_are_held_as_they_are_taught() -> None:
    """C and G7 struck one after the other keep the fingers of every method (common practice, from memory)."""
    assert places(done("C3+E3+G3+C4 G2+B2+D3+F4 C3+E3+G3+C4", LeftHandLimits())) == (
        "5/3-3 4/2-2 3/0-0 2/1-1 6/3-3 5/2-2 4/0-0 1/1-1 5/3-3 4/2-2 3/0-0 2/1-1"
    )


def test_a_level_gives_way_to_a_usual_grip() -> None:
    """A small F in a study is held with its barre, and the beginner's wish for none is what gives way."""
    result = finger_left_hand(grip_study("4/3 3/2 2/1 1/1"), GUITAR, PLAYER, BEGINNER)
    assert [n.left_finger for n in result.notes] == [3, 2, 1, 1]
    assert result.given_up == (Yielding.BARRE,)
    strict = replace(BEGINNER, yielding=())
    assert finger_left_hand(grip_study("4/3 3/2 2/1 1/1"), GUITAR, PLAYER, strict).given_up == ()
