"""Repertoire fingered with learned habits: playable, steady, and honest where a chord must be rolled."""

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engraver.fingering import habits, note_habits
from engraver.fingering.left_hand import finger_left_hand
from engraver.fretboard.limits import LeftHandLimits, Pin
from engraver.theory.passage import Note, Passage
from engraver.theory.pitch import PitchName, SpelledPitch
from engraver.theory.rhythm import Metre
from tests.fingering.left_hand_helpers import GUITAR, PLAYER, passage
from tests.fingering.playable import faults

SHARPS = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
LEARNED = habits.read_habits()


def two_voices(top: list[int], bass: list[int]) -> Passage:
    """Quavers over a bass in minims."""
    half = Fraction(1, 2)
    notes = []
    for number, midi in enumerate(top):
        if number % 4 == 0:
            low = bass[number // 4 % len(bass)]
            notes.append(Note(spelled(low), number * half, Fraction(2), 2))
        notes.append(Note(spelled(midi), number * half, half))
    return Passage(tuple(notes), 0, Metre(4, 4))


def spelled(midi: int) -> SpelledPitch:
    return SpelledPitch(PitchName.parse(SHARPS[midi % 12]), midi // 12 - 1)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.integers(59, 80), min_size=1, max_size=24),
    st.lists(st.integers(40, 54), min_size=1, max_size=3),
)
def test_two_voices_are_playable_or_openly_rolled(top: list[int], bass: list[int]) -> None:
    """Every note has a place the hand can take; a chord out of reach is rolled and the account says so."""
    line = two_voices(top, bass)
    done = finger_left_hand(line, GUITAR, PLAYER, LeftHandLimits(), LEARNED)
    rolled = {done.notes[c.note].note.onset_quarters for c in done.account if c.name == "chord_broken"}
    wrong = [f for f in faults(done, GUITAR, PLAYER) if done.notes[f.note].note.onset_quarters not in rolled]
    assert wrong == []


def test_an_impossible_chord_is_rolled_and_named() -> None:
    """F2 and G2 lie only on string 6: the second is struck late, and nothing else is called so."""
    line = passage("C3 F2+G2 C3")
    done = finger_left_hand(line, GUITAR, PLAYER, LeftHandLimits(), LEARNED)
    assert [(c.name, c.note) for c in done.account if c.name == "chord_broken"] == [("chord_broken", 2)]
    assert [n.string for n in done.notes[1:3]] == [6, 6]


def test_repeated_material_is_fingered_alike() -> None:
    """A bar that returns twice keeps its fingers each time, away from the borders."""
    bar = "E4 G4 C5 B4 A4 F4 D4 C4"
    done = finger_left_hand(passage(" ".join([bar] * 4)), GUITAR, PLAYER, LeftHandLimits(), LEARNED)
    fingers = [n.left_finger for n in done.notes]
    assert fingers[10:14] == fingers[18:22]


def test_pins_win_over_habits() -> None:
    """A pinned string and finger come out as pinned."""
    line = passage("E4 F4 G4 A4 G4 F4 E4")
    limits = LeftHandLimits(pins=(Pin(3, string=2, finger=4),))
    done = finger_left_hand(line, GUITAR, PLAYER, limits, LEARNED)
    assert (done.notes[3].string, done.notes[3].left_finger) == (2, 4)


def test_the_table_says_what_it_is_and_fits() -> None:
    """About, source and units stand in the file, and it holds one number for every description."""
    with np.load(habits._TABLE) as table:
        assert {"about", "source", "units"} <= set(table.files)
        assert "Mutopia" in str(table["source"])
        assert table["weights"].shape == (habits.SIZE,)
    assert 0 < LEARNED.own_share < 5


def test_families_do_not_overlap() -> None:
    """Every description has a number of its own within its family's range."""
    line = passage("E2 F2+C4 G5 E4")
    from engraver.fingering.events import events_of
    from engraver.fingering.phrases import line_of
    from engraver.fingering.wishes import Wish

    events = events_of(line, tuple(Wish() for _ in line.notes), 6)
    for family, numbers in zip(
        habits.NOTE_FAMILIES, note_habits.note_numbers(line_of(line, GUITAR, events)), strict=True
    ):
        low = habits.OFFSETS[family.name]
        assert low <= numbers.min()
        assert numbers.max() < low + family.size


def test_a_string_is_readily_printed_where_it_is_not_the_nearest() -> None:
    """E4 lies open on string 1, at fret 5 on 2, 9 on 3, 14 on 4, 19 on 5: first, next and further places in turn."""
    from engraver.fingering.events import events_of
    from engraver.fingering.phrases import line_of
    from engraver.fingering.wishes import Wish

    line = passage("E4 E2")
    seen = line_of(line, GUITAR, events_of(line, tuple(Wish() for _ in line.notes), 6))
    found = note_habits.places_printed(seen, (0.25, 1.0, 0.5))
    assert found.tolist() == [[0.25, 1, 0.5, 0.5, 0.5, 0], [0, 0, 0, 0, 0, 0.25]]


def test_by_the_nut_hardly_a_string_is_printed() -> None:
    """Among notes of the first two frets a tenth; a note that needs fret 5 near by makes it whole again."""
    from engraver.fingering.events import events_of
    from engraver.fingering.phrases import line_of
    from engraver.fingering.wishes import Wish

    def of_first(notes: str) -> float:
        line = passage(notes)
        seen = line_of(line, GUITAR, events_of(line, tuple(Wish() for _ in line.notes), 6))
        return float(note_habits.readiness(seen, (0.0, 1.0, 1.0))[0, 2])

    assert of_first("C4 E4 A3") == pytest.approx(0.1)
    assert of_first("C4 E4 A4") == 1


def test_an_arpeggio_of_first_position_stays_there() -> None:
    """A minor from the open fifth string: 5/0, 3/2, 2/1, 1/0, as every method has it (common practice, no source)."""
    line = passage("A2 A3 C4 E4 C4 A3 A2 A3 C4 E4 C4 A3 E3 G#3 B3 E4 B3 G#3 A2 A3 C4 E4 C4 A3")
    done = finger_left_hand(line, GUITAR, PLAYER, LeftHandLimits(), LEARNED)
    assert [(n.string, n.fret) for n in done.notes[:4]] == [(5, 0), (3, 2), (2, 1), (1, 0)]
    assert max(n.fret for n in done.notes) <= 2


def test_a_string_that_would_be_printed_is_worth_more_the_more_marks_of_strings_count() -> None:
    """The more a printed string is worth, the more notes leave the place nearest the nut; without it, fewest."""
    from engraver.fingering import repertoire
    from engraver.fingering.agreement import Blend
    from engraver.fingering.candidates import Setting
    from engraver.fingering.costs import repertoire_table
    from engraver.fingering.events import events_of
    from engraver.fingering.search import board_for
    from engraver.fingering.wishes import Wish
    from engraver.fretboard.limits import OpenStrings

    line = passage("E4 C4 A3 C4 E4 A4 E4 C4 B3 G3 E4 C5 A4 E4 C4 A3")
    board = board_for(Setting(GUITAR, PLAYER), OpenStrings.ALLOW, repertoire_table())
    events = events_of(line, tuple(Wish() for _ in line.notes), 6)
    heard = repertoire.Repertoire(board, events, line, GUITAR, LEARNED)

    def far(worth: float) -> int:
        path = heard.best_path(Blend(string=worth))
        strings = [int(heard.search.grips(n).strings[row, 0]) for n, row in enumerate(path)]
        nearest = [
            min(s for s in range(1, 7) if note.pitch.sounding_midi >= GUITAR.tuning.open_midis[s - 1])
            for note in line.notes
        ]
        return sum(a != b for a, b in zip(strings, nearest, strict=True))

    assert far(0.0) <= far(4.0) <= far(40.0)
    assert far(0.0) < far(40.0)


def test_music_by_the_nut_keeps_its_places_more_than_music_that_leaves_it() -> None:
    """A printed string counts in proportion to the share of the piece that is likely to leave its nearest places."""
    from engraver.fingering.agreement import Blend, Printed, freedom_of, worth_of

    away = np.array([[False, True, True, False, False, False]] * 2)
    readiness = np.where(away, 1.0, 0.0).astype(np.float32)

    def gain(likely: float) -> float:
        """What the far string is worth beyond the near one where it is as likely as `likely`."""
        heard = np.zeros((2, habits.STRINGS, habits.FINGERS), np.float32)
        heard[:, 0, 1], heard[:, 1, 1] = 1 - likely, likely
        flat, printed = heard.reshape(2, -1), Printed(readiness, away)
        blend = Blend(finger=0.0, string=2.0, away=0.4, by_the_nut=0)
        worth = worth_of(flat, printed, blend, freedom_of(flat, printed, blend))
        cells = worth.reshape(heard.shape)
        return float(cells[0, 1, 1] - cells[0, 0, 1])

    assert gain(0.0) == 0
    assert gain(0.2) == pytest.approx(2.0 * 0.5 * 0.2)
    assert gain(0.4) == pytest.approx(2.0 * 0.4)
    assert gain(0.8) == pytest.approx(2.0 * 0.8)


def test_a_few_notes_stay_by_the_nut() -> None:
    """Three steps of C major lie in first position, as any first lesson has them (common practice)."""
    done = finger_left_hand(passage("C4 D4 E4"), GUITAR, PLAYER, LeftHandLimits(), LEARNED)
    places = [(n.string, n.fret) for n in done.notes]
    assert places == [(2, 1), (2, 3), (1, 0)]


def test_without_habits_nothing_learned_counts() -> None:
    """Technique is decided by the hand-set costs alone: other weights change nothing there."""
    line = passage("C3 D3 E3 F3 G3 A3 B3 C4")
    plain = finger_left_hand(line, GUITAR, PLAYER, LeftHandLimits())
    assert finger_left_hand(line, GUITAR, PLAYER, LeftHandLimits(), None) == plain
    strange = replace(LEARNED, weights=np.where(np.arange(habits.SIZE) % 2, 3.0, -3.0).astype(np.float32))
    assert faults(finger_left_hand(line, GUITAR, PLAYER, LeftHandLimits(), strange), GUITAR, PLAYER) == []
