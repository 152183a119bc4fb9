"""The plucking hand: alternation, turns, chords and formulas."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engraver.errors import FingeringError
from engraver.fingering.crossings import awkward_crossings, repeated_fingers
from engraver.fingering.fingered import FingeredPassage
from engraver.fingering.plucking_costs import move_rows, own_rows, row_names
from engraver.fingering.plucking_moments import moments_of
from engraver.fingering.plucking_plan import grasp_of, hands_for
from engraver.fingering.plucking_table import plucking_table
from engraver.fingering.right_hand import finger_on_repeat, pluck
from engraver.fingering.strokes import attacks_of
from engraver.fretboard.limits import RightHandPlan
from engraver.theory.passage import PluckingFinger
from tests.fingering.plucking_lines import chords, letters, line, there_and_back

DIMINISHED = "5/3 5/6 4/4 4/7 3/5 3/8 2/7 2/10 1/8"


def alternate(text: str, start: str = "") -> RightHandPlan:
    """The plan that alternates these fingers; `start` is left free when empty."""
    pattern = tuple(PluckingFinger(letter) for letter in text)
    return RightHandPlan(alternate=pattern, start=PluckingFinger(start) if start else None)


def by_string(plucked: FingeredPassage, string: int) -> str:
    """The letters on one string in the order of playing."""
    return "".join(note.plucking or "." for note in plucked.notes if note.string == string)


def test_two_fingers_take_turns() -> None:
    """i-m over a line, begun where the book says. Source: common practice."""
    assert letters(pluck(line("3/0 3/2 2/0 2/1 2/3"), alternate("im", "m"))) == "mimim"


def test_the_first_finger_is_the_one_with_fewest_awkward_crossings() -> None:
    """C major in first position is begun with m. Source: a published teaching article on string crossings."""
    assert letters(pluck(line("5/3 4/0 4/2 4/3 3/0 3/2 2/0 2/1"), alternate("im"))) == "mimimimi"


def test_a_line_without_wishes_alternates_index_and_middle() -> None:
    """No plan: i-m with the better beginning. Source: common practice."""
    assert letters(pluck(line("5/3 4/0 4/2 4/3 3/0 3/2 2/0 2/1"), RightHandPlan())) == "mimimimi"


def test_a_slurred_note_has_no_letter_and_uses_no_turn() -> None:
    """The fretting hand sounds it; the next plucked note takes the next finger. Source: common practice."""
    assert letters(pluck(line("3/0 3/2 3/4 2/0", slurred=(1,)), alternate("im", "i"))) == "i.mi"


def test_a_finger_that_does_not_take_part_cannot_begin() -> None:
    """The message names the finger found and the fingers to choose from."""
    with pytest.raises(FingeringError, match=r"'a' does not take part in i-m; start with one of i, m"):
        pluck(line("3/0 3/2"), alternate("im", "a"))


# Source: common practice as given for this study: two notes to a string, one alone on string 1, so that strict
# alternation comes back with the opposite finger first on every string.
@pytest.mark.parametrize("pair", ["im", "ia", "mi", "ma"])
def test_one_note_alone_on_the_turning_string_reverses_the_pattern(pair: str) -> None:
    """Up each string goes x-y, down it goes y-x, and the first note after the turn is marked."""
    plucked = pluck(there_and_back(DIMINISHED), alternate(pair, pair[0]))
    x, y = pair[0], pair[1]
    assert [by_string(plucked, string) for string in (5, 4, 3, 2, 1)] == [x + y + y + x] * 4 + [x]
    assert plucked.reversal == 9
    assert plucked.notes[8].string == 1
    assert not repeated_fingers(plucked)


def test_the_study_is_best_begun_with_the_middle_finger() -> None:
    """Begun with m every crossing is good, up and down; begun with i every one is awkward. Source: counted by us."""
    plucked = pluck(there_and_back(DIMINISHED), alternate("im"))
    assert letters(plucked)[:2] == "mi"
    assert awkward_crossings(plucked) == ()
    assert len(awkward_crossings(pluck(there_and_back(DIMINISHED), alternate("im", "i")))) == 8


def test_an_even_count_on_the_turning_string_reverses_nothing() -> None:
    """The top note struck twice brings the same order back, so nothing is marked. Source: counted by us."""
    plucked = pluck(line("2/5 2/7 1/5 1/5 2/7 2/5", turn=2), alternate("im", "i"))
    assert letters(plucked) == "imimim"
    assert plucked.reversal is None


def test_a_slur_on_the_turning_string_changes_the_parity() -> None:
    """Only plucked notes count: three notes on top, one of them slurred, reverse nothing. Source: counted by us."""
    frets = "2/5 2/7 1/5 1/7 1/5 2/7 2/5"
    assert pluck(line(frets, turn=3), alternate("im")).reversal == 4
    assert pluck(line(frets, turn=3, slurred=(3,)), alternate("im")).reversal is None


def test_three_fingers_never_run_backwards() -> None:
    """i-m-a keeps its order on the way down, so no reversal is marked. Source: counted by us."""
    plucked = pluck(there_and_back(DIMINISHED), alternate("ima", "i"))
    assert letters(plucked) == "imaimaimaimaimaim"
    assert plucked.reversal is None


def test_letters_fixed_by_the_exercise_stay() -> None:
    """A formula written on the notes is kept letter by letter, whatever is planned."""
    fixed = "pimapima"
    assert letters(pluck(line("5/3 3/0 2/1 1/0 6/3 3/0 2/0 1/1", fixed=fixed), alternate("im"))) == fixed


def test_a_formula_is_laid_over_the_onsets() -> None:
    """Steps follow the onsets in turn; fingers of one step lie over the strings in the order of the hand."""
    p, i, m = PluckingFinger.THUMB, PluckingFinger.INDEX, PluckingFinger.MIDDLE
    plan = RightHandPlan(formula=((p,), (m, i)))
    assert letters(pluck(chords("5/3 | 2/1 1/0 | 6/3 | 2/0 1/1"), plan)) == "pimpim"


# Source: common practice of the methods, from memory.
@pytest.mark.parametrize(
    ("chord", "fingers"),
    [
        ("6/3 3/0 2/0 1/3", "pima"),
        ("5/0 3/2 2/1", "pim"),
        ("4/0 3/2 2/3 1/2", "pima"),
        ("5/3 4/2 3/0 2/1 1/0", "ppima"),
        ("6/3 5/2 4/0 3/0 2/0 1/3", "pppima"),
    ],
)
def test_chords_take_thumb_and_fingers_in_the_order_of_the_strings(chord: str, fingers: str) -> None:
    """Thumb on the bass, i m a above; six strings need the thumb to strum the lowest."""
    assert letters(pluck(chords(chord), RightHandPlan())) == fingers


lines_of_places = st.lists(st.tuples(st.integers(1, 6), st.integers(0, 7)), min_size=1, max_size=24)
pairs_and_triples = st.sampled_from(["im", "mi", "ia", "ai", "ma", "am", "pi", "pm", "ima", "ami"])


@given(lines_of_places, pairs_and_triples, st.sets(st.integers(1, 23)))
def test_alternation_never_repeats_a_finger(spots: list[tuple[int, int]], pattern: str, slurs: set[int]) -> None:
    """Whatever the strings and slurs, no finger plucks twice running, and slurred notes alone go without."""
    slurred = tuple(sorted(slur for slur in slurs if slur < len(spots)))
    plucked = pluck(line(" ".join(f"{s}/{f}" for s, f in spots), slurred=slurred), alternate(pattern))
    row = letters(plucked)
    assert [index for index, letter in enumerate(row) if letter == "."] == list(slurred)
    sounded = row.replace(".", "")
    assert all(a != b for a, b in pairwise(sounded))


attacks = st.lists(st.sets(st.integers(1, 6), min_size=1), min_size=1, max_size=12)


@given(attacks)
def test_the_hand_lies_over_a_chord_in_its_order(strings: list[set[int]]) -> None:
    """No finger lies below the thumb or out of the order p i m a; single i, m, a never repeat."""
    text = " | ".join(" ".join(f"{s}/0" for s in sorted(group, reverse=True)) for group in strings)
    row = letters(pluck(chords(text), RightHandPlan()))
    taken = [row[sum(map(len, strings[:k])) : sum(map(len, strings[: k + 1]))] for k in range(len(strings))]
    for chord in taken:
        assert list(chord) == sorted(chord, key="pima".index)
        assert len(set(chord.replace("p", ""))) == len(chord.replace("p", ""))
    singles = [(a, b) for a, b in pairwise(taken) if len(a) == len(b) == 1]
    assert all(a != b or a == "p" for a, b in singles)


def test_a_chord_broken_upwards_over_four_strings_takes_p_i_m_a() -> None:
    """Bass on string 5, then 3, 2, 1, again and again. Source: Carcassi, prelude in C (Op. 59), from memory."""
    assert letters(pluck(chords(" | ".join("5/3 3/0 2/1 1/0".split() * 3)), RightHandPlan())) == "pima" * 3


def test_a_chord_broken_over_three_strings_leaves_the_ring_finger_out() -> None:
    """Bass, string 3, string 2, string 3: p i m i. Source: Carcassi, prelude in A minor (Op. 59), from memory."""
    assert letters(pluck(chords(" | ".join("5/0 3/2 2/1 3/2".split() * 3)), RightHandPlan())) == "pimi" * 3


def test_the_thumb_sweeps_low_strings_running() -> None:
    """Two bass notes before the fingers' strings: p p i m a. Source: common practice of the methods, from memory."""
    assert letters(pluck(chords(" | ".join("6/0 5/2 4/2 3/1 2/0 1/0".split())), RightHandPlan()))[:2] == "pp"


def test_a_melody_note_struck_again_changes_its_finger() -> None:
    """Over held basses a repeated note is never plucked by one finger twice running. Source: common practice."""
    row = letters(pluck(chords("5/0 1/0 | 1/0 | 1/0 | 6/0 1/0 | 1/0 | 1/0"), RightHandPlan()))
    assert row[0] == row[4] == "p"
    assert all(a != b for a, b in pairwise(row[1:4] + row[5:]))
    assert "p" not in row[1:4] + row[5:]


def test_a_tremolo_is_laid_over_the_onsets() -> None:
    """p-a-m-i over a bass and three notes struck again. Source: common practice."""
    steps = tuple((PluckingFinger(letter),) for letter in "pami")
    frets = " | ".join("5/0 1/0 1/0 1/0 4/2 1/0 1/0 1/0".split())
    assert letters(pluck(chords(frets), RightHandPlan(formula=steps))) == "pamipami"


@pytest.mark.parametrize(
    ("frets", "marked", "after"), [("6/3 3/0 2/0", "pma", "pim"), ("5/0 3/2 2/1 3/2", "pmam", "pimi")]
)
def test_a_pattern_marked_once_goes_on(frets: str, marked: str, after: str) -> None:
    """Letters fixed in the first figure are taken for its repeats, against what would be planned without them.

    Source: the custom of marking a pattern in its first bar only, common practice of the methods.
    """
    thrice = " | ".join(frets.split() * 3)
    assert letters(pluck(chords(thrice), RightHandPlan())) == after * 3
    assert letters(pluck(chords(thrice, fixed=marked), RightHandPlan())) == marked * 3


def test_after_an_odd_count_the_repeat_begins_with_the_other_finger() -> None:
    """Seventeen plucked notes: i begins, m begins again; four: i again. Source: counted by us."""
    plan = alternate("im", "i")
    assert finger_on_repeat(pluck(there_and_back(DIMINISHED), plan), plan) is PluckingFinger.MIDDLE
    assert finger_on_repeat(pluck(line("3/0 3/2 3/4 2/0"), plan), plan) is PluckingFinger.INDEX
    assert finger_on_repeat(pluck(chords("6/3 3/0 | 3/0"), plan), plan) is None


def test_alternation_asked_for_in_a_mixture_keeps_single_notes_to_its_fingers() -> None:
    """m-a and the thumb only, where the book asks for m-a. Source: chosen by us."""
    plan = alternate("ma")
    row = letters(pluck(chords("5/0 1/0 | 1/1 | 1/3 | 6/3 1/3 | 1/1 | 1/0"), plan))
    assert set(row[2:4] + row[6:8]) <= set("pma")


def test_the_costs_and_the_table_name_the_same_rows() -> None:
    """Every row that can be charged is in the table with its reason, and no other."""
    assert row_names() == tuple(weight.name for weight in plucking_table().weights)


@given(attacks)
def test_every_row_charged_is_a_row_of_the_table(strings: list[set[int]]) -> None:
    """Whatever is plucked, no attack pays a cost without a name in the table."""
    text = " | ".join(" ".join(f"{s}/0" for s in sorted(group, reverse=True)) for group in strings)
    played = attacks_of(chords(text))
    moments = moments_of(chords(text).passage, played, plucking_table().surroundings)
    for attack, moment in zip(played, moments, strict=True):
        for hand in hands_for(grasp_of(attack)):
            assert set(own_rows(moment, hand)) <= set(row_names())
            assert set(move_rows(hand, hand, hurried=True)) <= set(row_names())


def test_a_melody_by_step_between_chords_alternates_index_and_middle() -> None:
    """Neither the thumb nor the ring finger breaks into the run, whatever the strings. Source: common practice."""
    run = "3/2 | 2/0 | 2/1 | 2/3 | 1/0 | 1/1 | 1/0 | 2/3 | 2/1 | 2/0 | 3/2 | 3/0"
    row = letters(pluck(chords(f"5/3 3/0 2/1 1/0 | {run} | 5/3 3/0 2/1 1/0"), RightHandPlan()))[4:-4]
    assert row in ("im" * 6, "mi" * 6)


def test_a_broken_chord_between_chords_keeps_the_thumb() -> None:
    """Notes that leap are no melody by step: bass, string 3, string 2, string 3 stay p i m i. Source: as above."""
    row = letters(pluck(chords("5/0 3/2 2/1 1/0 | " + " | ".join("5/0 3/2 2/1 3/2".split() * 3)), RightHandPlan()))
    assert row[4:] == "pimi" * 3


def test_a_run_on_the_bass_strings_is_not_taken_from_the_thumb() -> None:
    """A scale on strings 6 and 5 between chords may be the bass and stays the thumb's. Source: common practice."""
    row = letters(
        pluck(chords("6/0 3/1 2/0 1/0 | 6/0 | 6/1 | 6/3 | 5/0 | 5/2 | 5/3 | 5/2 3/0 2/0 1/1"), RightHandPlan())
    )
    assert set(row[4:10]) == {"p"}


def test_the_thumb_strums_neighbouring_strings_only() -> None:
    """Over strings 6, 4 and 2 no p p i: falling from 6 to 4 the thumb would strike string 5. Source: common practice."""
    assert letters(pluck(chords("6/0 4/6 2/5"), RightHandPlan())) == "pim"
