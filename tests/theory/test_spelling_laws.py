"""Laws of context spelling that hold for any music."""

from hypothesis import given, settings
from hypothesis import strategies as st

from engraver.theory.spelling import respell, spell_line

times = st.one_of(st.fractions(min_value=-8, max_value=64, max_denominator=24), st.floats(0, 64))
note = st.tuples(times, st.fractions(min_value=0, max_value=4, max_denominator=24), st.integers(0, 127))
music = st.lists(note, max_size=60)
signature = st.none() | st.integers(-7, 7)

lawful = settings(deadline=None)  # the first call reads the tables
SCALE = (0, 2, 4, 5, 7, 9, 11)


@st.composite
def tonal_phrases(draw):
    """Triads of C major in close position over a bass, each with a lower chromatic neighbour in the top voice."""
    degrees = [0, *draw(st.lists(st.integers(0, 5), min_size=4, max_size=12)), 4, 0]
    notes = []
    for at, degree in enumerate(degrees):
        pitches = [48 + 12 * ((degree + up) // 7) + SCALE[(degree + up) % 7] for up in (0, 2, 4, 7)]
        notes += [(at, 1, pitch) for pitch in pitches[:3]]
        top = pitches[3]
        turn = [top, top - 1, top] if draw(st.booleans()) else [top, top, top]
        notes += [(at + part / 4, 0.25 if part < 2 else 0.5, pitch) for part, pitch in enumerate(turn)]
    return notes


@lawful
@given(music, signature)
def test_spelling_never_changes_the_sound(notes, key_fifths):
    """Every spelled pitch sounds as its MIDI number, with at most a double accidental."""
    spelled = respell(notes, key_fifths)
    assert [pitch.sounding_midi for pitch in spelled] == [midi for _, _, midi in notes]
    assert all(abs(pitch.name.alter) <= 2 for pitch in spelled)


@lawful
@given(music, signature)
def test_one_onset_has_one_name_for_a_pitch_class(notes, key_fifths):
    """Octave doublings struck together share their name."""
    names = {}
    for (onset, _, midi), pitch in zip(notes, respell(notes, key_fifths), strict=True):
        assert names.setdefault((round(onset * 960), midi % 12), pitch.name) == pitch.name


exact_note = st.tuples(st.fractions(min_value=-8, max_value=64, max_denominator=24), st.just(1), st.integers(0, 127))


@lawful
@given(st.lists(exact_note, max_size=60), signature, st.integers(-100, 100))
def test_waiting_whole_quarters_changes_no_name(notes, key_fifths, wait):
    """The same music later is spelled the same."""
    later = [(onset + wait, length, midi) for onset, length, midi in notes]
    assert respell(later, key_fifths) == respell(notes, key_fifths)


@settings(lawful, max_examples=60)
@given(tonal_phrases(), st.integers(-4, 3), st.booleans())
def test_a_fifth_higher_means_names_one_place_sharper(notes, key, is_told):
    """Tonal music moved up a fifth has every name moved one place along the line of fifths."""
    low = [(onset, length, midi + 7 * key % 12) for onset, length, midi in notes]
    high = [(onset, length, midi + 7) for onset, length, midi in low]
    before = respell(low, key if is_told else None)
    after = respell(high, key + 1 if is_told else None)
    assert [pitch.name.fifths + 1 for pitch in before] == [pitch.name.fifths for pitch in after]


@lawful
@given(st.lists(st.integers(0, 127), max_size=40), st.integers(-7, 6), st.booleans())
def test_a_line_moved_by_a_fifth_keeps_its_degrees(line, key, is_minor):
    """In a known key a line has the same degrees in every key, so names move with the signature."""
    line = [midi for midi in line if midi + 7 <= 127]
    high = spell_line([midi + 7 for midi in line], key + 1, is_minor)
    assert [p.name.fifths + 1 for p in spell_line(line, key, is_minor)] == [p.name.fifths for p in high]


@lawful
@given(st.lists(st.sampled_from(SCALE), max_size=30), st.integers(-7, 7))
def test_a_line_within_its_key_needs_no_accidental(steps, key):
    """Seven names for seven degrees: every note of the key lies in the signature."""
    spelled = spell_line([48 + 7 * key % 12 + step for step in steps], key)
    assert all(-1 <= pitch.name.fifths - key <= 5 for pitch in spelled)
