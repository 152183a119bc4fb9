"""The straight rows of marks over and under the staves: numerals and barres, circles, nodes, digits, letters.

Each row is a line of its own, so that marks of one kind stand at one height whatever the notes do (chosen by us; a
fixed row for the plucking letters is common practice).
"""

from collections import defaultdict
from collections.abc import Callable, Mapping
from itertools import pairwise
from types import MappingProxyType

from engraver.fretboard.numerals import position_numeral
from engraver.outputs.engraving_table import engraving_table
from engraver.outputs.lilypond_timeline import Moment, Timeline
from engraver.score.model import BarreSign, ScoreNote
from engraver.score.signs import has_string_line
from engraver.theory.passage import PluckingFinger

_NOTHING: Mapping[int, str] = MappingProxyType({})


def quoted(text: str) -> str:
    """A LilyPond string literal: only the backslash and the quotation mark need care.

    Source: LilyPond learning manual 2.24, "How LilyPond input files work"; tried against hostile strings.
    """
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def hand_row(time: Timeline) -> tuple[str, ...]:
    """Where the hand is: position numerals and the signs of barres with their lines, a text for each measure.

    A barre's line ends at the last note under it; a hinge has a dashed one. None is drawn to a sign over the next note.
    Empty when the score prints neither.
    """
    row: dict[int, str] = {}
    lines: list[tuple[int, int, BarreSign]] = []
    wide = set()
    for moment in time.moments:
        barre = next((element.barre for element in moment.elements if element.barre is not None), None)
        shown = [element.position for element in moment.elements if element.position is not None]
        if (barre is not None or shown) and lines:
            lines[-1] = (lines[-1][0], min(lines[-1][1], moment.tick), lines[-1][2])
        if barre is not None:
            row[moment.tick] = barre_markup(barre)
            lines.append((moment.tick, time.tick(barre.until_quarters), barre))
            wide |= {moment.tick} if _has_second(moment) else set()
        elif shown:
            row[moment.tick] = f"\\numeral {quoted(position_numeral(shown[0]))}"
    spans: dict[int, str] = defaultdict(str)
    ticks = {moment.tick for moment in time.moments}
    for start, end, barre in lines:
        crowded = end in row and not any(start < tick < end for tick in ticks)
        if end > start and not crowded:
            spans[start] += _barre_line(barre, start in wide)
            spans[end] += "\\stopTextSpan"
    return laid_out(time, row, spans)


def barre_markup(barre: BarreSign) -> str:
    """The sign of a barre: letter, share of the strings when not all, Roman fret."""
    return f"\\barre {quoted(barre.letter)} {quoted(barre.fraction)} {quoted(position_numeral(barre.fret))}"


def _has_second(moment: Moment) -> bool:
    """True where two heads lie a staff step apart or less, so that one stands beside the other's column."""
    heights = sorted(note.pitch.letter_index for note in moment.notes)
    return any(upper - lower < 2 for lower, upper in pairwise(heights))


def _barre_line(barre: BarreSign, beside_second: bool) -> str:
    """The beginning of a barre's line, past its sign, which stands over the middle of the heads.

    The line is measured from the first column of heads, the sign is centred over all of them.
    """
    look = engraving_table().look
    numeral = sum(look.barre_letters_sp[letter] for letter in position_numeral(barre.fret))
    width = look.barre_letters_sp[barre.letter] + numeral + (look.barre_fraction_sp if barre.fraction else 0.0)
    command = "hingeLine" if barre.hinge else "barreLine"
    gap = width / 2 + look.barre_gap_sp + (look.second_sp if beside_second else 0.0)
    return f"\\{command} #{gap:.2f} \\markup {barre_markup(barre)}"


def string_row(time: Timeline) -> tuple[str, ...]:
    """The string circles with their dashed lines, a text for each measure; empty when the score prints none.

    A line ends where the next circle stands, even if its string holds longer in another voice; on a new system it
    begins with its circle again.
    """
    row: dict[int, str] = {}
    lines: list[tuple[int, int]] = []
    wide = set()
    for moment in time.moments:
        shown = sorted({note.string for note in moment.notes if note.show_string})
        if not shown:
            continue
        row[moment.tick] = _stack([f"\\ring {quoted(str(string))}" for string in shown])
        if lines:
            lines[-1] = (lines[-1][0], min(lines[-1][1], moment.tick))
        lines.append((moment.tick, _line_end(moment, time)))
        wide |= {moment.tick} if any(note.harmonic for note in moment.notes) else set()
    spans: dict[int, str] = defaultdict(str)
    for start, end in lines:
        if end > start:
            command = "nodeLine" if start in wide else "stringLine"
            spans[start] += f"\\{command} \\markup {row[start]}"
            spans[end] += "\\stopTextSpan"
    return laid_out(time, row, spans)


def node_row(time: Timeline) -> tuple[str, ...]:
    """The numbers of the frets over which harmonics are touched, a text for each measure; empty without harmonics."""
    row = {}
    for moment in time.moments:
        signs = [note.harmonic for note in moment.notes if note.harmonic and note.harmonic.show_place]
        if places := list(dict.fromkeys(sign.numeral for sign in signs)):
            row[moment.tick] = _stack([f"\\node {quoted(place)}" for place in places])
    return laid_out(time, row, {})


def finger_row(time: Timeline) -> tuple[str, ...]:
    """The fretting digits over a tablature that stands alone, highest note on top."""
    row = {}
    for moment in time.moments:
        if fingers := _by_height(moment, _digit):
            row[moment.tick] = _stack(fingers)
    return laid_out(time, row, {})


def _digit(note: ScoreNote) -> str | None:
    if not note.show_finger:
        return None
    return f"\\{'guidedDigit' if note.guide else 'digit'} {quoted(str(note.left_finger))}"


def letter_row(time: Timeline, little_finger_letter: str) -> tuple[str, ...]:
    """The plucking letters, the higher note's on top, and under them the reversal mark and the planted fingers."""

    def letter(note: ScoreNote) -> str | None:
        if not note.show_plucking or note.plucking is None:
            return None
        return _letter(note.plucking, little_finger_letter)

    row = {}
    for moment in time.moments:
        small = [shown for e in moment.elements for g in e.graces for note in g.notes if (shown := letter(note))]
        parts = [f"\\letter {quoted(shown)}" for shown in (*small, *_by_height(moment, letter))]
        if any(element.reversal for element in moment.elements):
            parts.append("\\reversal")
        if planted := next((element.planted for element in moment.elements if element.planted), ()):
            shown = "".join(_letter(finger, little_finger_letter) for finger in planted)
            parts = parts or [f"\\transparent \\letter {quoted(PluckingFinger.THUMB.value)}"]
            parts.append(f"\\planted {quoted(shown)}")
        if parts:
            row[moment.tick] = _stack(parts, "letterStack")
    return laid_out(time, row, {})


def _letter(finger: PluckingFinger, little_finger_letter: str) -> str:
    return little_finger_letter if finger is PluckingFinger.LITTLE else finger.value


def _line_end(moment: Moment, time: Timeline) -> int:
    ends = [e.string_line_end for e in moment.elements if has_string_line(e) and e.string_line_end is not None]
    return time.tick(max(ends)) if ends else moment.tick


def _stack(parts: list[str], command: str = "stack") -> str:
    return parts[0] if len(parts) == 1 else f"\\{command} {{ {' '.join(parts)} }}"


def _by_height(moment: Moment, mark: Callable[[ScoreNote], str | None]) -> list[str]:
    """What `mark` gives for each note, from the highest note to the lowest, without the unmarked ones."""
    marked = [(note, found) for note in moment.notes if (found := mark(note)) is not None]
    if len(marked) > 1:
        marked.sort(key=lambda pair: -pair[0].pitch.sounding_midi)
    return [found for _, found in marked]


def laid_out(
    time: Timeline, row: Mapping[int, str], spans: Mapping[int, str], before: Mapping[int, str] = _NOTHING
) -> tuple[str, ...]:
    """The row as one line of text a measure; each mark lasts to the next one, blanks between them.

    `before` is what stands before a mark, `spans` what begins or ends with it.
    """
    if not row and not spans:
        return ()
    ticks = sorted({*row, *spans})
    lines, index = [], 0
    for start, end in zip(time.bounds, time.bounds[1:], strict=False):
        parts = []
        if index == len(ticks) or ticks[index] > start:
            parts.append(f"\\skip {time.length(min(ticks[index] if index < len(ticks) else end, end) - start)}")
        while index < len(ticks) and ticks[index] < end:
            tick, index = ticks[index], index + 1
            until = min(ticks[index] if index < len(ticks) else end, end)
            mark = f"{before.get(tick, '')}\\markup {row[tick]} " if tick in row else '""'
            parts.append(f"{mark}{time.length(until - tick)}{spans.get(tick, '')}")
        lines.append(" ".join(parts))
    return tuple(lines)
