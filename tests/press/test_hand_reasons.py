"""The line under an exercise that says why the fretting hand plays so. Facts about forms: common practice."""

import pytest

from tests.books.building import draft_text

BOOK = """\
title: T
language: {language}
style: {{reasons: true}}
chapters:
  - title: C
    exercises:
      - {{id: x, {entry}}}
"""
CLOSED = "left_hand: {open_strings: avoid, start: {string: %d, finger: 2}}"
G_MAJOR = "kind: scale, scale: major, tonics: [G], octaves: 2, " + CLOSED % 6
C_MAJOR = "kind: scale, scale: major, tonics: [C], octaves: 2, " + CLOSED % 5


def draft(folder, entry, language="en"):
    (made,) = draft_text(folder, BOOK.format(entry=entry, language=language))
    return made


def reason(folder, entry, language="en"):
    return draft(folder, entry, language).plate.reason.replace("\N{NO-BREAK SPACE}", " ")


def test_a_closed_form_in_one_position_has_no_shift(tmp_path):
    """G major from finger 2 on string 6 stays in position II."""
    assert reason(tmp_path, G_MAJOR) == "Fingering: no shift, position II."


def test_a_shift_is_told_with_its_string_and_finger(tmp_path):
    """C major from finger 2 on string 5 shifts once, on string 3 from II to V, and undoes it on the way back."""
    told = reason(tmp_path, C_MAJOR)
    assert told.startswith("Fingering: one shift, II\N{EN DASH}V on string 3 after finger ")
    assert "on the way back" not in told


def test_the_way_back_is_told_where_it_differs(tmp_path):
    """C major whose C on the way back is pinned to string 5, high up, shifts elsewhere than on the way there."""
    hand = "left_hand: {open_strings: avoid, start: {string: 5, finger: 2}, pins: {22: {string: 5, finger: 4}}}"
    told = reason(tmp_path, f"kind: scale, scale: major, tonics: [C], octaves: 2, {hand}")
    assert "; on the way back " in told


def test_the_spelling_is_told_before_the_hand_and_in_a_sentence_of_its_own(tmp_path):
    """F sharp and G flat major have six signs each; that is no matter of fingering."""
    told = reason(tmp_path, "kind: scale, scale: major, tonics: [F sharp], octaves: 2")
    spelling, _, hand = told.partition(" Fingering: ")
    assert spelling == "F sharp major and G flat major sound the same and have six signs each; F sharp major was chosen."
    assert hand.endswith(".")


def test_a_reason_of_the_book_is_printed_as_it_was_written(tmp_path):
    """The teacher's own sentence comes first and is not called a fingering."""
    told = reason(tmp_path, f"{G_MAJOR}, reason: 'It moves to every key.'")
    assert told == "It moves to every key. Fingering: no shift, position II."


def test_a_drill_that_demands_its_fingers_needs_no_reason(tmp_path):
    """Where nothing was chosen there is nothing to explain."""
    assert reason(tmp_path, "kind: finger orders, orders: [[1, 2, 3, 4]]") == ""


def test_nothing_is_said_unless_the_style_asks(tmp_path):
    """Reasons are for the teacher's edition."""
    text = BOOK.format(entry=G_MAJOR, language="en").replace("reasons: true", "reasons: false")
    assert draft_text(tmp_path, text)[0].plate.reason == ""


@pytest.mark.parametrize(
    ("language", "told"),
    [
        ("de", "Fingersatz: kein Lagenwechsel, II. Lage."),
        ("fr", "Doigté : sans démanché, position II."),
        ("es", "Digitación: sin cambio de posición, posición II."),
        ("it", "Diteggiatura: nessun cambio di posizione, posizione II."),
        ("pt", "Dedilhação: sem mudança de posição, posição II."),
    ],
)
def test_the_reason_is_in_the_language_of_the_book(tmp_path, language, told):
    """Terms of each country's guitar teaching, from memory."""
    assert reason(tmp_path, G_MAJOR, language) == told


def test_the_second_time_begins_with_the_other_finger(tmp_path):
    """After 29 notes i-m begins with m, after 16 it would begin with i again and is told to begin with m too."""
    odd = draft(tmp_path, G_MAJOR + ", right_hand: {alternate: [i, m], start: i, repeat_from_top: true}")
    assert odd.plate.remark == "alternate i m, twice from the top, the second time beginning with m"
    assert "repeat" in odd.plate.signs
    up = "kind: scale, scale: major, tonics: [C3], direction: up, right_hand: {alternate: [i, m], start: i, repeat_from_top: true}"
    even = draft(tmp_path, up)
    assert len(even.fingered.notes) == 8
    assert even.plate.remark.endswith("the second time beginning with m")


def test_a_left_hand_that_gave_way_says_so(tmp_path):
    """E major over three octaves: another left hand has far fewer awkward crossings at a small price."""
    scale = "kind: scale, scale: major, tonics: [E], octaves: 3, right_hand: {alternate: [i, m], crossings: %s}"
    best, plain = draft(tmp_path, scale % "best"), draft(tmp_path, scale % "as they come")
    done = best.fingered.together
    assert done.after < done.before
    assert plain.fingered.together is None
    assert best.plate.reason.endswith(f"(awkward crossings: {done.after} instead of {done.before}).")
