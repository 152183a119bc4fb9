"""Technique up the neck: double stops keep their pair and their fingers, lines climb where teachers let them.

Source of the double stops: common practice of the nineteenth-century methods, from memory. On the pairs tuned in fourths a
minor third is 3-1 and a major third 2-1, the first finger guiding; where both notes of a shape lie on one fret it is
2-3, beside 2-1, the second finger guiding; an octave over three strings is 1-4.
"""

from itertools import islice, pairwise

import pytest

from engraver.fingering.alternatives import ranked_fingerings
from engraver.fingering.left_hand import finger_left_hand
from engraver.fretboard.limits import LeftHandLimits, OpenStrings, Pin
from engraver.theory.pitch import SpelledPitch
from tests.fingering.left_hand_helpers import GUITAR, PLAYER, passage, places

MINOR_THIRD, MAJOR_THIRD, MINOR_SIXTH, MAJOR_SIXTH, OCTAVE = 3, 4, 8, 9, 12
THIRDS = {MINOR_THIRD: (3, 1), MAJOR_THIRD: (2, 1)}
SIXTHS_AS_THIRDS = {MINOR_SIXTH: (3, 1), MAJOR_SIXTH: (2, 1)}
SIXTHS = {MINOR_SIXTH: (2, 1), MAJOR_SIXTH: (2, 3)}
RUNS = [
    *(((lower, lower - 1), THIRDS) for lower in (2, 4, 5, 6)),
    ((3, 2), {MINOR_THIRD: (2, 1), MAJOR_THIRD: (2, 3)}),
    *(((lower, lower - 2), SIXTHS) for lower in (3, 4)),
    *(((lower, lower - 2), SIXTHS_AS_THIRDS) for lower in (5, 6)),
    *(((lower, lower - 2), {OCTAVE: (1, 4)}) for lower in (3, 4)),
]
SCALES = {
    "C": "C D E F G A B",
    "G": "G A B C D E F#",
    "D": "D E F# G A B C#",
    "A": "A B C# D E F# G#",
    "F": "F G A Bb C D E",
}
HIGHEST_FRET, LONGEST_RUN = 11, 8


def closed_run(pair: tuple[int, int], shapes: dict[int, tuple[int, int]], scale: str) -> list[tuple[str, str]]:
    """Every double stop of these shapes up the pair without open strings: pitches, and places with fingers."""
    pitches = [SpelledPitch.parse(f"{name}{octave}") for octave in range(2, 6) for name in scale.split()]
    run = []
    for low in pitches:
        for high in pitches:
            frets = [p.sounding_midi - GUITAR.sounding(s, 0) for p, s in zip((low, high), pair, strict=True)]
            fingers = shapes.get(high.sounding_midi - low.sounding_midi)
            if fingers and min(frets) >= 1 and max(frets) <= HIGHEST_FRET:
                held = zip(pair, frets, fingers, strict=True)
                run.append((frets[0], f"{low}+{high}", " ".join(f"{s}/{f}-{finger}" for s, f, finger in held)))
    return [(notes, held) for _, notes, held in sorted(run)][:LONGEST_RUN]


@pytest.mark.parametrize("key", SCALES)
@pytest.mark.parametrize(("pair", "shapes"), RUNS, ids=lambda value: str(value))
def test_a_run_keeps_its_pair_and_each_shape_its_fingers(pair, shapes, key) -> None:
    """Given the string and finger of the first note alone, without open strings."""
    run = closed_run(pair, shapes, SCALES[key])
    assert len(run) >= 4
    limits = LeftHandLimits(OpenStrings.AVOID, start_string=pair[0], start_finger=int(run[0][1].split()[0][-1]))
    done = finger_left_hand(passage(" ".join(notes for notes, _ in run)), GUITAR, PLAYER, limits)
    assert places(done) == " ".join(held for _, held in run)


def test_sixths_leave_the_low_pair_by_open_strings() -> None:
    """With open strings allowed, an octave of sixths leaves the low pair by an open one and stays on strings 4 and 2."""
    sixths = "C3+A3 D3+B3 E3+C4 F3+D4 G3+E4 A3+F4 B3+G4 C4+A4"
    done = finger_left_hand(passage(sixths), GUITAR, PLAYER, LeftHandLimits())
    expected = "5/3-2 3/2-1 4/0-0 2/0-0 4/2-2 2/1-1 4/3-2 2/3-3 4/5-2 2/5-3 4/7-2 2/6-1 4/9-2 2/8-1 4/10-2 2/10-3"
    assert places(done) == expected


G_UP = "G2 A2 B2 C3 D3 E3 F#3 G3 A3 B3 C4 D4 E4 F#4 G4 A4 B4 C5 D5 E5 F#5 G5"


def test_the_top_of_three_octaves_lies_on_string_1() -> None:
    """Past the octave fret a closed line leaves the inner strings."""
    done = finger_left_hand(passage(G_UP), GUITAR, PLAYER, LeftHandLimits(OpenStrings.AVOID, start_string=6))
    assert all(note.string == 1 for note in done.notes if note.fret > 12)


def test_a_closed_line_shifts_on_the_treble_strings() -> None:
    """Two octaves of G from finger 2 and a third above them: no shift while the line is on a wound string."""
    limits = LeftHandLimits(OpenStrings.AVOID, start_string=6, start_finger=2)
    done = finger_left_hand(passage(G_UP), GUITAR, PLAYER, limits)
    assert {note.position for note in done.notes if note.string >= 4} == {2}


def test_a_line_shifts_rather_than_creeps() -> None:
    """Two octaves of C melodic minor: four frets at most on a string before the shift, none opened to five."""
    line = "C3 D3 Eb3 F3 G3 A3 B3 C4 D4 Eb4 F4 G4 A4 B4 C5"
    limits = LeftHandLimits(OpenStrings.AVOID, start_string=5, start_finger=1)
    done = finger_left_hand(passage(line), GUITAR, PLAYER, limits)
    for position in {note.position for note in done.notes}:
        frets = [note.fret for note in done.notes if note.position == position]
        assert max(frets) - min(frets) <= 3


def test_a_line_along_one_string_stays_there() -> None:
    """Eight steps up from the open first string do not fall back to a lower string, though it rings while they might."""
    limits = LeftHandLimits(OpenStrings.ALLOW, start_string=1, start_finger=0)
    done = finger_left_hand(passage("E4 F4 G4 A4 B4 C5 D5 E5"), GUITAR, PLAYER, limits)
    assert {note.string for note in done.notes} == {1}


@pytest.mark.parametrize(
    "line",
    [
        "G#2 B2 D3 F3 G#3 B3",
        "G2 B2 D3 F3 G3 B3 D4 F4 G4",
        "A2 C#3 E3 A3 C#4 E4 A4",
        "D3 F3 A3 D4 F4 A4",
        "C3 E3 G#3 C4 E4 G#4",
    ],
)
def test_no_fingering_that_is_known_costs_less_than_the_one_chosen(line: str) -> None:
    """Even where the hand remembers: the next best ways through a broken chord, pinned note by note, are dearer."""
    for policy in (OpenStrings.ALLOW, OpenStrings.AVOID):
        best = finger_left_hand(passage(line), GUITAR, PLAYER, LeftHandLimits(policy))
        for other in islice(ranked_fingerings(passage(line), GUITAR, PLAYER, LeftHandLimits(policy)), 12):
            pins = tuple(Pin(index, note.string, note.left_finger) for index, note in enumerate(other.notes))
            pinned = finger_left_hand(passage(line), GUITAR, PLAYER, LeftHandLimits(policy, pins=pins))
            assert pinned.total_cost >= best.total_cost - 1e-3


@pytest.mark.parametrize(
    "line", ["G2 B2 D3 G3 B3 D4 G4", "F3 A3 C4 E4 F4", "D3 F3 A3 C4 D4 F4 A4 C5", "E3 G#3 B3 D4 E4 G#4"]
)
def test_fingers_of_neighbouring_notes_do_not_cross(line: str) -> None:
    """In one position the higher finger lies ahead; on one fret it lies on the higher string."""
    for policy in (OpenStrings.ALLOW, OpenStrings.AVOID):
        notes = finger_left_hand(passage(line), GUITAR, PLAYER, LeftHandLimits(policy)).notes
        for a, b in pairwise(note for note in notes if note.fret):
            if a.left_finger == b.left_finger or abs(a.position - b.position) > 1:
                continue
            low, high = sorted((a, b), key=lambda note: note.left_finger)
            assert (low.fret, -low.string) < (high.fret, -high.string)


@pytest.mark.parametrize(("finger", "shapes"), [(1, {"1-3", "1-2"}), (2, {"2-4", "2-3"})])
def test_tenths_keep_the_finger_they_begin_with(finger: int, shapes: set[str]) -> None:
    """On strings 5 and 2 the lower finger guides the run; major and minor tenths have one pair of fingers each."""
    limits = LeftHandLimits(OpenStrings.AVOID, start_string=5, start_finger=finger)
    notes = finger_left_hand(passage("C3+E4 D3+F4 E3+G4 F3+A4 G3+B4 A3+C5"), GUITAR, PLAYER, limits).notes
    assert {note.string for note in notes} == {5, 2}
    assert {
        f"{low.left_finger}-{high.left_finger}" for low, high in zip(notes[::2], notes[1::2], strict=True)
    } == shapes


@pytest.mark.parametrize(
    "line", ["D3 F#3 A3 D4", "D3 E3 F#3 G3 A3 B3 C#4 D4 E4", "E3 F#3 G#3 A3 F#3 G#3 A3 B3 G#3 A3 B3 C#4 A3 B3 C#4 D#4"]
)
def test_beside_open_strings_every_finger_has_its_fret(line: str) -> None:
    """In first position finger 1 takes the first fret and so on, though a hand in second position would spare finger 4."""
    notes = finger_left_hand(passage(line), GUITAR, PLAYER, LeftHandLimits(OpenStrings.ALLOW)).notes
    assert all(note.fret == note.left_finger for note in notes)
