"""Sequences, double stops, chromatic lines and rhythm variants: what theory and the trade say of them."""

from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from engraver.errors import EngraverError, OutOfRange
from engraver.exercises.sequences import sequence_names
from engraver.theory.pitch import PitchName
from tests.exercises.entries import composed, pitches


def names(passage):
    return [str(note.pitch.name) for note in passage.notes]


def pairs(passage):
    return [(passage.notes[a].pitch, passage.notes[b].pitch) for a, b in passage.events]


def test_broken_thirds_go_up_in_pairs_and_come_down_mirrored():
    """C E D F E G … to the upper C, then C A B G … (common practice of the methods)."""
    line = pitches(composed({"kind": "sequence", "tonics": ["C3"]}))
    assert line[:6] == ["C3", "E3", "D3", "F3", "E3", "G3"]
    assert line[11] == "C4"
    assert line[11:16] == ["C4", "A3", "B3", "G3", "A3"]
    assert line[-1] == "C3"


@pytest.mark.parametrize("pattern", sequence_names())
def test_every_pattern_stays_between_its_tonics(pattern):
    """From tonic to tonic, whatever the pattern."""
    passage = composed({"kind": "sequence", "tonics": ["G"], "octaves": 2, "pattern": pattern})
    midis = [note.pitch.sounding_midi for note in passage.notes]
    assert (pitches(passage)[0], pitches(passage)[-1]) == ("G2", "G2")
    assert (min(midis), max(midis)) == (43, 67)


def test_an_own_pattern_is_counted_in_steps_of_the_scale():
    """[0, 2, 1] in A harmonic minor: A C B, B D C …; the mirrored way down ends on the tonic."""
    line = names(composed({"kind": "sequence", "scale": "harmonic minor", "tonics": ["A"], "pattern": [0, 2, 1]}))
    assert line[:6] == ["A", "C", "B", "B", "D", "C"]
    assert line[-1] == "A"


def test_a_pattern_wider_than_the_line_is_refused():
    """A pattern over nine steps does not fit into one octave."""
    with pytest.raises(EngraverError, match="spans 9 steps"):
        composed({"kind": "sequence", "tonics": ["C3"], "pattern": [0, 9]})


STEPS = {"thirds": 2, "sixths": 5, "octaves": 7, "tenths": 9}


@given(
    st.sampled_from(list(STEPS)),
    st.sampled_from(["major", "natural minor", "harmonic minor", "dorian"]),
    st.integers(-3, 4),
)
def test_every_pair_has_the_letter_distance_of_its_name(interval, scale, fifths):
    """A third is two letters, a sixth five, an octave seven, a tenth nine; both notes belong to the scale."""
    entry = {
        "kind": "double stops",
        "interval": interval,
        "scale": scale,
        "tonics": [str(PitchName(fifths))],
        "direction": "up",
    }
    try:
        passage = composed(entry)
    except EngraverError:
        return
    assert {upper.letter_index - lower.letter_index for lower, upper in pairs(passage)} == {STEPS[interval]}
    assert len({lower.name for lower, _ in pairs(passage)}) == 7
    assert {upper.name for _, upper in pairs(passage)} == {lower.name for lower, _ in pairs(passage)}


def test_unisons_are_one_pitch_on_two_strings():
    """The same name twice at once."""
    passage = composed({"kind": "double stops", "interval": "unisons", "tonics": ["E4"], "direction": "up"})
    assert all(lower == upper for lower, upper in pairs(passage))


def test_broken_pairs_play_the_lower_note_first():
    """C E, D F … one after the other."""
    line = pitches(
        composed(
            {"kind": "double stops", "interval": "thirds", "tonics": ["C4"], "manner": "broken", "direction": "up"}
        )
    )
    assert line[:4] == ["C4", "E4", "D4", "F4"]


def test_double_stops_need_seven_notes_and_room():
    """A pentatonic has no thirds by letter; tenths over two octaves from E3 pass the last fret of a short neck."""
    with pytest.raises(EngraverError, match="scale of seven notes"):
        composed({"kind": "double stops", "interval": "thirds", "scale": "major pentatonic", "tonics": ["C"]})
    with pytest.raises(OutOfRange) as caught:
        composed({"kind": "double stops", "interval": "tenths", "tonics": ["E3"], "octaves": 2}, {"frets": 12})
    assert "write octaves: 1" in caught.value.hint or "smaller interval" in caught.value.hint


@pytest.mark.parametrize(("convention", "up", "down"), [
    ("melodic", "C C# D D# E F F# G G# A Bb B C", "B Bb A Ab G F# F E Eb D Db C"),
    ("harmonic", "C Db D Eb E F F# G Ab A Bb B C", "B Bb A Ab G F# F E Eb D Db C"),
    ("sharps up, flats down", "C C# D D# E F F# G G# A A# B C", "B Bb A Ab G Gb F E Eb D Db C"),
])  # fmt: skip
def test_chromatic_conventions(convention, up, down):
    """Named spellings of the chromatic scale (harmony handbooks, from memory)."""
    line = names(composed({"kind": "chromatic", "convention": convention, "tonics": ["C"]}))
    assert line == up.split() + down.split()


TRANSPOSED = [
    {"kind": "chromatic", "convention": "melodic"},
    {"kind": "chromatic", "convention": "sharps up, flats down"},
    {"kind": "scale", "scale": "harmonic minor"},
    {"kind": "sequence", "pattern": "broken thirds"},
    {"kind": "double stops", "interval": "sixths"},
    {"kind": "arpeggio", "chord": "diminished seventh"},
]


@pytest.mark.parametrize("entry", TRANSPOSED, ids=lambda entry: "-".join(entry.values()).replace(" ", "-"))
@given(fifths=st.integers(-6, 6), by=st.integers(-11, 11))
def test_transposing_by_any_interval_commutes_with_composing(entry, fifths, by):
    """The names move along the line of fifths as the tonic does, wherever both keys can be written."""
    assume(-8 <= fifths + by <= 12)
    try:
        first = composed({**entry, "tonics": [str(PitchName(fifths))]})
        other = composed({**entry, "tonics": [str(PitchName(fifths + by))]})
    except EngraverError:
        return
    assert [note.pitch.name.fifths + by for note in first.notes] == [note.pitch.name.fifths for note in other.notes]


LINE = {"kind": "scale", "scale": "major", "tonics": ["C3"], "direction": "up"}


def test_repeated_notes_and_their_turn():
    """Each note twice: the turn moves with it."""
    passage = composed({**LINE, "direction": "up and down", "rhythm": "each note twice"})
    assert pitches(passage)[:4] == ["C3", "C3", "D3", "D3"]
    assert pitches(passage)[passage.turn] == "C4"


@pytest.mark.parametrize(("rhythm", "lengths"), [
    ("dotted", ["3/4", "1/4"]), ("reverse dotted", ["1/4", "3/4"]), ("second held", ["1/4", "3/4", "1/4", "1/4"]),
    ("five a click", ["1/5"] * 4), ("gallop", ["1/4", "1/4", "1/2"]),
])  # fmt: skip
def test_rhythm_variants_have_their_values(rhythm, lengths):
    """As the table says, from the first note on (common practice)."""
    notes = composed({**LINE, "rhythm": rhythm}).notes
    assert [note.duration_quarters for note in notes[: len(lengths)]] == [Fraction(length) for length in lengths]


def test_moved_accents():
    """The second of each four."""
    notes = composed({**LINE, "rhythm": "accent on the second"}).notes
    assert [note.accent for note in notes] == [False, True, False, False] * 2


def test_held_groups_bring_their_own_metre():
    """Four notes fill a dotted beat, so the line stands in 6/8."""
    assert str(composed({**LINE, "rhythm": "first held"}).metre) == "6/8"


def test_all_notes_of_a_position_and_of_the_neck():
    """Position V reaches from A2 to C5, positions II to IX from F sharp 2 to E5, the neck from E2 to B5."""
    fifth = pitches(composed({**LINE, "tonics": ["C"], "range": "position", "left_hand": {"position": 5}}))
    assert (fifth[0], fifth[-1]) == ("A2", "C5")
    neck = pitches(composed({**LINE, "tonics": ["C"], "range": "neck"}))
    assert (neck[0], neck[-1]) == ("E2", "B5")
    between = pitches(composed({**LINE, "tonics": ["G"], "range": {"positions": [2, 9]}}))
    assert (between[0], between[-1]) == ("F#2", "E5")
    with pytest.raises(EngraverError, match="positions fall"):
        composed({**LINE, "range": {"positions": [9, 2]}})
    with pytest.raises(EngraverError, match="none is given"):
        composed({**LINE, "range": "position"})
