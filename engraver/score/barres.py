"""Barres: from where to where finger 1 lies across the strings, read off the fingered notes.

A barre begins with the first note that the lying finger holds and ends with the last; it goes on while finger 1 keeps
its fret. Open strings that sound under it while its tip still holds a note make it a hinge. Two strings struck
together once need no sign, their two equal digits say it.
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


@dataclass(frozen=True, slots=True)
class _Lying:
    """Notes that finger 1 holds one into the next; `end` is when it may leave the last of them."""

    notes: tuple[int, ...]
    end: Fraction


def barres_of(fingered: FingeredPassage) -> tuple[Barre, ...]:
    """Every barre of finger 1 in order of time."""
    found: list[Barre] = []
    for run in _runs(fingered.notes):
        own = [barre for lying in _held_together(fingered.notes, run) if (barre := _barre(fingered, lying))]
        found += _joined(fingered.notes, own)
    return tuple(found)


def _runs(notes: Sequence[FingeredNote]) -> list[list[int]]:
    """The notes of finger 1, parted where it goes to another fret."""
    runs: list[list[int]] = []
    for index, note in enumerate(notes):
        if note.left_finger != LYING_FINGER:
            continue
        if runs and notes[runs[-1][-1]].fret == note.fret:
            runs[-1].append(index)
        else:
            runs.append([index])
    return runs


def _held_together(notes: Sequence[FingeredNote], run: Sequence[int]) -> list[_Lying]:
    """The run parted where the finger is free between two notes."""
    out: list[_Lying] = []
    for index in run:
        note = notes[index].note
        if out and note.onset_quarters <= out[-1].end:
            out[-1] = _Lying((*out[-1].notes, index), max(out[-1].end, note.end_quarters))
        else:
            out.append(_Lying((index,), note.end_quarters))
    return out


def _barre(fingered: FingeredPassage, lying: _Lying) -> Barre | None:
    """The barre that holds these notes, if one does."""
    notes = [fingered.notes[index] for index in lying.notes]
    strings = {note.string for note in notes}
    if len(strings) < 2 or all(note.barre_fret is None for note in notes):
        return None
    start, until = notes[0].note.onset_quarters, notes[-1].note.onset_quarters
    hinge = _opens_between(fingered.notes, max(strings), min(strings), start, lying.end)
    return Barre(notes[0].fret, max(strings), min(strings), lying.notes, start, until, hinge)


def _joined(notes: Sequence[FingeredNote], barres: Iterable[Barre]) -> list[Barre]:
    """The barres of one fret, joined where no open string tells that the finger was lifted between them."""
    out: list[Barre] = []
    for barre in barres:
        before = out[-1] if out else None
        if before is None:
            out.append(barre)
            continue
        low, high = max(before.low, barre.low), min(before.high, barre.high)
        if _opens_between(notes, low, high, before.until_quarters, barre.start_quarters):
            out.append(barre)
        else:
            held, hinge = (*before.notes, *barre.notes), before.hinge or barre.hinge
            out[-1] = Barre(barre.fret, low, high, held, before.start_quarters, barre.until_quarters, hinge)
    return out


def _opens_between(notes: Iterable[FingeredNote], low: int, high: int, start: Fraction, end: Fraction) -> bool:
    """True when an open string under the finger is struck in this time."""
    return any(
        not note.fret and high <= note.string <= low and start <= note.note.onset_quarters < end for note in notes
    )
