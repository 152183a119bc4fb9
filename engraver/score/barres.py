"""Barres: from where to where finger 1 lies across the strings, read off the fingered notes.

A barre lies while finger 1 holds notes on two strings at once, and goes on while it keeps its fret and no open string
tells that it was lifted. Open strings that sound under it while its tip keeps the lowest note make it a hinge. Two
strings struck together once need no sign, their two equal digits say it.
Source: common practice; the last rule is chosen by us.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from engraver.fingering.fingered import FingeredNote, FingeredPassage

LYING_FINGER = 1
"""Other fingers lie flat over two strings at most; their equal digits tell it (common practice)."""
FEWEST_STRINGS = 3
"""From this many strings a barre has its sign even for a single stroke (chosen by us)."""


@dataclass(frozen=True, slots=True)
class Barre:
    """A barre of finger 1: its fret, its outer strings (`low` the lower in sound), and the notes it holds, by index."""

    fret: int
    low: int
    high: int
    notes: tuple[int, ...]
    start_quarters: Fraction
    until_quarters: Fraction
    hinge: bool = False

    @property
    def strings(self) -> int:
        """How many strings the finger covers."""
        return self.low - self.high + 1

    @property
    def needs_sign(self) -> bool:
        """True unless two equal digits on one stroke say as much."""
        return self.strings >= FEWEST_STRINGS or self.until_quarters > self.start_quarters


def barres_of(fingered: FingeredPassage) -> tuple[Barre, ...]:
    """Every barre of finger 1 in order of time."""
    found: list[Barre] = []
    for run in _runs(fingered.notes):
        held = [_held(fingered.notes, indices) for indices in _held_together(fingered.notes, run)]
        joined: list[Barre] = []
        for one in held:
            if joined and _goes_on(fingered.notes, joined[-1], one):
                joined[-1] = _both(fingered.notes, joined[-1], one)
            else:
                joined.append(one)
        found += [barre for barre in joined if barre.strings > 1 and _lies(fingered.notes, barre)]
    return tuple(found)


def _runs(notes: Sequence[FingeredNote]) -> list[list[int]]:
    """The notes of finger 1, parted where it goes to another fret."""
    runs: list[list[int]] = []
    for index, note in enumerate(notes):
        if note.left_finger != LYING_FINGER or note.touches:
            continue
        if runs and notes[runs[-1][-1]].fret == note.fret:
            runs[-1].append(index)
        else:
            runs.append([index])
    return runs


def _held_together(notes: Sequence[FingeredNote], run: Sequence[int]) -> list[list[int]]:
    """The run parted where the finger holds nothing from one note into the next."""
    out: list[list[int]] = []
    end = Fraction(0)
    for index in run:
        note = notes[index].note
        if out and note.onset_quarters < end:
            out[-1].append(index)
            end = max(end, note.end_quarters)
        elif out and note.onset_quarters == notes[out[-1][-1]].note.onset_quarters:
            out[-1].append(index)
        else:
            out.append([index])
            end = note.end_quarters
    return out


def _held(notes: Sequence[FingeredNote], held: Sequence[int]) -> Barre:
    """What finger 1 holds at once, be it one note; a hinge where open strings sound under it meanwhile."""
    own = [notes[index] for index in held]
    low, high = max(note.string for note in own), min(note.string for note in own)
    start, until = own[0].note.onset_quarters, own[-1].note.onset_quarters
    end = max(note.note.end_quarters for note in own)
    hinge = low > high and _opens_between(notes, low, high, start, end)
    return Barre(own[0].fret, low, high, tuple(held), start, until, hinge)


def _lies(notes: Sequence[FingeredNote], barre: Barre) -> bool:
    return any(notes[index].barre_fret is not None for index in barre.notes)


def _goes_on(notes: Sequence[FingeredNote], one: Barre, two: Barre) -> bool:
    """True when the finger stays: flat, as no open string sounds under it, or on its tip while open strings do."""
    if one.strings > 1 and two.strings > 1:
        return not _lifted(notes, one, two) or _stands_on_tip(notes, one, two)
    tip = one if one.strings == 1 else two
    low, high = max(one.low, two.low), min(one.high, two.high)
    return _stands_on_tip(notes, one, two) and _opens_between(notes, low, high, tip.start_quarters, _end(notes, tip))


def _lifted(notes: Sequence[FingeredNote], one: Barre, two: Barre) -> bool:
    """True when an open string sounds under the finger between the two."""
    low, high = max(one.low, two.low), min(one.high, two.high)
    return _opens_between(notes, low, high, one.until_quarters, two.start_quarters)


def _stands_on_tip(notes: Sequence[FingeredNote], one: Barre, two: Barre) -> bool:
    """True when the lowest note is held from the one into the other."""
    held = (notes[index] for index in one.notes)
    return one.low == two.low and any(
        note.string == one.low and note.note.end_quarters == two.start_quarters for note in held
    )


def _both(notes: Sequence[FingeredNote], one: Barre, two: Barre) -> Barre:
    """The two as one barre; a hinge where one of them is the tip alone or the finger was lifted from it between."""
    hinge = one.hinge or two.hinge or 1 in (one.strings, two.strings) or _lifted(notes, one, two)
    low, high = max(one.low, two.low), min(one.high, two.high)
    return Barre(one.fret, low, high, (*one.notes, *two.notes), one.start_quarters, two.until_quarters, hinge)


def _end(notes: Sequence[FingeredNote], barre: Barre) -> Fraction:
    return max(notes[index].note.end_quarters for index in barre.notes)


def _opens_between(notes: Iterable[FingeredNote], low: int, high: int, start: Fraction, end: Fraction) -> bool:
    """True when an open string under the finger is struck in this time."""
    return any(
        not note.fret and high <= note.string <= low and start <= note.note.onset_quarters < end for note in notes
    )
