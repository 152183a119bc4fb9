"""The straight rows of marks over and under the staves: position numerals, string circles, digits, plucking letters.

Each row is a line of its own, so that marks of one kind stand at one height whatever the notes do (chosen by us; a
fixed row for the plucking letters is common practice).
"""

from collections import defaultdict
from collections.abc import Callable, Iterator
from fractions import Fraction

from engraver.outputs.lilypond_notes import length_text, measure_length
from engraver.score.model import Element, Score
from engraver.score.signs import has_string_line
from engraver.theory.passage import PluckingFinger

_Row = dict[Fraction, str]
_ROMAN = ((10, "X"), (9, "IX"), (5, "V"), (4, "IV"), (1, "I"))


def roman(number: int) -> str:
    """A position numeral: 4 gives IV."""
    out = ""
    for value, letters in _ROMAN:
        count, number = divmod(number, value)
        out += letters * count
    return out


def quoted(text: str) -> str:
    r"""A LilyPond string literal. Raises nothing: only backslash and quote need care.

    Source: LilyPond notation reference 2.24, "Input files"; tried against hostile strings.
    """
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def position_row(score: Score) -> tuple[str, ...]:
    """The position numerals, a text for each measure; empty when the score prints none."""
    row = {e.onset_quarters: f"\\numeral {quoted(roman(e.position))}" for e in score.elements if e.position is not None}
    return _laid_out(score, row, {})


def string_row(score: Score) -> tuple[str, ...]:
    """The string circles with their dashed lines, a text for each measure; empty when the score prints none.

    A line ends where the next circle stands, even if its string holds longer in another voice.
    """
    row: _Row = {}
    lines: list[tuple[Fraction, Fraction]] = []
    for onset, elements in together(score):
        shown = sorted({note.string for e in elements for note in e.notes if note.show_string})
        if not shown:
            continue
        row[onset] = _stack([f"\\ring {quoted(str(string))}" for string in shown])
        if lines:
            lines[-1] = (lines[-1][0], min(lines[-1][1], onset))
        lines.append((onset, max((e.string_line_end or onset for e in elements if has_string_line(e)), default=onset)))
    spans: dict[Fraction, str] = defaultdict(str)
    for start, end in lines:
        if end > start:
            spans[start] += "\\startTextSpan"
            spans[end] += "\\stopTextSpan"
    return _laid_out(score, row, spans)


def finger_row(score: Score) -> tuple[str, ...]:
    """The fretting digits over a tablature that stands alone, highest note on top."""
    row = {
        onset: _stack([f"\\digit {quoted(str(f))}" for f in fingers])
        for onset, elements in together(score)
        if (fingers := _by_height(elements, lambda note: note.left_finger if note.show_finger else None))
    }
    return _laid_out(score, row, {})


def letter_row(score: Score, little_finger_letter: str) -> tuple[str, ...]:
    """The plucking letters, the higher note's on top, and under them the reversal mark."""
    row: _Row = {}
    for onset, elements in together(score):
        shown = _by_height(elements, lambda note: note.plucking if note.show_plucking else None)
        letters = [little_finger_letter if f is PluckingFinger.LITTLE else str(f) for f in shown]
        parts = [f"\\letter {quoted(letter)}" for letter in letters]
        if any(e.reversal for e in elements):
            parts.append("\\reversal")
        if parts:
            row[onset] = _stack(parts)
    return _laid_out(score, row, {})


def _stack(parts: list[str]) -> str:
    return parts[0] if len(parts) == 1 else f"\\stack {{ {' '.join(parts)} }}"


def together(score: Score) -> Iterator[tuple[Fraction, list[Element]]]:
    """The elements that start together, in order of time."""
    groups: dict[Fraction, list[Element]] = defaultdict(list)
    for element in score.elements:
        groups[element.onset_quarters].append(element)
    yield from sorted(groups.items())


def _by_height(elements: list[Element], mark: Callable[..., object]) -> list[object]:
    """What `mark` gives for each note, from the highest note to the lowest, without the unmarked ones."""
    notes = sorted((n for e in elements for n in e.notes), key=lambda n: -n.pitch.sounding_midi)
    return [found for note in notes if (found := mark(note)) is not None]


def _laid_out(score: Score, row: _Row, spans: dict[Fraction, str]) -> tuple[str, ...]:
    """The row as one line of text a measure; each mark lasts to the next one, blanks between them."""
    if not row:
        return ()
    onsets = sorted(set(row) | set(spans))
    lines, start, index = [], score.measures[0].voices[0].elements[0].onset_quarters, 0
    for measure in score.measures:
        end = start + measure_length(measure)
        parts, at = [], start
        while index < len(onsets) and onsets[index] < end:
            onset = onsets[index]
            index += 1
            if onset > at and not parts:
                parts.append(_blank(onset - at))
            until = min(onsets[index] if index < len(onsets) else end, end)
            parts.append(_event(row.get(onset), until - onset) + spans.get(onset, ""))
            at = until
        if not parts:
            parts.append(_blank(end - start))
        lines.append(" ".join(parts))
        start = end
    return tuple(lines)


def _blank(quarters: Fraction) -> str:
    return f"\\skip {length_text(quarters)}"


def _event(mark: str | None, quarters: Fraction) -> str:
    return f"\\markup {mark} {length_text(quarters)}" if mark else f'""{length_text(quarters)}'
