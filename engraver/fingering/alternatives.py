"""Other good fingerings of the same passage, each clearly different and with its reason in one line.

An alternative is the cheapest fingering whose plan differs from those before it: another starting string or finger,
another place for its longest stretch, or its shifts elsewhere.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import pairwise

from engraver.errors import FingeringError
from engraver.fingering.fingered import FingeredNote, FingeredPassage
from engraver.fingering.left_hand import finger_left_hand
from engraver.fretboard.limits import LeftHandLimits, Pin
from engraver.fretboard.neck import span_mm, spots
from engraver.fretboard.numerals import position_numeral
from engraver.fretboard.tuning import Instrument, Player
from engraver.theory.passage import Passage

_WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_SHIFT_FRETS = 2  # a move of the hand by one fret is an extension, not a shift


@dataclass(frozen=True, slots=True)
class Alternative:
    """One fingering, what it costs, and why a teacher might choose it."""

    fingered: FingeredPassage
    cost: float
    reason: str


def left_hand_alternatives(
    passage: Passage, instrument: Instrument, player: Player, limits: LeftHandLimits, count: int = 3
) -> tuple[Alternative, ...]:
    """The best fingering and the next best that differ in plan, cheapest first; at most `count`.

    Every one keeps the book's wishes (pins, start, position, strings); fewer come back when the wishes leave no more.
    Raises what `finger_left_hand` raises when there is none.
    """
    best = finger_left_hand(passage, instrument, player, limits)
    found = {_places(best): best}
    for other in _other_limits(passage, instrument, limits, best):
        try:
            done = finger_left_hand(passage, instrument, player, other)
        except FingeringError:
            continue
        found.setdefault(_places(done), done)
    ranked = sorted(found.values(), key=lambda done: (done is not best, round(done.total_cost, 4), _places(done)))
    return tuple(Alternative(done, done.total_cost, reason(done, instrument)) for done in _distinct(ranked, count))


def _places(done: FingeredPassage) -> tuple[tuple[int, int], ...]:
    """String and finger of every note."""
    return tuple((note.string, note.left_finger) for note in done.notes)


def _distinct(ranked: list[FingeredPassage], count: int) -> list[FingeredPassage]:
    """The first of each plan: at least a fifth of the notes (two at least) lie or are fingered elsewhere."""
    chosen: list[FingeredPassage] = []
    for done in ranked:
        least = max(2, len(done.notes) // 5)
        if all(sum(a != b for a, b in zip(_places(done), _places(c), strict=True)) >= least for c in chosen):
            chosen.append(done)
    return chosen[:count]


def _other_limits(
    passage: Passage, instrument: Instrument, limits: LeftHandLimits, best: FingeredPassage
) -> Iterable[LeftHandLimits]:
    """Wishes that lead elsewhere: other starts, other places for the shifting and the highest notes, other policies."""
    pinned = {pin.note for pin in limits.pins}
    free = [i for i in _turning_points(best) if i not in pinned and not (i == 0 and limits.start_string)]
    for index in free:
        for spot in spots(instrument, passage.notes[index].pitch.sounding_midi):
            if spot.string != best.notes[index].string:
                yield _with_pin(limits, Pin(index, string=spot.string))
        for finger in range(1, 5):
            if best.notes[index].fret and finger != best.notes[index].left_finger:
                yield _with_pin(limits, Pin(index, best.notes[index].string, finger))


def _with_pin(limits: LeftHandLimits, pin: Pin) -> LeftHandLimits:
    """The wishes with one more pin; at the first note it takes the place of a start that was left open."""
    return replace(limits, pins=(*limits.pins, pin))


def _turning_points(best: FingeredPassage) -> list[int]:
    """The notes where a plan is decided: the first, those after a shift, the first of each string, the highest."""
    last = best.passage.turn if best.passage.turn is not None else len(best.notes) - 1
    points = {0, max(range(last + 1), key=lambda i: best.notes[i].note.pitch.sounding_midi)}
    for i in range(1, last + 1):
        here, before = best.notes[i], best.notes[i - 1]
        if abs(here.position - before.position) >= _SHIFT_FRETS or here.string != before.string:
            points.add(i)
    return sorted(points)[:12]


def reason(done: FingeredPassage, instrument: Instrument) -> str:
    """One line on what the hand does: ``one shift II-V on string 3 after finger 3; open strings: none``."""
    parts = [_shift_words(done), _open_words(done), _stretch_words(done, instrument)]
    return "; ".join(part for part in parts if part)


def _fretted_shifts(done: FingeredPassage) -> list[tuple[FingeredNote, FingeredNote]]:
    """Neighbouring notes between which the hand changes its position by two frets or more, as far as the turn."""
    last = done.passage.turn if done.passage.turn is not None else len(done.notes) - 1
    fretted = [n for n in done.notes[: last + 1] if n.fret]
    return [(a, b) for a, b in pairwise(fretted) if abs(a.position - b.position) >= _SHIFT_FRETS]


def _shift_words(done: FingeredPassage) -> str:
    """How often and where the hand shifts."""
    shifts = _fretted_shifts(done)
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
