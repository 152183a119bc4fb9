"""Arpeggios that lead somewhere: resolutions, one sound in four keys, chains of fifths."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from engraver.errors import EngraverError, SpecError, SpellingError
from engraver.exercises.reasons import exercise_reason
from engraver.exercises.titles import exercise_title
from engraver.fingering.left_hand import finger_left_hand
from engraver.fretboard.limits import LeftHandLimits
from engraver.fretboard.tuning import Player
from engraver.spec.heads import KINDS
from engraver.spec.house import InstrumentSpec
from engraver.tables.words import words
from tests.exercises.entries import composed
from tests.exercises.part_writing import LETTERS, SIGNS, Sound
from tests.fingering import playable

LEADING_NOTE = {"dominant seventh": 1, "diminished seventh": 0, "half-diminished seventh": 0}
SEVENTH = 3
"""Which note of the stacked thirds is the leading note, and which the seventh, counted from the root."""
DOMINANTS = "Gb Db Ab Eb Bb F C G D A E B F# C# G#".split()
LEADING_NOTES = "G D A E B F# C# G# D# A# E# B# F## C## G##".split()


def bars(passage):
    """The bars of a passage, each a row of names with octaves; notes struck together are joined by +."""
    rows = {}
    for event in passage.events:
        bar = passage.notes[event[0]].onset_quarters // passage.metre.bar_quarters
        rows.setdefault(bar, []).append("+".join(str(passage.notes[index].pitch) for index in event))
    return [" ".join(rows[bar]) for bar in sorted(rows)]


def arpeggio(chord, tonic, **more):
    return {"kind": "arpeggio", "chord": chord, "tonics": [tonic], **more}


def last_chord(passage):
    return [Sound(str(passage.notes[index].pitch)) for index in passage.events[-1]]


def stacked(names):
    """The names turned so that each is a third of letters above the one before: the root comes first."""
    for root in names:
        row = sorted(names, key=lambda name: (LETTERS.index(name[0]) - LETTERS.index(root[0])) * 4 % 7)
        steps = [(LETTERS.index(b[0]) - LETTERS.index(a[0])) % 7 for a, b in pairwise(row)]
        if row[0] == root and set(steps) == {2}:
            return row
    raise AssertionError(f"{names} are not stacked thirds")


def held_together(bass, goal):
    """True when some two strings hold a bass and a note above it within four frets, up to fret 12."""

    def places(midi):
        return [(string, midi - at) for string, at in enumerate((64, 59, 55, 50, 45, 40)) if 0 <= midi - at <= 12]

    return bass < goal and any(
        one != other and (not fret or not stop or abs(fret - stop) < 4)
        for one, fret in places(bass)
        for other, stop in places(goal)
    )


def check_resolution(line, chord, root_is):
    """The leading note of the line rises a semitone and its seventh falls a step, each in an octave it was played in.

    Exception: a goal that lies below the bass, or that no hand holds above it, sounds an octave higher.
    """
    row = stacked(sorted({sound.name for sound in line}))
    leading, seventh = row[LEADING_NOTE[root_is]], row[SEVENTH]
    tonic = chord[0]
    assert (tonic.height - Sound(f"{leading}0").height) % 7 == 1
    assert (tonic.midi - Sound(f"{leading}0").midi) % 12 == 1
    heights = {(sound.height, sound.midi) for sound in chord}
    assert any((s.height + 1, s.midi + 1) in heights for s in line if s.name == leading)
    goals = [(s.height - 1, s.midi - by) for s in line if s.name == seventh for by in (1, 2)]
    excused = not any(
        held_together(bass, goal) for bass in (tonic.midi, tonic.midi - 12, tonic.midi + 12) for _, goal in goals
    )
    assert heights & ({*goals, *((h + 7, m + 12) for h, m in goals)} if excused else set(goals))
    degrees = {(sound.height - tonic.height) % 7 for sound in chord}
    assert degrees == {0, 2, 4}


@pytest.mark.parametrize("direction", ["up", "down", "up and down", "down and up"])
@pytest.mark.parametrize("octaves", [1, 2])
@pytest.mark.parametrize(("kind", "tonics"), [
    ("dominant seventh", DOMINANTS), ("diminished seventh", LEADING_NOTES[:15]), ("half-diminished seventh", LEADING_NOTES[:10]),
])  # fmt: skip
def test_leading_note_and_seventh_resolve(kind, tonics, octaves, direction):
    """In every key with a signature the struck chord takes both where they want to go (common-practice harmony)."""
    for tonic in tonics:
        passage = composed(arpeggio(kind, tonic, octaves=octaves, direction=direction, resolution=True))
        struck = len(passage.events[-1])
        line = [Sound(str(note.pitch)) for note in passage.notes[:-struck]]
        check_resolution(line, last_chord(passage), kind)
        assert passage.notes[-1].onset_quarters % passage.metre.bar_quarters == 0


@pytest.mark.parametrize(("entry", "chord", "signs"), [
    (arpeggio("dominant seventh", "G"), "C3+E3+G3", 0),
    (arpeggio("diminished seventh", "B"), "C3+Eb3+G3", -3),
    (arpeggio("dominant seventh", "E", octaves=2, direction="up"), "A2+C#4+E4", 3),
    ({"kind": "arpeggio", "chord": "dominant seventh", "key": "C minor"}, "C3+Eb3+G3", -3),
    ({"kind": "arpeggio", "chord": "diminished seventh", "key": "C major"}, "C3+E3+G3", 0),
])  # fmt: skip
def test_the_resolution_stands_in_the_key_it_names(entry, chord, signs):
    """G7 to C major, B D F A flat to C minor; a named key has its own mode and signature."""
    passage = composed({**entry, "resolution": True})
    assert passage.key_fifths == signs
    assert set(chord.split("+")) <= set(bars(passage)[-1].split("+"))


@pytest.mark.parametrize("tonic", DOMINANTS)
def test_a_dominant_seventh_needs_no_accidental_in_its_key(tonic):
    """All its notes lie in the signature of the key it resolves to: the signature of that key, counted by fifths."""
    passage = composed(arpeggio("dominant seventh", tonic, resolution=True))
    sharps, flats = "FCGDAEB"[: max(0, passage.key_fifths)], "BEADGCF"[: max(0, -passage.key_fifths)]
    for note in passage.notes:
        letter = str(note.pitch)[0]
        assert SIGNS[str(note.pitch.name)[1:]] == (letter in sharps) - (letter in flats)


@pytest.mark.parametrize(("entry", "message", "hint"), [
    (arpeggio("diminished seventh", "Ab"), "B double flat minor, which has no key signature", "G sharp"),
    (arpeggio("dominant seventh", "D#"), "G sharp major, which has no key signature", "E flat"),
])  # fmt: skip
def test_a_resolution_without_signature_names_the_other_spelling(entry, message, hint):
    """What is wrong and what to write instead."""
    with pytest.raises(SpellingError, match=message) as caught:
        composed({**entry, "resolution": True})
    assert hint in caught.value.hint


@pytest.mark.parametrize(("more", "message"), [
    ({"chord": "major", "resolution": True}, "a major chord has no resolution"),
    ({"chord": "diminished seventh", "resolution": True, "spelling": "practical"}, "the practical spelling has no"),
    ({"chord": "dominant seventh", "study": "four keys"}, "made of a diminished seventh"),
    ({"chord": "major", "chain": "fifths", "inversion": 1}, "in root position"),
    ({"chord": "diminished seventh", "chain": "fifths", "resolution": True}, "exclude each other"),
])  # fmt: skip
def test_what_cannot_be_asked_together(more, message):
    """Refused when the book is read, in a sentence."""
    with pytest.raises(ValidationError, match=message):
        KINDS["arpeggio"].model_validate({"id": "x", "kind": "arpeggio", "tonics": ["C"], **more})


FOUR_KEYS = {
    "B": [("B D F Ab", "C minor"), ("Cb D F Ab", "Eb minor"), ("B D E# G#", "F# minor"), ("B D F G#", "A minor")],
    "C#": [("C# E G Bb", "D minor"), ("Db E G Bb", "F minor"), ("C# E F## A#", "G# minor"), ("C# E G A#", "B minor")],
    "F#": [("F# A C Eb", "G minor"), ("Gb A C Eb", "Bb minor"), ("F# A B# D#", "C# minor"), ("F# A C D#", "E minor")],
}  # fmt: skip


@pytest.mark.parametrize("tonic", FOUR_KEYS)
def test_four_sounds_are_spelled_four_ways(tonic):
    """Typed out by hand for the three diminished sevenths there are: names upwards from the lowest, and the goal."""
    rows = bars(composed(arpeggio("diminished seventh", tonic, study="four keys", direction="up")))
    assert len(rows) == 8
    for line, struck, (names, key) in zip(rows[::2], rows[1::2], FOUR_KEYS[tonic], strict=True):
        assert [text[:-1] for text in line.split()][:4] == names.split()
        assert struck.split("+")[0][:-1] == key.split()[0]


@given(st.sampled_from("C C# Db D D# Eb E F F# Gb G G# Ab A A# Bb B Cb E# B#".split()), st.integers(1, 2))
def test_the_four_lines_sound_alike_and_resolve_each_in_its_key(tonic, octaves):
    """Same sounds, four spellings in stacked thirds, each to the minor key above its leading note; no signature."""
    passage = composed(arpeggio("diminished seventh", tonic, study="four keys", octaves=octaves))
    events = [[Sound(str(passage.notes[i].pitch)) for i in event] for event in passage.events]
    ends = [index for index, event in enumerate(events) if len(event) > 1]
    starts = [0, *(end + 1 for end in ends[:-1])]
    lines = [[sound for event in events[a:b] for sound in event] for a, b in zip(starts, ends, strict=True)]
    assert len({tuple(sound.midi for sound in line) for line in lines}) == 1
    assert len({tuple(sound.name for sound in line) for line in lines}) == 4
    for line, end in zip(lines, ends, strict=True):
        check_resolution(line, events[end], "diminished seventh")
        thirds = [s.midi - events[end][0].midi for s in events[end] if (s.height - events[end][0].height) % 7 == 2]
        assert {third % 12 for third in thirds} == {3}
    assert passage.key_fifths == 0


def test_the_study_says_why():
    """Keys by name, and the choice between six flats and six sharps."""
    spec = KINDS["arpeggio"].model_validate({"id": "x", **arpeggio("diminished seventh", "B", study="four keys")})
    reason = exercise_reason(spec, words("en"))
    assert "C minor, E flat minor, F sharp minor and A minor" in reason
    assert "E flat minor and D sharp minor sound the same and have six signs each" in reason
    assert exercise_title(spec, words("en")) == "Diminished seventh on B: one sound, four keys"


@pytest.mark.parametrize(("chord", "start", "chain", "roots"), [
    ("major", "C", "fifths", "C F Bb Eb Ab Db Gb B E A D G"),
    ("minor", "A", "fifths", "A D G C F Bb Eb G# C# F# B E"),
    ("dominant seventh", "C", "fifths", "C F Bb Eb Ab Db F# B E A D G"),
    ("major", "C", "rising fifths", "C G D A E B F# Db Ab Eb Bb F"),
])  # fmt: skip
def test_chains_turn_where_the_signs_grow_too_many(chord, start, chain, roots):
    """Typed out by hand: six signs are written as they come, seven never where five will do."""
    rows = bars(composed(arpeggio(chord, start, chain=chain)))
    assert [row.split()[0][:-1] for row in rows[:-1]] == roots.split()
    assert len(rows) == 13


M21_NAMES = {
    "major": "major triad", "minor": "minor triad", "dominant seventh": "dominant seventh chord",
    "diminished seventh": "diminished seventh chord", "major seventh": "major seventh chord",
}  # fmt: skip


@pytest.mark.parametrize("chord", M21_NAMES)
def test_each_bar_of_a_chain_is_one_chord(chord):
    """Second opinion: music21 (BSD) names the chord of every bar, by its spelling, with the first note as its root."""
    from music21 import chord as m21

    for row in bars(composed(arpeggio(chord, "A", chain="fifths")))[:-1]:
        names = [text.replace("b", "-") for text in row.split()]
        found = m21.Chord(names)
        assert found.commonName == M21_NAMES[chord]
        assert found.root().nameWithOctave == names[0]


@pytest.mark.parametrize(("metre", "rhythm", "octaves", "first"), [
    ("4/4", "quavers", 1, "C3 E3 G3 C4 E4 C4 G3 E3"), ("6/8", "quavers", 1, "C3 E3 G3 C4 G3 E3"),
    ("4/4", "triplets", 2, "C3 E3 G3 C4 E4 G4 C5 G4 E4 C4 G3 E3"),
])  # fmt: skip
def test_a_bar_of_a_chain_is_full(metre, rhythm, octaves, first):
    """Up and back as near to the octaves asked for as the bar allows, the root at every downbeat."""
    passage = composed(arpeggio("major", "C", chain="fifths", metre=metre, rhythm=rhythm, octaves=octaves))
    assert bars(passage)[0] == first


def test_a_bar_that_no_way_and_back_fills_says_so():
    """Five quavers cannot go up and come back."""
    with pytest.raises(SpecError, match="do not fill a bar of 5/8"):
        composed(arpeggio("major", "C", chain="fifths", metre="5/8"))


def test_the_chain_says_where_it_turns():
    """B for C flat; nothing where it does not turn."""
    spec = KINDS["arpeggio"].model_validate({"id": "x", **arpeggio("major", "C", chain="fifths")})
    assert exercise_reason(spec, words("en")) == "B stands for C flat, which has more signs in its key."
    short = spec.model_copy(update={"chain_chords": 4})
    assert exercise_reason(short, words("en")) == ""
    assert exercise_title(short, words("en")) == "Major arpeggio on C, four chords in falling fifths"


@pytest.mark.parametrize("entry", [
    arpeggio("dominant seventh", "G#", octaves=2, resolution=True), arpeggio("diminished seventh", "B", study="four keys"),
    arpeggio("minor", "C", chain="fifths"), arpeggio("diminished seventh", "F##", octaves=2, direction="up", resolution=True),
])  # fmt: skip
def test_the_hand_plays_them(entry):
    """A usual hand on a usual guitar; the struck chords included."""
    guitar = InstrumentSpec().instrument()
    done = finger_left_hand(composed(entry), guitar, Player(), LeftHandLimits())
    assert playable.faults(done, guitar, Player()) == []


@given(st.sampled_from(["dominant seventh", "diminished seventh"]), st.integers(1, 3), st.sampled_from(LEADING_NOTES))
def test_three_octaves_resolve_or_say_why_not(chord, octaves, tonic):
    """Whatever is asked is composed with its resolution or refused with a hint, never left hanging."""
    try:
        passage = composed(arpeggio(chord, tonic, octaves=octaves, resolution=True))
    except EngraverError as refused:
        hint = refused.hint
    else:
        hint = "composed"
        assert len(passage.events[-1]) >= 3
    assert hint
