"""The customary formulas of the plucking hand, from a book's text to the score that is engraved.

Source of the formulas: the open file of formulas where it is at hand (types known from the methods of 1812 to 1850).
That i, m and a are at home on strings 3, 2 and 1 and the thumb on the bass strings is common practice of the methods.
"""

import json
from collections import defaultdict
from itertools import cycle, islice

import pytest

from tests.books.building import draft_text
from tests.conftest import GOLD

FORMULAS = GOLD / "rh_formulas.json"
pytestmark = pytest.mark.skipif(not FORMULAS.exists(), reason="the formulas are not at hand")

HOMES = {"i": 3, "m": 2, "a": 1}
BASSES = {"C": 5, "G7": 6, "Em": 6, "Am": 5, "B7": 5}
"""The string of the bass of each first-position grip (common practice)."""
PROGRESSIONS = (("C", "G7", "C"), ("Em", "Am", "B7", "Em"))
BARS = {
    3: ("4/4", "triplets"),
    4: ("4/4", "semiquavers"),
    6: ("6/8", "semiquavers"),
    8: ("4/4", "semiquavers"),
    9: ("3/4", "triplets"),
    12: ("6/8", "semiquavers"),
}
"""A metre and a rhythm in which a bar holds a formula of so many strokes."""
SCALES = (
    "kind: scale, scale: major, tonics: [C3], octaves: 2",
    "kind: scale, scale: harmonic minor, tonics: [E2], octaves: 2",
)
BOOK = "title: T\nchapters:\n  - title: C\n    exercises:\n      - {{id: x, {entry}}}\n"


def formulas(wanted):
    """The formulas of high certainty of one use: an arpeggio, a tremolo or an alternation."""
    if not FORMULAS.exists():
        return []
    rows = [row for row in json.loads(FORMULAS.read_text("utf-8")) if row["certainty"] == "high"]
    uses = {"tremolo": "tremolo", "scale alternation": "alternation"}
    found = [row for row in rows if uses.get(row["name"].partition(",")[0], "arpeggio") == wanted]
    return [
        pytest.param(tuple(row["sequence"]), id=f"{place} {' '.join(row['sequence'])}")
        for place, row in enumerate(found)
    ]


def strokes(folder, entry):
    """By bar, the strokes of the engraved score in order of time: the (letter, string) pairs that begin together."""
    (draft,) = draft_text(folder, BOOK.format(entry=entry))
    bars = []
    for measure in draft.score.measures:
        starts = defaultdict(list)
        for voice in measure.voices:
            for element in voice.elements:
                starts[element.onset_quarters] += [
                    (n.plucking.value, n.string) for n in element.notes if not n.tie_stop
                ]
        bars.append([sorted(starts[onset], key=lambda pair: -pair[1]) for onset in sorted(starts) if starts[onset]])
    return bars


def test_every_formula_of_high_certainty_is_tried():
    """Thirty-one formulas in three uses."""
    assert sum(len(formulas(use)) for use in ("arpeggio", "tremolo", "alternation")) == 31


@pytest.mark.parametrize("chords", PROGRESSIONS, ids="-".join)
@pytest.mark.parametrize("sequence", formulas("arpeggio"))
def test_every_letter_falls_on_the_string_the_formula_means(tmp_path, sequence, chords):
    """Thumb on the basses, first of all on the chord's own, i m a on strings 3 2 1, over each chord of the row."""
    metre, rhythm = BARS[len(sequence)]
    steps = ", ".join(f"[{', '.join(step)}]" for step in sequence)
    entry = (
        f"kind: right hand, metre: {metre}, rhythm: {rhythm}, progression: [{', '.join(chords)}], "
        f"closing_chord: false, right_hand: {{formula: [{steps}]}}"
    )
    bars = strokes(tmp_path, entry)
    assert len(bars) == len(chords)
    for chord, bar in zip(chords, bars, strict=True):
        assert ["".join(letter for letter, _ in stroke) for stroke in bar] == list(islice(cycle(sequence), len(bar)))
        assert len(bar) % len(sequence) == 0
        pairs = [pair for stroke in bar for pair in stroke]
        assert all(string == HOMES[letter] for letter, string in pairs if letter != "p")
        thumbs = [string for letter, string in pairs if letter == "p"]
        assert thumbs[0] == BASSES[chord]
        assert min(thumbs) > HOMES["i"]


@pytest.mark.parametrize("chords", PROGRESSIONS, ids="-".join)
@pytest.mark.parametrize("sequence", formulas("tremolo"))
def test_tremolo_keeps_the_fingers_on_one_string_and_the_thumb_below(tmp_path, sequence, chords):
    """All fingers repeat string 1, the thumb walks lower ones and begins on the bass. Source: common practice."""
    entry = f"kind: tremolo, formula: [{', '.join(sequence)}], progression: [{', '.join(chords)}], closing_chord: false"
    for chord, bar in zip(chords, strokes(tmp_path, entry), strict=True):
        letters = [letter for ((letter, _),) in bar]
        assert letters == list(islice(cycle(sequence), len(bar)))
        assert {string for ((letter, string),) in bar if letter != "p"} == {1}
        thumbs = [string for ((letter, string),) in bar if letter == "p"]
        assert thumbs[0] == BASSES[chord]
        assert min(thumbs) > 1


@pytest.mark.parametrize("scale", SCALES, ids=("C major", "E minor"))
@pytest.mark.parametrize("sequence", formulas("alternation"))
def test_alternation_goes_through_the_scale_without_a_break(tmp_path, sequence, scale):
    """The fingers take turns from the first note to the last, up, round the turn and down."""
    entry = f"{scale}, right_hand: {{alternate: [{', '.join(sequence)}], start: {sequence[0]}}}"
    letters = [letter for bar in strokes(tmp_path, entry) for ((letter, _),) in bar]
    assert len(letters) == 29
    assert letters == list(islice(cycle(sequence), len(letters)))
