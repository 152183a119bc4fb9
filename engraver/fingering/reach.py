"""How far the fretting fingers open while one position holds, and what the player's hand reaches."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, pairwise

from engraver.fingering.fingered import FingeredNote, FingeredPassage
from engraver.fretboard.hand import pair_reach_mm
from engraver.fretboard.neck import span_mm
from engraver.fretboard.tuning import Instrument, Player


@dataclass(frozen=True, slots=True)
class Stretch:
    """Two fingers on two frets: how far apart, how far they reach, and at which note (from 0).

    `together` is True for fingers held at once, False for those of neighbouring notes in one position.
    """

    lower: int
    upper: int
    frets: tuple[int, int]
    span_mm: float
    reach_mm: float
    index: int
    together: bool

    @property
    def share(self) -> float:
        """The span as a share of the reach; above 1 only between notes that are not held at once."""
        return self.span_mm / self.reach_mm


def stretches(fingered: FingeredPassage, instrument: Instrument, player: Player) -> tuple[Stretch, ...]:
    """The stretches of a passage, the tightest first; one entry for each pair of places."""
    found: dict[tuple[int, int, tuple[int, int], bool], Stretch] = {}
    for one, other, index, together in _pairs(fingered):
        lower, upper = (one, other) if one.left_finger <= other.left_finger else (other, one)
        if not 0 < lower.left_finger < upper.left_finger or upper.fret <= lower.fret:
            continue
        key = (lower.left_finger, upper.left_finger, (lower.fret, upper.fret), together)
        if key not in found:
            span = span_mm(instrument, lower.fret, upper.fret)
            reach = pair_reach_mm(player, lower.left_finger, upper.left_finger)
            found[key] = Stretch(*key[:3], span, reach, index, together)
    return tuple(sorted(found.values(), key=lambda stretch: -stretch.share))


def tightest(fingered: FingeredPassage, instrument: Instrument, player: Player) -> Stretch | None:
    """The stretch of fingers held at once that comes nearest to the reach, or None where none is held.

    Where written lengths ask for more than the reach, the hand has let a note go, and no finger is stretched.
    """
    found = stretches(fingered, instrument, player)
    return next((each for each in found if each.together and each.share <= 1), None)


def _pairs(fingered: FingeredPassage) -> Iterator[tuple[FingeredNote, FingeredNote, int, bool]]:
    """Notes that sound together, and neighbours of one position; with the later one's place."""
    notes = fingered.notes
    ends = [note.note.end_quarters for note in notes]
    down: dict[int, int] = {}  # the latest note of each string whose finger may still be down
    for event in fingered.passage.events:
        now = notes[event[0]].note.onset_quarters
        down = {string: index for string, index in down.items() if ends[index] > now}
        for one, other in combinations(sorted({*down.values(), *event}), 2):
            yield notes[one], notes[other], max(one, other), True
        down |= {notes[index].string: index for index in event}
    for index, (before, after) in enumerate(pairwise(notes), 1):
        if before.position == after.position and before.note.onset_quarters < after.note.onset_quarters:
            yield before, after, index, False
