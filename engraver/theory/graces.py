"""Grace notes and the hand: what is held before them is let go in time."""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from engraver.theory.passage import Note


def released_for_graces(notes: Sequence[Note]) -> tuple[Note, ...]:
    """The notes, each released by the hand before the grace notes that follow it in its voice are struck.

    A grace note lies a little before the note it belongs to, while the note before it still counts as sounding; without
    this the two could not lie on one string. Source: chosen by us.
    """
    struck: dict[int, list[Fraction]] = {}
    for note in notes:
        if note.grace:
            struck.setdefault(note.voice, []).append(note.onset_quarters)
    if not struck:
        return tuple(notes)
    for onsets in struck.values():
        onsets.sort()

    def released(note: Note) -> Note:
        onsets = struck.get(note.voice, [])
        place = bisect_right(onsets, note.onset_quarters)
        if place == len(onsets) or onsets[place] >= note.end_quarters:
            return note
        return replace(note, held_quarters=onsets[place] - note.onset_quarters)

    return tuple(map(released, notes))
