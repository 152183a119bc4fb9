"""What a book may say of the fretting hand, at the head, in a chapter and in an entry; levels fill in the rest."""

import pytest

from engraver.errors import SpecErrors
from engraver.fretboard.limits import Barres, HandShape, OpenStrings, Spread, Yielding
from engraver.spec.levels import level_names
from engraver.spec.reader import read_book

BOOK = """\
title: T
defaults: {{left_hand: {{{book}}}}}
chapters:
  - title: C
    defaults: {{left_hand: {{{chapter}}}}}
    exercises:
      - {{id: x, kind: scale, scale: major, tonics: [C3], left_hand: {{{entry}}}}}
"""


def limits(folder, book="", chapter="", entry=""):
    path = folder / "book.yaml"
    path.write_text(BOOK.format(book=book, chapter=chapter, entry=entry), "utf-8")
    return read_book(path).exercises[0].hands[0]


def refused(folder, entry):
    with pytest.raises(SpecErrors) as caught:
        limits(folder, entry=entry)
    return str(caught.value)


def test_the_nearest_word_counts_and_the_rest_stays(tmp_path):
    """The book forbids barres, the chapter extensions, and the entry allows partial barres: all three are heard."""
    found = limits(tmp_path, "barre: none, open_strings: avoid", "extensions: none", "barre: partial")
    assert found.open_strings is OpenStrings.AVOID
    assert found.shape == HandShape(Barres.PARTIAL, Spread.NO_EXTENSION, None)


def test_one_finger_per_fret_and_a_place_to_be_near(tmp_path):
    """Both reach the fingering as the book says them."""
    found = limits(tmp_path, entry="one_finger_per_fret: true, around_position: 7")
    assert found.shape == HandShape(Barres.ALLOW, Spread.ONE_PER_FRET, 7)


def test_a_beginner_stays_in_first_position_without_barre_and_extension(tmp_path):
    """The level's wishes, all of which give way where an exercise leaves no other way."""
    found = limits(tmp_path, chapter="level: beginner")
    assert (found.position, found.open_strings) == (1, OpenStrings.ALLOW)
    assert found.shape == HandShape(Barres.NONE, Spread.NO_EXTENSION, 1)
    assert found.yielding == (Yielding.POSITION, Yielding.EXTENSIONS, Yielding.BARRE)


def test_what_the_book_says_itself_wins_over_the_level_and_does_not_yield(tmp_path):
    """A barre allowed in the entry is allowed; a place named by the entry takes the place of the level's."""
    found = limits(tmp_path, chapter="level: beginner", entry="barre: allow, start: {string: 5, finger: 2}")
    assert found.shape.barre is Barres.ALLOW
    assert found.position is None
    assert found.yielding == (Yielding.EXTENSIONS,)


def test_a_level_named_nearer_replaces_what_was_said_further_out(tmp_path):
    """The chapter avoids open strings; an entry for beginners has them again. Fields no level speaks of stay."""
    found = limits(tmp_path, chapter="open_strings: avoid, strings: [5, 4]", entry="level: beginner")
    assert found.open_strings is OpenStrings.ALLOW
    assert found.strings == (5, 4)


@pytest.mark.parametrize("level", level_names())
def test_every_level_can_be_asked_for(tmp_path, level):
    """Each of the four is read; only an advanced hand is asked for nothing that might have to yield."""
    found = limits(tmp_path, entry=f"level: {level}")
    assert bool(found.yielding) == (level != "advanced")


@pytest.mark.parametrize(
    ("entry", "told"),
    [
        ("level: begginer", "7:77: 'begginer' is not a level we know; did you mean 'beginner'?"),
        ("level: [beginner]", "is not a level we know"),
        ("barre: half", "'barre' is 'half'; write one of: allow, partial, none"),
        ("extensions: some", "'extensions' is 'some'; write one of: allow, none"),
        ("one_finger_per_fret: maybe", "'one_finger_per_fret' is 'maybe'; write true or false"),
        ("around_position: 40", "'around_position' is '40'; write a number up to 24"),
        ("barres: none", "there is no field 'barres' here; did you mean 'barre'?"),
        (
            "one_finger_per_fret: true, extensions: allow",
            "one finger per fret leaves no room for extensions; leave extensions out, or write "
            "one_finger_per_fret: false",
        ),
    ],
)
def test_slips_are_told_with_what_to_write(tmp_path, entry, told):
    """Every refusal says what was found and what to write instead."""
    assert told in refused(tmp_path, entry)
