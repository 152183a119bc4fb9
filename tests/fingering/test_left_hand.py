"""The fretting hand on what every teacher knows: customary forms, first-position grips, stacked thirds."""

import json
from pathlib import Path

import pytest

from engraver.fingering.left_hand import finger_left_hand
from engraver.fretboard.limits import LeftHandLimits, OpenStrings, Pin
from engraver.fretboard.tuning import Instrument, Player
from tests.fingering.left_hand_helpers import GUITAR, PLAYER, STANDARD, passage, places, rolled, up_and_down
from tests.fingering.playable import faults

FORMS = Path(__file__).resolve().parents[2].parent / "shared" / "gold" / "customary_fingerings.json"
AVOID, ALLOW = OpenStrings.AVOID, OpenStrings.ALLOW


def forms() -> list[dict]:
    return json.loads(FORMS.read_text("utf-8")) if FORMS.exists() else []


@pytest.mark.skipif(not FORMS.exists(), reason="the customary forms are not at hand")
@pytest.mark.parametrize("form", forms(), ids=lambda form: form["name"])
def test_customary_forms_come_out_exactly(form: dict) -> None:
    """Given where the form starts and whether open strings are meant, every place and finger is the customary one.

    The two forms whose own source calls them uncertain are held to playability alone.
    """
    notes = form["notes"]
    step = 2 if form["kind"] == "double-stops" else 1
    events = ["+".join(n["pitch"] for n in notes[i : i + step]) for i in range(0, len(notes), step)]
    open_notes = [n for n in notes if n["fret"] == 0]
    only_choice = all(n["pitch"] == "E2" for n in open_notes) and len(notes) > 20
    policy = ALLOW if open_notes and not only_choice else AVOID
    if form["name"].startswith("Chromatic") and open_notes:
        policy = ALLOW
    limits = LeftHandLimits(policy, start_string=notes[0]["string"], start_finger=notes[0]["finger"])
    done = finger_left_hand(passage(" ".join(events)), GUITAR, PLAYER, limits)
    assert faults(done, GUITAR, PLAYER) == []
    if not form["certainty"].startswith("low"):
        assert places(done) == " ".join(f"{n['string']}/{n['fret']}-{n['finger']}" for n in notes)


STACKED_C = "C3 Eb3 Gb3 A3 C4 Eb4 Gb4 A4 C5"
STACKED_D = "D3 F3 Ab3 B3 D4 F4 Ab4 B4 D5"


def test_stacked_minor_thirds_lie_two_to_a_string() -> None:
    """From C on string 5 with fingers 1 and 4: up one fret at each crossing, two from string 3 to 2, alone on string 1.

    Source: common practice, no source.
    """
    limits = LeftHandLimits(AVOID, start_string=5, fingers_per_string=(1, 4))
    done = finger_left_hand(up_and_down(STACKED_C), GUITAR, PLAYER, limits)
    up = "5/3-1 5/6-4 4/4-1 4/7-4 3/5-1 3/8-4 2/7-1 2/10-4 1/8-1"
    assert places(done) == " ".join(up.split() + up.split()[-2::-1])


def test_stacked_minor_thirds_move_up_unchanged() -> None:
    """On D the same shape lies two frets higher."""
    limits = LeftHandLimits(AVOID, start_string=5, fingers_per_string=(1, 4))
    low = finger_left_hand(up_and_down(STACKED_C), GUITAR, PLAYER, limits)
    high = finger_left_hand(up_and_down(STACKED_D), GUITAR, PLAYER, limits)
    assert [(n.string, n.fret + 2, n.left_finger) for n in low.notes] == [
        (n.string, n.fret, n.left_finger) for n in high.notes
    ]


def test_stacked_minor_thirds_find_their_string_unasked() -> None:
    """Without a start the shape lies as low on the neck as it can."""
    limits = LeftHandLimits(AVOID, fingers_per_string=(1, 4))
    assert finger_left_hand(up_and_down(STACKED_C), GUITAR, PLAYER, limits).notes[0].string == 5


GRIPS = {
    "C3 E3 G3 C4 E4": "5/3-3 4/2-2 3/0-0 2/1-1 1/0-0",
    "G2 B2 D3 G3 B3 F4": "6/3-3 5/2-2 4/0-0 3/0-0 2/0-0 1/1-1",
    "A2 E3 A3 C4 E4": "5/0-0 4/2-2 3/2-3 2/1-1 1/0-0",
    "E2 B2 E3 G3 B3 E4": "6/0-0 5/2-2 4/2-3 3/0-0 2/0-0 1/0-0",
    "E2 B2 E3 G#3 B3 E4": "6/0-0 5/2-2 4/2-3 3/1-1 2/0-0 1/0-0",
    "A2 E3 A3 C#4 E4": "5/0-0 4/2-1 3/2-2 2/2-3 1/0-0",
    "D3 A3 D4 F#4": "4/0-0 3/2-1 2/3-3 1/2-2",
    "D3 A3 D4 F4": "4/0-0 3/2-2 2/3-3 1/1-1",
    "D3 A3 C4 F#4": "4/0-0 3/2-2 2/1-1 1/2-3",
    "B2 D#3 A3 B3 F#4": "5/2-2 4/1-1 3/2-3 2/0-0 1/2-4",
    "F2 C3 F3 A3 C4 F4": "6/1-1 5/3-3 4/3-4 3/2-2 2/1-1 1/1-1",
    "B2 F#3 B3 D4 F#4": "5/2-1 4/4-3 3/4-4 2/3-2 1/2-1",
}


@pytest.mark.parametrize("chord", GRIPS)
def test_first_position_grips_are_the_customary_ones(chord: str) -> None:
    """Struck together or broken and held, a chord gets its usual grip. Source: common practice, no source."""
    struck = finger_left_hand(passage(chord.replace(" ", "+")), GUITAR, PLAYER, LeftHandLimits())
    broken = finger_left_hand(rolled(chord), GUITAR, PLAYER, LeftHandLimits())
    assert places(struck) == GRIPS[chord]
    assert places(broken) == GRIPS[chord]
    assert faults(broken, GUITAR, PLAYER, hold_all=True) == []


def test_barred_notes_say_so() -> None:
    """The F major grip names fret 1 as its barre on strings 6, 2 and 1, and on no other."""
    done = finger_left_hand(passage("F2+C3+F3+A3+C4+F4"), GUITAR, PLAYER, LeftHandLimits())
    assert [n.barre_fret for n in done.notes] == [1, None, None, None, 1, 1]


G_SCALE = "G2 A2 B2 C3 D3 E3 F#3 G3 A3 B3 C4 D4 E4 F#4 G4"


def test_up_and_down_are_fingered_alike() -> None:
    """A line that comes back the way it went keeps every place and finger."""
    for limits in (LeftHandLimits(), LeftHandLimits(AVOID, start_string=6, start_finger=2)):
        each = places(finger_left_hand(up_and_down(G_SCALE), GUITAR, PLAYER, limits)).split()
        assert each == each[::-1]


@pytest.mark.parametrize("tonic", range(8))
def test_closed_forms_move_up_unchanged(tonic: int) -> None:
    """Without open strings the two-octave major form from string 6, finger 2, is the same in every key."""
    from engraver.theory.pitch import Interval, SpelledPitch

    letters = [(0, 0), (0, 1), (1, 2), (2, 3), (2, 4), (3, 5), (4, 6), (4, 7)]
    step = letters[tonic]
    moved = " ".join(str(SpelledPitch.parse(p).up(Interval(step[0], step[1]))) for p in G_SCALE.split())
    limits = LeftHandLimits(AVOID, start_string=6, start_finger=2)
    base = finger_left_hand(passage(G_SCALE), GUITAR, PLAYER, limits)
    done = finger_left_hand(passage(moved), GUITAR, PLAYER, limits)
    assert [(n.string, n.fret - step[1], n.left_finger) for n in done.notes] == [
        (n.string, n.fret, n.left_finger) for n in base.notes
    ]


def test_avoided_open_strings_are_taken_only_where_nothing_else_sounds_the_note() -> None:
    """E2 has no other place; everything else is fretted."""
    done = finger_left_hand(passage("E2 F2 G2 A2 B2 C3 D3 E3"), GUITAR, PLAYER, LeftHandLimits(AVOID))
    assert [n.fret == 0 for n in done.notes] == [True] + [False] * 7


def test_preferred_open_strings_are_taken() -> None:
    """With open strings preferred, A, D, G and B of a scale ring open."""
    done = finger_left_hand(passage("A2 B2 C3 D3 E3 F3 G3 A3 B3"), GUITAR, PLAYER, LeftHandLimits(OpenStrings.PREFER))
    assert [str(n.note.pitch) for n in done.notes if n.fret == 0] == ["A2", "D3", "G3", "B3"]


def test_a_position_is_kept() -> None:
    """Asked for position V, finger 1 stays over fret 5."""
    done = finger_left_hand(passage("A3 B3 C4 D4 E4 F4 G4 A4"), GUITAR, PLAYER, LeftHandLimits(AVOID, position=5))
    assert {n.position for n in done.notes} == {5}
    assert all(-1 <= n.fret - (4 + n.left_finger) <= 1 for n in done.notes)


def test_only_the_allowed_strings_are_used() -> None:
    """A scale on strings 2 and 3 stays there."""
    done = finger_left_hand(passage("A3 B3 C4 D4 E4 F4"), GUITAR, PLAYER, LeftHandLimits(strings=(2, 3)))
    assert {n.string for n in done.notes} <= {2, 3}


def test_a_count_per_string_is_kept() -> None:
    """Three notes to a string from string 6: six strings would hold eighteen notes, nine take three strings."""
    limits = LeftHandLimits(AVOID, start_string=6, notes_per_string=3)
    done = finger_left_hand(passage("G2 A2 B2 C3 D3 E3 F#3 G3 A3"), GUITAR, PLAYER, limits)
    assert [n.string for n in done.notes] == [6, 6, 6, 5, 5, 5, 4, 4, 4]
    assert faults(done, GUITAR, PLAYER) == []


def test_a_sequence_keeps_one_string_for_each_pitch() -> None:
    """Groups of four climbing by step, three notes to a string: a pitch that returns lies where it lay."""
    limits = LeftHandLimits(AVOID, start_string=6, notes_per_string=3)
    done = finger_left_hand(passage("G2 A2 B2 C3 A2 B2 C3 D3 B2 C3 D3 E3"), GUITAR, PLAYER, limits)
    strings = {str(n.note.pitch): n.string for n in done.notes}
    assert strings == {"G2": 6, "A2": 6, "B2": 6, "C3": 5, "D3": 5, "E3": 5}
    assert all(strings[str(n.note.pitch)] == n.string for n in done.notes)


def test_melodic_minor_counts_its_strings_anew_on_the_way_down() -> None:
    """Up with raised and down with natural degrees, three notes to a string each way."""
    up, down = "G2 A2 Bb2 C3 D3 E3 F#3 G3 A3", "G3 F3 Eb3 D3 C3 Bb2 A2 G2"
    limits = LeftHandLimits(AVOID, start_string=6, notes_per_string=3)
    done = finger_left_hand(passage(f"{up} {down}", turn=8), GUITAR, PLAYER, limits)
    assert [n.string for n in done.notes] == [6, 6, 6, 5, 5, 5, 4, 4, 4, 4, 4, 5, 5, 5, 6, 6, 6]


def test_pins_win() -> None:
    """A pinned string and finger come out as pinned, and the neighbours adapt."""
    limits = LeftHandLimits(pins=(Pin(2, string=4, finger=4), Pin(4, finger=2)))
    done = finger_left_hand(passage("E3 F3 G3 A3 B3 C4"), GUITAR, PLAYER, limits)
    assert (done.notes[2].string, done.notes[2].left_finger) == (4, 4)
    assert done.notes[4].left_finger == 2


def test_pins_win_over_a_count_per_string() -> None:
    """Two notes to a string, but the third note is pinned to the string of the first two."""
    limits = LeftHandLimits(AVOID, start_string=6, notes_per_string=2, pins=(Pin(2, string=6),))
    done = finger_left_hand(passage("G2 A2 B2 C3 D3 E3"), GUITAR, PLAYER, limits)
    assert [n.string for n in done.notes] == [6, 6, 6, 5, 4, 4]


def test_a_string_set_by_the_exercise_is_kept() -> None:
    """A note that carries its own string is played there."""
    from dataclasses import replace

    line = passage("E4 F4 G4")
    line = replace(line, notes=tuple(replace(n, string=2) for n in line.notes))
    assert {n.string for n in finger_left_hand(line, GUITAR, PLAYER, LeftHandLimits()).notes} == {2}


def test_a_slur_stays_on_its_string() -> None:
    """A hammered note lies on the string of the note before, under a higher finger."""
    from dataclasses import replace

    line = passage("A3 B3 D4 E4")
    line = replace(line, notes=tuple(replace(n, slurred=i % 2 == 1) for i, n in enumerate(line.notes)))
    done = finger_left_hand(line, GUITAR, PLAYER, LeftHandLimits())
    for first, second in ((0, 1), (2, 3)):
        assert done.notes[first].string == done.notes[second].string
        assert done.notes[first].left_finger < done.notes[second].left_finger


def test_a_small_hand_gets_another_fingering() -> None:
    """Where 98 mm holds four frets in first position, 80 mm does not, and no grip exceeds it."""
    chord = "Bb2+F3+Bb3+D4+F4"
    line = f"{chord} G2+B2+D3+G3+B3+G4 F#2+C#3+F#3+A#3"
    small = Player(reach_mm=80)
    done = finger_left_hand(passage(line), GUITAR, small, LeftHandLimits())
    assert faults(done, GUITAR, small) == []
    scale = "F2 F#2 G2 G#2 A#2 B2 C3 C#3"
    assert places(finger_left_hand(passage(scale), GUITAR, small, LeftHandLimits(AVOID))) != places(
        finger_left_hand(passage(scale), GUITAR, PLAYER, LeftHandLimits(AVOID))
    )


def test_a_short_guitar_gives_the_small_hand_its_four_frets_back() -> None:
    """At 530 mm a reach of 80 mm fingers the first-position scale as 98 mm does at 650 mm."""
    scale = passage("F2 F#2 G2 G#2 A#2 B2 C3 C#3")
    short = Instrument(STANDARD, scale_length_mm=530)
    assert places(finger_left_hand(scale, short, Player(reach_mm=80), LeftHandLimits(AVOID))) == places(
        finger_left_hand(scale, GUITAR, PLAYER, LeftHandLimits(AVOID))
    )


def test_the_account_sums_to_the_total_and_names_table_rows() -> None:
    """Every entry of the account is a row of the table, at a note of the passage."""
    from engraver.fingering.costs import cost_table

    done = finger_left_hand(passage(G_SCALE), GUITAR, PLAYER, LeftHandLimits(AVOID, start_string=6, start_finger=2))
    table = cost_table()
    names = {row.name for row in (*table.holding, *table.moving, *table.remembering)}
    assert done.account
    assert all(cost.name in names and 0 <= cost.note < len(done.notes) and cost.amount for cost in done.account)


def test_a_note_shared_by_two_voices_is_held_once() -> None:
    """E2 written with two stems lies on string 6 for both; nothing is called impossible."""
    from dataclasses import replace

    line = passage("E2+E2+G3 B3")
    line = replace(line, notes=tuple(replace(n, voice=2) if i == 0 else n for i, n in enumerate(line.notes)))
    done = finger_left_hand(line, GUITAR, PLAYER, LeftHandLimits())
    assert [(n.string, n.fret, n.note.voice) for n in done.notes[:2]] == [(6, 0, 2), (6, 0, 1)]
    assert faults(done, GUITAR, PLAYER) == []


def test_an_empty_passage_has_an_empty_fingering() -> None:
    """Nothing to play, nothing to finger."""
    assert finger_left_hand(passage(""), GUITAR, PLAYER, LeftHandLimits()).notes == ()
