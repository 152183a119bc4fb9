"""Small scores made by hand for the tests of the writers; every line of notes is written out in the tests.

A note is written ``B2 5.2 1 i``: pitch, string.fret, fretting finger, plucking letter (``-`` for none). Simultaneous
notes are joined by ``+``; ``r`` is a rest. Marks after the letter: ``(`` and ``)`` slur, ``~`` tie to the next,
``^4`` position numeral, ``?`` cautionary accidental, ``!`` the reversal mark.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction

from engraver.fretboard.tuning import Tuning
from engraver.score.model import Barline, Beam, Element, Measure, Notation, NoteValue, Score, ScoreNote, Voice
from engraver.theory.passage import PluckingFinger
from engraver.theory.pitch import SpelledPitch
from engraver.theory.rhythm import Metre

STANDARD = Tuning("standard", tuple(SpelledPitch.parse(name) for name in ("E4", "B3", "G3", "D3", "A2", "E2")))
CROTCHET, QUAVER, SEMIQUAVER, MINIM = NoteValue(4), NoteValue(8), NoteValue(16), NoteValue(2)
TRIPLET_QUAVER, SEXTUPLET = NoteValue(8, 0, 3, 2), NoteValue(16, 0, 6, 4)
COMMON = Metre(4, 4)
_FILL = (MINIM, CROTCHET, QUAVER, SEMIQUAVER)


def score_note(text: str) -> tuple[ScoreNote, dict[str, object]]:
    """One note of the little notation, and the marks that belong to its element."""
    name, place, finger, letter, *marks = text.split()
    string, fret = place.split(".")
    note = ScoreNote(
        pitch=SpelledPitch.parse(name),
        string=int(string),
        fret=int(fret),
        left_finger=int(finger),
        plucking=None if letter == "-" else PluckingFinger(letter),
        show_finger=True,
        show_plucking=letter != "-",
        cautionary="?" in marks,
        tie_start="~" in marks,
        slur_start="(" in marks,
        slur_stop=")" in marks,
    )
    position = next((int(mark[1:]) for mark in marks if mark.startswith("^")), None)
    return note, {"position": position, "reversal": "!" in marks}


def element(text: str, onset: Fraction, value: NoteValue) -> Element:
    """A rest, a note or a chord of the little notation."""
    if text.strip() == "r":
        return Element(onset, value)
    parsed = [score_note(part) for part in text.split("+")]
    position = next((marks["position"] for _, marks in parsed if marks["position"]), None)
    return Element(
        onset,
        value,
        tuple(note for note, _ in parsed),
        position=position,  # type: ignore[arg-type]
        reversal=any(marks["reversal"] for _, marks in parsed),
    )


def voice_elements(lines: Sequence[str], values: Iterable[NoteValue], measure: Fraction) -> tuple[Element, ...]:
    """The elements of one voice in a row, with rests to fill the last measure."""
    onset, out = Fraction(0), []
    for text, value in zip(lines, values, strict=False):
        out.append(element(text, onset, value))
        onset += value.quarters
    while onset % measure:
        value = next(v for v in _FILL if v.quarters <= measure - onset % measure)
        out.append(Element(onset, value))
        onset += value.quarters
    return tuple(out)


def beamed(elements: Sequence[Element], beat: Fraction) -> tuple[Element, ...]:
    """The elements with beams and tuplets closed in each stretch of `beat` quarters."""
    out = list(elements)
    short = [e.value.base >= 8 and not e.is_rest for e in out]
    for index, item in enumerate(out):
        here = item.onset_quarters // beat
        before = index > 0 and out[index - 1].onset_quarters // beat == here
        after = index + 1 < len(out) and out[index + 1].onset_quarters // beat == here
        joined_before, joined_after = before and short[index] and short[index - 1], after and short[index]
        joined_after = joined_after and short[index + 1]
        beam = {(False, True): Beam.BEGIN, (True, True): Beam.CONTINUE, (True, False): Beam.END}
        tuplet = item.value.actual > 1
        out[index] = replace(
            item,
            beam=beam.get((joined_before, joined_after), Beam.NONE),
            tuplet_start=tuplet and not before,
            tuplet_stop=tuplet and not after,
        )
    return tuple(out)


def with_string_changes(elements: Sequence[Element]) -> tuple[Element, ...]:
    """The elements with a circle at each change of string and a line to the last note on it (single notes only)."""
    out = list(elements)
    runs: list[list[int]] = []
    for index, item in enumerate(out):
        if len(item.notes) != 1:
            continue
        if runs and out[runs[-1][-1]].notes[0].string == item.notes[0].string and runs[-1][-1] == index - 1:
            runs[-1].append(index)
        else:
            runs.append([index])
    for run in runs:
        first = out[run[0]]
        shown = (replace(first.notes[0], show_string=True),)
        out[run[0]] = replace(first, notes=shown, string_line_end=out[run[-1]].onset_quarters)
    return tuple(out)


def _signature(fifths: int) -> dict[str, int]:
    order = "FCGDAEB" if fifths > 0 else "BEADGCF"
    return dict.fromkeys(order[: abs(fifths)], 1 if fifths > 0 else -1)


def with_accidentals(elements: Sequence[Element], fifths: int) -> tuple[Element, ...]:
    """The elements of one measure with a sign wherever a note differs from the last of its line, or from the key."""
    known: dict[int, int] = {}
    key, out = _signature(fifths), []
    for item in elements:
        notes = []
        for note in item.notes:
            name, line = note.pitch.name, note.pitch.letter_index
            notes.append(replace(note, accidental=known.get(line, key.get(name.letter, 0)) != name.alter))
            known[line] = name.alter
        out.append(replace(item, notes=tuple(notes)))
    return tuple(out)


def score(
    *voices: Sequence[Element],
    fifths: int = 0,
    metre: Metre = COMMON,
    notation: Notation = Notation.BOTH,
    repeated: bool = False,
) -> Score:
    """The voices cut into measures; the last measure is final, or closes the repeat."""
    length = metre.bar_quarters
    count = max(int(voice[-1].onset_quarters // length) for voice in voices) + 1
    measures = []
    for index in range(count):
        parts = [tuple(e for e in voice if e.onset_quarters // length == index) for voice in voices]
        kept = tuple(
            Voice(number, with_accidentals(part, fifths)) for number, part in enumerate(parts, start=1) if part
        )
        last = Barline.REPEAT_END if repeated else Barline.FINAL
        barline = last if index == count - 1 else Barline.PLAIN
        measures.append(Measure(index + 1, kept, barline, repeat_start=repeated and index == 0))
    return Score(tuple(measures), fifths, metre, STANDARD, notation=notation)


def line_score(
    lines: Sequence[str],
    value: NoteValue = QUAVER,
    *,
    beat: Fraction = Fraction(1),
    fifths: int = 0,
    metre: Metre = COMMON,
    notation: Notation = Notation.BOTH,
    repeated: bool = False,
) -> Score:
    """A single line in equal values, with string circles at each change."""
    elements = voice_elements(lines, [value] * len(lines), metre.bar_quarters)
    marked = with_string_changes(beamed(elements, beat))
    return score(marked, fifths=fifths, metre=metre, notation=notation, repeated=repeated)
