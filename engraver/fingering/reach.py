"""How far the fretting fingers open while one position holds, and what the player's hand reaches."""

from collections.abc import Callable, Iterator
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


Opened = Callable[[FingeredNote, FingeredNote, int, bool], Stretch | None]


def stretches(fingered: FingeredPassage, instrument: Instrument, player: Player) -> tuple[Stretch, ...]:
    """The stretches of a passage, the tightest first; one entry for each pair of places."""

    def opened(one: FingeredNote, other: FingeredNote, index: int, together: bool) -> Stretch | None:
        lower, upper = (one, other) if one.left_finger <= other.left_finger else (other, one)
        if not 0 < lower.left_finger < upper.left_finger or upper.fret <= lower.fret:
            return None
        span = span_mm(instrument, lower.fret, upper.fret)
        reach = pair_reach_mm(player, lower.left_finger, upper.left_finger)
        places = (lower.left_finger, upper.left_finger, (lower.fret, upper.fret))
        return Stretch(*places, span, reach, index, together)

    found: dict[tuple[int, int, tuple[int, int], bool], Stretch] = {}
    for each in (*_held_together(fingered, opened), *_one_after_the_other(fingered, opened)):
        found.setdefault((each.lower, each.upper, each.frets, each.together), each)
    return tuple(sorted(found.values(), key=lambda stretch: -stretch.share))


def tightest(fingered: FingeredPassage, instrument: Instrument, player: Player) -> Stretch | None:
    """The stretch of fingers held at once that comes nearest to the reach, or None where none is held."""
    return next((each for each in stretches(fingered, instrument, player) if each.together), None)


def _held_together(fingered: FingeredPassage, opened: Opened) -> Iterator[Stretch]:
    """Notes that sound together; a note that no hand could hold any longer has been let go."""
    notes = fingered.notes
    ends = [note.note.end_quarters for note in notes]
    down: dict[int, int] = {}  # the latest note of each string whose finger may still be down
    for event in fingered.passage.events:
        now = notes[event[0]].note.onset_quarters
        down = {string: index for string, index in down.items() if ends[index] > now}
        for one, other in combinations(sorted({*down.values(), *event}), 2):
            stretch = opened(notes[one], notes[other], max(one, other), True)
            if stretch and stretch.share > 1 and one not in event:
                down.pop(notes[one].string, None)
            elif stretch:
                yield stretch
        down |= {notes[index].string: index for index in event}


def _one_after_the_other(fingered: FingeredPassage, opened: Opened) -> Iterator[Stretch]:
    """Neighbouring notes of one position."""
    for index, (before, after) in enumerate(pairwise(fingered.notes), 1):
        neighbours = before.position == after.position and before.note.onset_quarters < after.note.onset_quarters
        if neighbours and (stretch := opened(before, after, index, False)):
            yield stretch
