"""Planting from a book's text to the score that is engraved. Source: common practice of teachers, from memory."""

import pytest

from tests.books.building import draft_text

BOOK = (
    "title: T\nstyle: {{plucking: {layer}}}\nchapters:\n  - title: C\n    exercises:\n"
    "      - {{id: x, kind: right hand, rhythm: {rhythm}, closing_chord: false, right_hand: {{formula: {formula}, planting: {way}}}}}\n"
)


def planted(folder, formula, way, layer="first and turns", rhythm="semiquavers"):
    """(onset, fingers) of every bracket in the score, and the signs that the legend explains."""
    text = BOOK.format(layer=layer, rhythm=rhythm, formula=formula, way=way)
    (draft,) = draft_text(folder, text)
    found = [(element.onset_quarters, "".join(element.planted)) for element in draft.score.elements if element.planted]
    return sorted(found), draft.plate.signs


@pytest.mark.parametrize(
    ("formula", "way", "rhythm", "laid"),
    [
        ("[p, i, m, a]", "full", "semiquavers", ["ima"]),
        ("[p, i, m, a]", "sequential", "semiquavers", ["i", "m", "a"]),
        ("[p, a, m, i]", "full", "semiquavers", ["a", "m", "i"]),
        ("[p, i, m, a, m, i]", "full", "sextuplets", ["ima", "m", "i"]),
        ("[p, ima]", "full", "semiquavers", ["ima"]),
    ],
)
def test_the_first_turn_shows_what_is_planted(tmp_path, formula, way, rhythm, laid):
    """All at once before a rising figure, one after the other else; the legend has the sign."""
    found, signs = planted(tmp_path, formula, way, rhythm=rhythm)
    assert [fingers for _, fingers in found] == laid
    assert "planted" in signs


def test_every_turn_shows_it_where_every_letter_is_printed(tmp_path):
    """Twelve beats of C, G7 and C: with each bass the three fingers are laid down."""
    found, _ = planted(tmp_path, "[p, i, m, a]", "full", layer="all")
    assert found == [(beat, "ima") for beat in range(12)]


def test_no_letters_no_planting(tmp_path):
    """An edition without letters prints neither bracket nor legend."""
    found, signs = planted(tmp_path, "[p, i, m, a]", "full", layer="none")
    assert found == []
    assert "planted" not in signs
