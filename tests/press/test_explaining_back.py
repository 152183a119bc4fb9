"""The way back: what comes back otherwise than it went is told, each with a reason that holds."""

import re

import pytest

from engraver.build import explain_exercise
from engraver.exercises.compose import compose
from engraver.fingering.finger import finger
from engraver.spec.reader import read_book
from tests.conftest import BOOKS

BOOK = "title: T\nchapters:\n  - title: C\n    exercises:\n      - {{id: x, kind: scale, {entry}}}\n"
SAME = "Every note comes back on the string and under the finger by which it went."


def told(folder, entry):
    """The lines of the section on the way back, none where there is no such section."""
    path = folder / "book.yaml"
    path.write_text(BOOK.format(entry=entry), "utf-8")
    sections = {section.heading: section for section in explain_exercise(path, "x")}
    return sections["The way back"].lines if "The way back" in sections else ()


def moved(exercise, edition):
    """The notes after the turn whose pitch was stopped otherwise before it, counted from 1: worked out again here."""
    passage = compose(exercise.spec, edition.instrument)
    done = finger(passage, edition.instrument, edition.player, *exercise.hands)
    if passage.turn is None:
        return []
    went = {}
    for note in done.notes[: passage.turn + 1]:
        went.setdefault(note.note.pitch.sounding_midi, set()).add((note.string, note.left_finger))
    return [
        index + 1
        for index, note in enumerate(done.notes)
        if index > passage.turn
        and note.note.pitch.sounding_midi in went
        and (note.string, note.left_finger) not in went[note.note.pitch.sounding_midi]
    ]


def test_a_line_that_comes_back_as_it_went_says_so(tmp_path):
    """Up and down alike, as teachers write it."""
    assert told(tmp_path, "scale: major, tonics: [G], octaves: 2") == (SAME,)


def test_a_line_in_one_direction_has_no_way_back(tmp_path):
    """There is nothing to tell."""
    assert told(tmp_path, "scale: major, tonics: [G], octaves: 2, direction: up") == ()


def test_a_pin_on_the_way_back_is_named_as_the_reason(tmp_path):
    """The teacher asks for an open E4 going up and a stopped one coming down."""
    pins = "pins: {3: {string: 1, finger: 0}, 13: {string: 2, finger: 4}}"
    (line,) = told(tmp_path, f"scale: major, tonics: [C4], octaves: 1, left_hand: {{{pins}}}")
    assert line.startswith("Notes 11-15 (G4 F4 E4 D4 C4) come back as ")
    assert line.endswith("a pin of the book or a demand of the exercise stands among them.")


@pytest.mark.parametrize("path", BOOKS, ids=lambda path: path.stem)
def test_every_difference_in_the_sample_books_has_its_reason(path):
    """In every scale that turns, exactly the notes that come back otherwise are named, and none would cost less as it went."""
    book = read_book(path)
    for exercise in book.exercises:
        if exercise.number is None or exercise.spec.kind != "scale" or "melodic" not in str(exercise.spec):
            continue
        lines = {s.heading: s.lines for s in explain_exercise(path, exercise.id)}.get("The way back", ())
        named = [range(int(a), int(b or a) + 1) for line in lines for a, b in re.findall(r"^Notes? (\d+)(?:-(\d+))?", line)]
        assert [n for numbers in named for n in numbers] == moved(exercise, book.edition)
        for line in lines:
            assert line == SAME or re.search(r"would cost \d+\.\d\d more \(|would serve as well|no hand|among them", line)
