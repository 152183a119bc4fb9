"""Where the fretting hand shifts, and where it stays: what the reasons and the explanations tell of a fingering."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from engraver.fingering.fingered import FingeredNote, FingeredPassage

SHIFT_FRETS = 2
"""From this many frets a move of the hand is a shift; one fret is an extension. Source: tables/fingering_costs.yaml."""


@dataclass(frozen=True, slots=True)
class Shift:
    """A change of position between two stopped notes.

    `index` is the note that is reached (counted from 0); `over_open` says that an open string sounds meanwhile.
    """

    before: FingeredNote
    after: FingeredNote
    index: int
    over_open: bool

    @property
    def positions(self) -> tuple[int, int]:
        """From which position to which."""
        return self.before.position, self.after.position

    @property
    def backwards(self) -> tuple[int, int]:
        """The same the other way round."""
        return self.after.position, self.before.position


def shifts_of(fingered: FingeredPassage) -> tuple[Shift, ...]:
    """Every shift of the passage in order; an open note has no position and hides none."""
    return tuple(shift for shift in _moves(fingered) if abs(shift.positions[0] - shift.positions[1]) >= SHIFT_FRETS)


def shifts_by_way(fingered: FingeredPassage) -> tuple[tuple[Shift, ...], tuple[Shift, ...]]:
    """The shifts up to the turning note, and those after it where they are not the same ones undone.

    Without a turn all shifts are of the first part.
    """
    shifts, turn = shifts_of(fingered), fingered.passage.turn
    there = tuple(shift for shift in shifts if turn is None or shift.index <= turn)
    back = shifts[len(there) :]
    undone = [shift.backwards for shift in reversed(there)]
    return there, () if undone == [shift.positions for shift in back] else back


def positions_of(fingered: FingeredPassage) -> tuple[int, ...]:
    """The positions the hand takes, from the lowest; none when all strings are open."""
    return tuple(sorted({note.position for note in fingered.notes if note.left_finger > 0}))


def is_single_line(fingered: FingeredPassage) -> bool:
    """True when no two notes begin together."""
    return len(fingered.passage.events) == len(fingered.notes)


def _moves(fingered: FingeredPassage) -> Iterator[Shift]:
    """Neighbouring stopped notes, of those that begin together the first."""
    stopped = [
        next((index for index in event if fingered.notes[index].left_finger > 0), None)
        for event in fingered.passage.events
    ]
    places = [(number, index) for number, index in enumerate(stopped) if index is not None]
    for (number, index), (later, other) in pairwise(places):
        yield Shift(fingered.notes[index], fingered.notes[other], other, later - number > 1)
