"""Sequences: a pattern carried step by step through a scale, up and mirrored down."""

from functools import cache

from engraver.errors import OutOfRange, SpellingError
from engraver.exercises.lines import directed, line_passage
from engraver.exercises.register import register
from engraver.exercises.steps import Ladder, ladder, steps_in
from engraver.fretboard.tuning import Instrument
from engraver.spec.technique import SequenceSpec
from engraver.tables import Table, read_table
from engraver.theory.passage import Passage
from engraver.theory.pitch import SpelledPitch
from engraver.theory.scale import scale


class SequenceTable(Table):
    """The named patterns, as steps of the scale."""

    sequences: dict[str, tuple[int, ...]]


@cache
def sequence_names() -> tuple[str, ...]:
    """The names of the patterns, in the table's order."""
    return tuple(read_table("sequences", SequenceTable).sequences)


def compose_sequence(spec: SequenceSpec, instrument: Instrument) -> Passage:
    """The pattern on every step from the tonic to the tonic at the top, closing on the tonic; then mirrored down.

    Raises SpellingError for a tonic without a printable signature, OutOfRange when the neck is too short.
    """
    tonic, form = spec.tonics[0], scale(spec.scale, spec.tonics[0].name)
    span = register(tonic.name, tonic.octave, spec.octaves, instrument, spec.left_hand.limits())
    pattern = _pattern(spec)
    top = steps_in(form, spec.octaves)
    if max(pattern) - min(pattern) > top:
        raise SpellingError(
            f"the pattern spans {max(pattern) - min(pattern)} steps, the line only {top}", hint="write more octaves"
        )
    up = _carried(ladder(form, span.lowest, instrument), pattern, 0, top, 1)
    down = _carried(ladder(form, span.lowest, instrument, descending=True), pattern, top, 0, -1)
    pitches, turn = directed(up, down, spec.direction)
    return line_passage(pitches, spec, form.key_fifths, turn)


def _pattern(spec: SequenceSpec) -> tuple[int, ...]:
    if isinstance(spec.pattern, str):
        return read_table("sequences", SequenceTable).sequences[spec.pattern]
    return spec.pattern


def _carried(steps: Ladder, pattern: tuple[int, ...], start: int, end: int, way: int) -> tuple[SpelledPitch, ...]:
    """The pattern on each step from `start` as long as it stays within the line, closed by the note at `end`."""
    low, high = min(start, end), max(start, end)
    found: list[SpelledPitch] = []
    step = start - way * min(pattern)
    while all(low <= step + way * offset <= high for offset in pattern):
        found += [_at(steps, step + way * offset) for offset in pattern]
        step += way
    closing = _at(steps, end)
    return tuple(found) if found and found[-1] == closing else (*found, closing)


def _at(steps: Ladder, step: int) -> SpelledPitch:
    pitch = steps.at(step)
    if pitch is None:
        raise OutOfRange("the pattern leaves the instrument", hint="write fewer octaves")
    return pitch
