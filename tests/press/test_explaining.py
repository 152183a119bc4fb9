"""An explanation says what the fingering does: its figures are read back from its text."""

import pytest

from engraver.build import explain_exercise
from engraver.errors import SpecError
from engraver.press.explanation import Section, plain_text
from tests.books.building import draft_text

BOOK = """\
title: T
instrument: {{scale_length_mm: {scale}}}
player: {{reach_mm: {reach}}}
editions: {{student: {{}}, child: {{player: {{reach_mm: 70}}, instrument: {{scale_length_mm: 530}}}}}}
chapters:
  - title: C
    exercises:
      - {{id: x, {entry}}}
      - {{id: words, kind: text, text: Rest.}}
"""
C_MAJOR = (
    "kind: scale, scale: major, tonics: [C], octaves: 2, left_hand: {open_strings: avoid, start: {string: 5, finger: 2}}, "
    "right_hand: {alternate: [i, m]}"
)


def explained(folder, entry, scale=650, reach=98, edition=""):
    """The sections by heading; the first one is the title."""
    path = folder / "book.yaml"
    path.write_text(BOOK.format(entry=entry, scale=scale, reach=reach), "utf-8")
    sections = explain_exercise(path, "x", edition)
    return {section.heading: section for section in sections}


def rows(section):
    """The rows of a table as dictionaries."""
    return [dict(zip(section.columns, row, strict=True)) for row in section.rows]


def test_the_spelling_is_given_with_its_rule_and_signature(tmp_path):
    """G minor, melodic: the raised degrees up, the natural ones down."""
    told = explained(tmp_path, "kind: scale, scale: melodic minor, tonics: [G]")["Why it is spelled so"].lines
    assert told[0] == "G melodic minor: G, A, B flat, C, D, E, F sharp. Each degree keeps its own letter."
    assert told[1] == "On the way down: F, E flat, D, C, B flat, A, G."
    assert told[2] == "Key signature: two flats."


@pytest.mark.parametrize(
    ("entry", "told"),
    [
        ("kind: arpeggio, chord: diminished seventh, tonics: [B]", "B, D, F, A flat. The chord is built in thirds"),
        ("kind: arpeggio, chord: diminished seventh, tonics: [C3], spelling: practical", "C, E flat, G flat, A. Practical"),
        ("kind: scale, scale: whole tone, tonics: [F]", "with the fewest signs"),
        ("kind: right hand, right_hand: {formula: [p, i, m, a]}", "G7: G, B, D, F"),
        ("kind: cadence, tonics: [C]", "C, E, G"),
        ("kind: chromatic, tonics: [E]", "by this convention"),
        ("kind: slurs, fingers: [1, 2]", "named in the key of the signature"),
    ],
)
def test_each_kind_has_its_rule(tmp_path, entry, told):
    """Thirds, degrees, conventions: common-practice theory."""
    assert told in " ".join(explained(tmp_path, entry)["Why it is spelled so"].lines)


def test_places_cover_every_note_once(tmp_path):
    """Row by row the notes, strings, frets and fingers are those of the fingering."""
    section = explained(tmp_path, C_MAJOR)["Where the hands are"]
    (draft,) = draft_text(tmp_path, BOOK.format(entry=C_MAJOR, scale=650, reach=98).replace("      - {id: words, kind: text, text: Rest.}\n", ""))
    notes = draft.fingered.notes
    frets = [fret for row in rows(section) for fret in row["frets"].split()]
    fingers = [finger for row in rows(section) for finger in row["fingers"].split()]
    letters = [letter for row in rows(section) for letter in row["plucked"].split()]
    strings = [row["string"] for row in rows(section) for _ in row["frets"].split()]
    assert [(int(s), int(f), int(n)) for s, f, n in zip(strings, frets, fingers, strict=True)] == [
        (note.string, note.fret, note.left_finger) for note in notes
    ]
    assert letters == [note.plucking.value for note in notes]


def test_a_figure_played_again_and_again_is_told_once(tmp_path):
    """Sixteen semiquavers of p-i-m-a are four times four."""
    section = explained(tmp_path, "kind: right hand, rhythm: semiquavers, right_hand: {formula: [p, i, m, a]}")
    first = rows(section["Where the hands are"])[0]
    assert (first["notes"], first["pitches"], first["plucked"]) == ("1-16", "C3 G3 C4 E4  (4 times)", "p i m a")


def test_the_reach_is_named_where_it_only_just_suffices(tmp_path):
    """Finger 1 held at fret 1 while 4 plays fret 4: 97.6 mm of 98. Source: the fret formula on 650 mm."""
    entry = "kind: finger orders, orders: [[2, 3, 4]], position: 1, held: [1], strings: [1], held_string: 2"
    assert "Here the reach binds: 1-4 on frets 1 and 4." in explained(tmp_path, entry)["Stretches"].lines


def test_the_shift_of_c_major_is_told_in_millimetres(tmp_path):
    """From II to V on 650 mm: 163.1 less 70.9 mm from the nut. Source: the fret formula, counted by hand."""
    there, back = explained(tmp_path, C_MAJOR)["Shifts"].lines
    assert "II-V on string 3" in there
    assert "92 mm" in there
    assert "V-II on string 3" in back


def test_the_account_adds_up(tmp_path):
    """The rows sum to the total below them."""
    *parts, total = rows(explained(tmp_path, C_MAJOR)["What the fretting hand pays"])
    assert sum(float(row["cost"]) for row in parts) == pytest.approx(float(total["cost"]), abs=0.1)
    assert all(row["because"] for row in parts)


def test_three_left_hands_are_ranked_with_a_reason_each(tmp_path):
    """The chosen one is marked and comes first; each other says where it first differs."""
    found = rows(explained(tmp_path, C_MAJOR)["Other left hands"])
    assert len(found) >= 3
    assert [row["chosen"] for row in found] == ["*", *[""] * (len(found) - 1)]
    costs = [float(row["cost"]) for row in found]
    assert costs == sorted(costs)
    assert all(row["because"] for row in found)
    assert all(row["differs"].startswith("note ") for row in found[1:])


def test_where_the_wishes_leave_too_few_others_are_shown_without_them(tmp_path):
    """One position with one finger to a fret leaves C major no choice; the others come without the wishes and say so."""
    hand = "left_hand: {position: 1, one_finger_per_fret: true, open_strings: prefer}"
    found = rows(explained(tmp_path, f"kind: scale, scale: major, tonics: [C3], {hand}")["Other left hands"])
    assert len(found) >= 3
    assert found[-1]["because"].startswith("without the book's wishes: ")


def test_patterns_and_first_fingers_are_counted(tmp_path):
    """C major, one octave up in first position: i-m 2 awkward crossings, m-i 1. Source: a published article on them."""
    entry = "kind: scale, scale: major, tonics: [C3], direction: up, left_hand: {position: 1}, right_hand: {alternate: [i, m], start: i}"
    sections = explained(tmp_path, entry)
    table = {row["pattern"]: row for row in rows(sections["Patterns and first fingers"])}
    assert (table["i m"]["awkward"], table["m i"]["awkward"]) == ("2", "1")
    assert [pattern for pattern, row in table.items() if row["chosen"]] == ["i m"]
    assert {"i a", "a i", "m a", "p i", "p m", "i m a", "a m i"} <= set(table)
    offered = rows(sections["Remedies for awkward crossings"])
    assert ("begin with m", "1", "1") in [(row["remedy"], row["fewer"], row["left"]) for row in offered]
    assert [row[""] for row in offered] == ["proposed", *[""] * (len(offered) - 1)]
    assert [int(row["left"]) for row in offered] == sorted(int(row["left"]) for row in offered)


def test_a_formula_shows_its_strings(tmp_path):
    """Thumb on the basses of C and G7, i m a on 3 2 1. Source: common practice."""
    section = explained(tmp_path, "kind: right hand, right_hand: {formula: [p, i, m, a]}")["The plucking hand"]
    assert section.lines == ("The exercise fixes the pattern: p i m a.",)
    assert [(row["finger"], row["strings"].split()[0]) for row in rows(section)] == [("p", "6"), ("i", "3"), ("m", "2"), ("a", "1")]


def test_planting_is_told_as_it_is_printed(tmp_path):
    """The first turn alone: i m a with the thumb, or each finger in its turn. Source: common practice, from memory."""
    entry = "kind: right hand, closing_chord: false, right_hand: {formula: [p, i, m, a], planting: full}"
    lines = explained(tmp_path, entry)["The plucking hand"].lines
    assert lines[1] == "Planting, full, as it is printed: i m a laid down with note 1."
    entry = "kind: right hand, closing_chord: false, right_hand: {formula: [p, a, m, i], planting: sequential}"
    assert "a laid down with note 1, m laid down with note 2" in explained(tmp_path, entry)["The plucking hand"].lines[1]


def test_the_reach_is_said_to_bind_where_it_does(tmp_path):
    """A hand of 70 mm on a full guitar cannot hold one finger a fret in position II; a longer one would."""
    small = explained(tmp_path, C_MAJOR, reach=80)["Stretches"].lines
    large = explained(tmp_path, C_MAJOR, reach=130)["Stretches"].lines
    assert any(line.startswith("With 15 mm more reach, note ") for line in small)
    assert any("binds nowhere" in line for line in large)
    assert "With 15 mm more reach the fingering would be the same." in large


def test_the_edition_decides_the_hand(tmp_path):
    """A child's guitar and hand are those of its edition."""
    told = explained(tmp_path, C_MAJOR, edition="child")
    assert any("70" in line for line in told["Stretches"].lines)


def test_an_unknown_exercise_is_an_error_and_so_is_a_text(tmp_path):
    """The message names what was asked."""
    explained(tmp_path, C_MAJOR)
    for name in ("y", "words"):
        with pytest.raises(SpecError, match=f"'{name}'"):
            explain_exercise(tmp_path / "book.yaml", name)


def test_columns_line_up_in_plain_text():
    """A cell is as wide as the widest of its column."""
    section = Section("Head", ("A line.",), ("a", "b"), (("1", "x"), ("100", "y")))
    assert plain_text((section,)) == "Head\n  A line.\n  a    b\n  1    x\n  100  y\n"


def test_alternatives_of_an_excerpt_follow_habit_and_say_so(tmp_path):
    """Written music is fingered by habit; so are its alternatives, each of them other than the chosen one."""
    entry = "kind: excerpt, key: C major, notes: 'E4 q D4 q C4 q B3 q | A3 q B3 q C4 q D4 q | E4 h C4 h'"
    section = explained(tmp_path, entry)["Other left hands"]
    assert "as editors tend to" in section.lines[0]
    found = rows(section)
    assert len(found) >= 3
    assert [row["chosen"] for row in found].count("*") == 1


def test_what_a_level_could_not_have_is_said_at_the_head_of_the_places(tmp_path):
    """The level, the wish, and that it was given up."""
    entry = "kind: scale, scale: major, tonics: [G3], octaves: 2, left_hand: {level: beginner}"
    (told,) = explained(tmp_path, entry)["Where the hands are"].lines
    assert told == (
        "The level beginner asks for 'position: 1', given up here: note 10 (B4) in bar 2 does not lie in position 1."
    )
