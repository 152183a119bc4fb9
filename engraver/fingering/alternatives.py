"""Other good fingerings of the same passage, each clearly different and with its reason in one line.

An alternative is the cheapest fingering whose plan differs from those before it: another starting string or finger,
another place for its longest stretch, or its shifts elsewhere.
"""

from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from engraver.errors import Unplayable
from engraver.fingering.fingered import FingeredNote, FingeredPassage
from engraver.fingering.harmonics import as_heard, as_touched
from engraver.fingering.lattice import cheapest_apart, ranked
from engraver.fingering.left_hand import finger_left_hand, left_hand_plans
from engraver.fingering.shifts import shifts_by_way
from engraver.fingering.yielding import without
from engraver.fretboard.limits import LeftHandLimits
from engraver.fretboard.neck import span_mm
from engraver.fretboard.numerals import position_numeral
from engraver.fretboard.tuning import Instrument, Player
from engraver.theory.passage import Passage

if TYPE_CHECKING:
    from engraver.fingering.habits import Habits
    from engraver.fingering.planning import Planned

_WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_ONE_NOTE_OF, _FEWEST_NOTES, _MOST_NOTES = 5, 2, 6
"""Fingerings differ clearly where one note of five, two to six, lies on another string (or twice as many have another
finger); chosen by us."""
_MOST_COUNTS = 2500
"""So many ways to count differences from all known fingerings at once; with more of these each need differ by less."""


@dataclass(frozen=True, slots=True)
class Alternative:
    """One fingering, what it costs, and why a teacher might choose it."""

    fingered: FingeredPassage
    cost: float
    reason: str


def left_hand_alternatives(
    passage: Passage,
    instrument: Instrument,
    player: Player,
    limits: LeftHandLimits,
    count: int = 3,
    habits: "Habits | None" = None,
) -> tuple[Alternative, ...]:
    """The best fingering and the next best that a teacher would call different, the likeliest first; at most `count`.

    Each is the cheapest of all that differ clearly from those before it; where nothing differs so much, by less, but by
    two notes at least (in a short passage by one). Every one keeps the book's wishes (pins, start, position, strings);
    fewer come back when the wishes leave no more. With `habits` editors' habits rank instead of costs; `cost` is that
    of technique in any case. Raises what `finger_left_hand` raises when there is none.
    """
    best = finger_left_hand(passage, instrument, player, limits, habits)
    if not passage.notes:
        return (Alternative(best, 0.0, ""),)
    touched, found = as_touched(passage, instrument), {_places(best): best}
    for plan in left_hand_plans(touched, instrument, player, without(limits, best.given_up), habits):
        for done in _apart(plan, count):
            found.setdefault(_places(done), as_heard(done, passage))
    ranked = list(found.values())
    if habits is None:
        ranked.sort(key=lambda done: (done is not best, round(done.total_cost, 4), _places(done)))
    chosen = ranked[:count]
    told = _reasons(chosen, instrument)
    return tuple(Alternative(done, done.total_cost, words) for done, words in zip(chosen, told, strict=True))


def ranked_fingerings(
    passage: Passage, instrument: Instrument, player: Player, limits: LeftHandLimits, habits: "Habits | None" = None
) -> Iterator[FingeredPassage]:
    """Every fingering of the passage, the cheapest first, however little it differs from the one before.

    What the hand remembers is taken as on the best one. Raises as `finger_left_hand` does.
    """
    touched = as_touched(passage, instrument)
    for plan in left_hand_plans(touched, instrument, player, limits, habits)[:1]:
        for path in ranked(plan.lattice()):
            with suppress(Unplayable):
                yield as_heard(plan.fingered(path), passage)


def _apart(plan: "Planned", count: int) -> Iterator[FingeredPassage]:
    """The plan's best fingering and others that differ from all before, clearly while there are such, then by less."""
    lattice, known = plan.lattice(), [plan.path]
    notes = sum(fingers.shape[1] for fingers in lattice.fingers)
    least = 2 * max(_FEWEST_NOTES, min(_MOST_NOTES, notes // _ONE_NOTE_OF))
    fewest = 2 * min(_FEWEST_NOTES, -(-notes // _ONE_NOTE_OF))
    yield plan.fingered()
    while len(known) < count:
        while (least + 1) ** len(known) > _MOST_COUNTS:
            least -= 1
        path = cheapest_apart(lattice, known, least)
        if path is None and least <= fewest:
            return
        if path is None:
            least = max(fewest, least // 2)
            continue
        known.append(path)
        with suppress(Unplayable):
            yield plan.fingered(path)


def _places(done: FingeredPassage) -> tuple[tuple[int, int], ...]:
    """String and finger of every note."""
    return tuple((note.string, note.left_finger) for note in done.notes)


def _reasons(found: Sequence[FingeredPassage], instrument: Instrument) -> list[str]:
    """A reason for each fingering; what does the same as one before names the note by which it differs from that."""
    told: list[tuple[str, FingeredPassage]] = []
    out = []
    for done in found:
        words = reason(done, instrument)
        alike = [other for others, other in told if others == words]
        told.append((words, done))
        out.append("; ".join((words, *_apart_words(done, alike))))
    return out


def _apart_words(done: FingeredPassage, others: Sequence[FingeredPassage]) -> list[str]:
    """For each of the others the first note that lies on another string or finger here."""
    notes = {next(i for i, (a, b) in enumerate(zip(_places(done), _places(o), strict=True)) if a != b) for o in others}
    return [_place_words(done.notes[index], index) for index in sorted(notes)]


def _place_words(note: FingeredNote, index: int) -> str:
    how = f"with finger {note.left_finger} on string {note.string}" if note.fret else f"open on string {note.string}"
    return f"note {index + 1} {how}"


def reason(done: FingeredPassage, instrument: Instrument) -> str:
    """One line on what the hand does: ``one shift II-V on string 3 after finger 3; open strings: none``."""
    parts = [_shift_words(done), _open_words(done), _stretch_words(done, instrument)]
    return "; ".join(part for part in parts if part)


def _shift_words(done: FingeredPassage) -> str:
    """How often and where the hand shifts."""
    shifts = [(shift.before, shift.after) for shift in shifts_by_way(done)[0]]
    if not shifts:
        places = sorted({n.position for n in done.notes if n.fret})
        if not places:
            return "open strings alone"
        return (
            f"stays in position {position_numeral(places[0])}"
            if len(places) == 1
            else "no shift, the hand opens by a fret"
        )
    told = [
        f"{position_numeral(a.position)}-{position_numeral(b.position)}"
        + (f" on string {a.string}" if a.string == b.string else f" from string {a.string} to {b.string}")
        + f" after finger {a.left_finger}"
        for a, b in shifts[:2]
    ]
    count = _WORDS[len(shifts)] if len(shifts) < len(_WORDS) else str(len(shifts))
    more = ", …" if len(shifts) > len(told) else ""
    return f"{count} shift{'s' if len(shifts) > 1 else ''} {', '.join(told)}{more}"


def _open_words(done: FingeredPassage) -> str:
    """How many open strings ring."""
    opens = sum(not n.fret for n in done.notes)
    if not opens:
        return "no open strings"
    return f"{opens} open note{'s' if opens > 1 else ''}"


def _stretch_words(done: FingeredPassage, instrument: Instrument) -> str:
    """The widest the hand opens within one position."""
    widest = 0.0
    for a, b in pairwise(done.notes):
        if a.fret and b.fret and a.position == b.position:
            widest = max(widest, span_mm(instrument, a.fret, b.fret))
    return f"no stretch beyond {widest:.0f} mm" if widest else ""
