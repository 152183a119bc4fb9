"""Why the fretting hand plays as it does: one line in the book's language, from the shifts of the chosen fingering."""

from engraver.fingering.fingered import FingeredPassage
from engraver.fingering.shifts import SHIFT_FRETS, Shift, is_single_line, positions_of, shifts_by_way
from engraver.fretboard.numerals import position_numeral
from engraver.tables.words import Words

MOST_SHIFTS_TOLD = 3
"""More shifts than these are counted and not told one by one (chosen by us)."""


def hand_reason(fingered: FingeredPassage, words: Words) -> str:
    """`no shift, position II`, `one shift, II-V on string 3 after finger 4`, and what was done for the plucking hand.

    Empty where nothing was chosen: the exercise demands every place itself, or all strings are open.
    """
    if not positions_of(fingered) or all(note.string or note.finger is not None for note in fingered.passage.notes):
        return ""
    parts = (_way(fingered, words), _together(fingered, words))
    return "; ".join(part for part in parts if part)


def _way(fingered: FingeredPassage, words: Words) -> str:
    """The shifts there and, where they differ, back."""
    there, back = shifts_by_way(fingered)
    if not there and not back:
        return _stays(fingered, words)
    if len(there) > MOST_SHIFTS_TOLD or len(back) > MOST_SHIFTS_TOLD or not is_single_line(fingered):
        return _counted((*there, *back), words)
    way = _told(there, words) if there else _stays_at_first(fingered, words)
    return words.fingering.back.format(there=way, back=_told(back, words)) if back else way


def _stays_at_first(fingered: FingeredPassage, words: Words) -> str:
    """The way there when only the way back shifts: the position in which the hand starts."""
    return _in_position(next(note.position for note in fingered.notes if note.left_finger > 0), words)


def _stays(fingered: FingeredPassage, words: Words) -> str:
    positions = positions_of(fingered)
    if len(positions) == 1:
        return _in_position(positions[0], words)
    pattern = words.fingering.opening if positions[-1] - positions[0] < SHIFT_FRETS else words.fingering.stepwise
    return pattern.format(positions=_move(positions[0], positions[-1], words))


def _in_position(position: int, words: Words) -> str:
    named = words.titles.position.format(position=position_numeral(position))
    return words.fingering.no_shift.format(position=named)


def _told(shifts: tuple[Shift, ...], words: Words) -> str:
    listed = words.listing(tuple(_shift(shift, words) for shift in shifts))
    if len(shifts) == 1:
        return words.fingering.one_shift.format(shifts=listed)
    return words.fingering.shifts.format(count=words.number(len(shifts)), shifts=listed)


def _counted(shifts: tuple[Shift, ...], words: Words) -> str:
    reached = [position for shift in shifts for position in shift.positions]
    if len(shifts) == 1:
        return words.fingering.one_shift.format(shifts=_move(*shifts[0].positions, words))
    return words.fingering.many_shifts.format(
        count=words.number(len(shifts)),
        lowest=position_numeral(min(reached)),
        highest=position_numeral(max(reached)),
    )


def _shift(shift: Shift, words: Words) -> str:
    """One shift: where, and after which finger."""
    before, after, positions = shift.before, shift.after, _move(*shift.positions, words)
    if shift.over_open:
        return words.fingering.over_open.format(positions=positions)
    pattern = words.fingering.on_string if before.string == after.string else words.fingering.across
    return pattern.format(positions=positions, string=before.string, other=after.string, finger=before.left_finger)


def _move(one: int, other: int, words: Words) -> str:
    """`II-V`, with the dash of the language."""
    return words.language.range.format(first=position_numeral(one), last=position_numeral(other))


def _together(fingered: FingeredPassage, words: Words) -> str:
    """What one hand did for the other."""
    done = fingered.together
    if done is None:
        return ""
    pattern = words.fingering.slurred if done.slurred else words.fingering.other_hand
    return pattern.format(after=done.after, before=done.before)
