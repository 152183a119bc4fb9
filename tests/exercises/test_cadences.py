"""Cadences: spelled in their key, led by the rules of part-writing, held by the hand."""

from fractions import Fraction
from itertools import product

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from engraver.errors import EngraverError, SpecError, Unplayable
from engraver.exercises.reasons import exercise_reason
from engraver.exercises.titles import exercise_title
from engraver.fingering.left_hand import finger_left_hand
from engraver.fretboard.limits import LeftHandLimits
from engraver.fretboard.tuning import Player
from engraver.spec.heads import KINDS
from engraver.spec.house import InstrumentSpec
from engraver.tables.words import words
from engraver.theory.harmony import may_follow, numerals, parse_numeral, roman_chord
from engraver.theory.key import Key
from tests.exercises.entries import composed, pitches
from tests.exercises.part_writing import LETTERS, NATURAL, SIGNS, faults
from tests.fingering import playable

MAJORS = "Cb Gb Db Ab Eb Bb F C G D A E B F# C#".split()
MINORS = "Ab Eb Bb F C G D A E B F# C# G# D# A#".split()
KEYS = [*product(MAJORS, ["major"]), *product(MINORS, ["minor"])]
"""Every key with a signature of at most seven signs, typed out."""

PLAIN = [
    "I V7 I", "I IV V7 I", "I IV V I", "I II V7 I", "I II I6/4 V7 I", "I IV I6/4 V I", "I VI II V7 I", "I VI IV V V7 I",
    "I Neapolitan V7 I", "I Neapolitan I6/4 V7 I", "I IV Neapolitan V I", "I V7 VI", "I IV V",
]  # fmt: skip
SIXTHS = [
    "I augmented-sixth V I", "I augmented-sixth I6/4 V7 I", "I augmented-sixth V7 I", "I IV augmented-sixth V V7 I",
    "I VI augmented-sixth I6/4 V I",
]  # fmt: skip
THREE_PART_SIXTHS = ["I augmented-sixth V I", "I IV augmented-sixth V V7 I"]


def progression(text):
    return [part.replace("-", " ") for part in text.split()]


def cadence(tonic, mode, text, **more):
    return {"kind": "cadence", "tonics": [tonic], "mode": mode, "progression": progression(text), **more}


def chords(passage):
    """Names of the block chords from the bass up."""
    return [[str(passage.notes[index].pitch) for index in event] for event in passage.events]


def marked(tonic, mode, text, **more):
    passage = composed(cadence(tonic, mode, text, **more))
    return faults(chords(passage), progression(text), tonic)


@pytest.mark.parametrize(("tonic", "mode"), KEYS)
def test_part_writing_in_every_key(tonic, mode):
    """No teacher's mark in any key, three or four parts; rules and exceptions stand in part_writing.py."""
    for text, parts in product(PLAIN, (3, 4)):
        assert marked(tonic, mode, text, parts=parts) == [], (text, parts)
    for text, sixth in product(SIXTHS, ("Italian", "French", "German")):
        assert marked(tonic, mode, text, augmented_sixth=sixth) == [], (text, sixth)
    for text in THREE_PART_SIXTHS:
        assert marked(tonic, mode, text, parts=3) == [], text


def test_the_judge_of_part_writing_sees_what_is_wrong():
    """Each rule of the judge marks an example made for it, so that its silence means something."""
    wrong = {
        "7 in voice 3 goes to G3": ("V I", ["G2 D3 G3 B3", "C3 E3 C4 G3"]),
        "4 in voice 1 goes to G3": ("V7 I", ["G2 F3 G3 B3", "C3 G3 C4 C4"]),
        "parallel octaves between voices 0 and 1": ("IV V", ["F2 F3 A3 C4", "G2 G3 B3 D4"]),
        "parallel fifths between voices 0 and 3": ("IV V", ["F2 F3 A3 C4", "G2 G3 B3 D4"]),
        "7 is doubled": ("V I", ["G2 B2 D3 B3", "C3 C3 E3 C4"]),
        "voice 2 moves by an augmented interval": ("IV V", ["F2 C3 Ab3 C4", "G2 D3 B3 D4"]),
        "not an augmented sixth": ("augmented-sixth V", ["A2 C3 F#3 C4", "G2 B2 G3 D4"]),
        "voices cross or meet": ("I V", ["C3 C3 E3 G3", "G2 B2 D3 G3"]),
    }
    for words_, (text, rows) in wrong.items():
        found = [what for _, what in faults([row.split() for row in rows], progression(text), "C")]
        assert words_ in found, (words_, found)


def test_the_open_position_cadences_of_c_and_e():
    """First-position chords that the old methods share (common practice): the tonic on top, the inner notes kept."""
    assert chords(composed(cadence("C", "major", "I IV V7 I"))) == [
        ["C3", "E3", "G3", "C4"], ["F2", "F3", "A3", "C4"], ["G2", "F3", "G3", "B3"], ["C3", "E3", "G3", "C4"],
    ]  # fmt: skip
    assert chords(composed(cadence("E", "minor", "I V7 I"))) == [
        ["E2", "E3", "G3", "B3"], ["B2", "D#3", "A3", "B3"], ["E2", "E3", "G3", "B3"],
    ]  # fmt: skip


def second_opinion(text, tonic, mode):
    """The names that music21 gives a Roman numeral; it writes flats as minus signs."""
    from music21 import key, roman

    home = key.Key(tonic.replace("b", "-"), mode)
    return {pitch.name.replace("-", "b") for pitch in roman.RomanNumeral(text, home).pitches}


M21 = {
    "major": {"I": "I", "II": "ii", "IV": "IV", "V": "V", "V7": "V7", "VI": "vi", "I6/4": "I64", "Neapolitan": "N6"},
    "minor": {"I": "i", "II": "iio", "IV": "iv", "V": "V", "V7": "V7", "VI": "VI", "I6/4": "i64", "Neapolitan": "N6"},
}


@pytest.mark.parametrize(("tonic", "mode"), KEYS)
def test_chords_are_spelled_as_music21_spells_them(tonic, mode):
    """Second opinion: music21 (BSD), roman.RomanNumeral, on every chord of the table in every key."""
    key = Key.parse(f"{tonic} {mode}")
    for numeral, figure in M21[mode].items():
        ours = {str(name) for name in roman_chord(numeral, key).names}
        assert ours == second_opinion(figure, tonic, mode), numeral
    for sixth, figure in {"Italian": "It6", "French": "Fr43", "German": "Ger65"}.items():
        ours = {str(name) for name in roman_chord("augmented sixth", key, sixth).names}
        assert ours == second_opinion(figure, tonic, mode), sixth


def test_the_german_sixth_before_a_major_six_four_has_a_raised_second():
    """In C major D sharp, which rises to E; in C minor E flat, which stays (common practice). The reason says so."""
    major, minor = (
        roman_chord("augmented sixth", Key.parse(f"C {mode}"), before="I6/4") for mode in ("major", "minor")
    )
    assert {str(name) for name in major.names} == {"Ab", "C", "D#", "F#"}
    assert {str(name) for name in minor.names} == {"Ab", "C", "Eb", "F#"}
    spec = KINDS["cadence"].model_validate({"id": "x", **cadence("C", "major", "I augmented-sixth I6/4 V7 I")})
    assert "D sharp is not written E flat" in exercise_reason(spec, words("en"))


def shape(tonic, mode, numeral):
    """Letters and semitones from the tonic to each note of a chord."""

    def place(name):
        return LETTERS.index(name[0]), NATURAL[name[0]] + SIGNS[name[1:]]

    letter, semitone = place(tonic)
    rows = (place(str(name)) for name in roman_chord(numeral, Key.parse(f"{tonic} {mode}")).names)
    return {((step - letter) % 7, (height - semitone) % 12) for step, height in rows}


@given(st.sampled_from(numerals()), st.data())
def test_spelling_commutes_with_transposing(numeral, data):
    """From the tonic, a chord crosses the same letters and semitones in every key of its mode."""
    mode, tonics = data.draw(st.sampled_from([("major", MAJORS), ("minor", MINORS)]))
    one, other = data.draw(st.permutations(tonics))[:2]
    assert shape(one, mode, numeral) == shape(other, mode, numeral)


@st.composite
def walks(draw):
    """A progression in which each chord may follow the one before, closing on I."""
    row = ["I"]
    for _ in range(draw(st.integers(1, 6))):
        row.append(draw(st.sampled_from(may_follow(row[-1]))))
    while row[-1] != "I":
        row.append(next(name for name in ("I", "V7", "V") if name in may_follow(row[-1])))
    return row if len(row) > 1 else ["I", "I"]


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(KEYS), walks(), st.sampled_from([3, 4]), st.sampled_from(["Italian", "French", "German"]))
def test_any_progression_keeps_the_rules_or_says_why_not(key, row, parts, sixth):
    """Whatever a book asks for is led by the rules, or refused by name; never led badly."""
    entry = {"kind": "cadence", "tonics": [key[0]], "mode": key[1], "progression": row, "parts": parts}
    try:
        passage = composed({**entry, "augmented_sixth": sixth})
    except Unplayable:
        assume(False)
    assert faults(chords(passage), row, key[0]) == []


@pytest.mark.parametrize(("tonic", "mode"), KEYS)
def test_the_hand_holds_every_chord(tonic, mode):
    """A usual hand (98 mm) on a usual guitar (650 mm) holds a cadence with an altered chord in every key."""
    guitar = InstrumentSpec().instrument()
    for text, manner in (
        ("I IV V7 I", "broken"),
        ("I augmented-sixth I6/4 V7 I", "block"),
        ("I Neapolitan V7 I", "block"),
    ):
        passage = composed(cadence(tonic, mode, text, manner=manner))
        done = finger_left_hand(passage, guitar, Player(), LeftHandLimits())
        assert playable.faults(done, guitar, Player(), hold_all=True) == [], text
        assert all(cost.name != "let_go" for cost in done.account), text


def test_strings_are_left_open_where_the_book_speaks_of_the_hand():
    """The voicing's own strings hold unless the book sets a position or anything else for the fretting hand."""
    free = composed(cadence("A", "minor", "I V7 I", left_hand={"open_strings": "avoid"}))
    assert {note.string for note in free.notes} == {None}
    assert None not in {note.string for note in composed(cadence("A", "minor", "I V7 I")).notes}


def test_bass_and_upper_voices_are_written_apart():
    """The bass has voice 2, the others voice 1, each chord from low to high."""
    passage = composed(cadence("A", "minor", "I V7 I"))
    for event in passage.events:
        assert [passage.notes[index].voice for index in event] == [2, 1, 1, 1]


@pytest.mark.parametrize(("text", "onsets"), [
    ("I V7 I", [0, 2, 4]), ("I IV V7 I", [0, 4, 6, 8]), ("I II I6/4 V7 I", [0, 2, 4, 6, 8]),
])  # fmt: skip
def test_block_chords_close_on_a_downbeat(text, onsets):
    """Two chords to a bar of 4/4; an odd one out makes the first chord a bar long (chosen by us)."""
    passage = composed(cadence("D", "major", text))
    assert [passage.notes[event[0]].onset_quarters for event in passage.events] == onsets
    assert passage.notes[-1].duration_quarters == 4


def test_broken_chords_follow_p_i_m_a_and_stay_down():
    """Thumb on the bass, i m a upwards through the voices; a finger leaves when its note returns or the chord ends."""
    passage = composed(cadence("C", "major", "I V7 I", manner="broken"))
    first = passage.notes[:8]
    assert [note.plucking.value for note in first] == list("pimapima")
    assert pitches(passage)[:4] == ["C3", "E3", "G3", "C4"]
    assert [note.string for note in first[:4]] == [5, 4, 3, 2]
    assert [note.held_quarters for note in first] == [2, 2, 2, 2, 2, Fraction(3, 2), 1, Fraction(1, 2)]
    assert [note.duration_quarters for note in first[:2]] == [2, Fraction(1, 2)]
    assert [str(note.pitch) for note in passage.notes[-4:]] == ["C3", "E3", "G3", "C4"]
    assert {note.onset_quarters for note in passage.notes[-4:]} == {12}


def test_broken_chords_take_the_book_s_own_formula():
    """`p a m i` in semiquavers: four times a bar; no closing chord where the book wants none."""
    more = {"manner": "broken", "rhythm": "semiquavers", "right_hand": {"formula": ["p", "a", "m", "i"]}}
    passage = composed(cadence("G", "major", "I V7 I", closing_chord=False, **more))
    assert [note.plucking.value for note in passage.notes[:4]] == list("pami")
    assert len(passage.notes) == 48


def test_a_formula_that_does_not_fill_a_chord_says_so():
    """Three strokes do not divide eight quavers."""
    with pytest.raises(SpecError, match="8 notes") as caught:
        composed(cadence("C", "major", "I V7 I", manner="broken", right_hand={"formula": ["p", "i", "m"]}))
    assert "multiple of 3" in caught.value.hint


def test_three_parts_cannot_hold_every_sixth():
    """The German sixth needs four parts; the Italian in three cannot open to an octave and reach a seventh chord too."""
    with pytest.raises(Unplayable, match="German sixth needs four parts"):
        composed(cadence("C", "minor", "I augmented-sixth V I", parts=3, augmented_sixth="German"))
    with pytest.raises(Unplayable, match="Italian sixth cannot be led to V7 in three parts") as caught:
        composed(cadence("C", "minor", "I augmented-sixth V7 I", parts=3))
    assert caught.value.hint == "write parts: 4"


@pytest.mark.parametrize(("row", "message"), [
    (["I", "V7", "IV", "I"], "V7 does not lead to IV"), (["I", "V7"], "cannot close on V7"),
    (["I", "bVII", "I"], "'bVII' is not a chord of a cadence we know"),
])  # fmt: skip
def test_progressions_that_are_no_cadences_are_refused(row, message):
    """A seventh that could not resolve, an open end, an unknown numeral."""
    with pytest.raises(ValidationError, match=message):
        KINDS["cadence"].model_validate({"id": "x", "kind": "cadence", "tonics": ["C"], "progression": row})


@pytest.mark.parametrize(("written", "name"), [
    ("ii", "II"), ("ii°6", "II"), ("iv", "IV"), ("i6/4", "I6/4"), ("N6", "Neapolitan"), ("V7", "V7"),
])  # fmt: skip
def test_small_numerals_are_read(written, name):
    """A teacher writes minor chords small; the mode of the key decides how they sound."""
    assert parse_numeral(written) == name


def test_a_key_without_signature_is_refused():
    """G sharp major has eight sharps."""
    with pytest.raises(EngraverError, match="8 sharps"):
        composed(cadence("G#", "major", "I V7 I"))


def test_titles_print_minor_chords_small():
    """`Cadence in C minor: i, ii°6, German sixth, V, i`, with parts and manner where they are unusual."""
    entry = cadence("C", "minor", "I II V7 I", manner="broken", parts=3)
    spec = KINDS["cadence"].model_validate({"id": "x", **entry})
    title = exercise_title(spec, words("en"))
    assert title == "Cadence in C minor: i, ii°6, V7, i, in three parts, in broken chords"
