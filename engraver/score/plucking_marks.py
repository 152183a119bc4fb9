"""Which notes carry a plucking letter.

One turn of the pattern at the start, every stroke that breaks it, and the two around the turn of the line; a chord
plucked like the chord before goes without, and a finger that takes several strings of a chord (the thumb, as a rule)
has its letter once, at the lowest. Source: common practice ("simile"); the exact rule is chosen by us.
"""

from collections.abc import Sequence
from itertools import pairwise

from engraver.fingering.fingered import FingeredPassage
from engraver.theory.passage import PluckingFinger

LONGEST_PATTERN = 12
"""The longest plucking pattern looked for, in strokes."""
KEPT_SHARE = 0.75
"""A pattern counts as one when this share of the strokes follow it (chosen by us)."""


def plucking_marks(fingered: FingeredPassage, setting: str) -> frozenset[int]:
    """The notes with a letter by one of the settings between all and none: `first and turns` or `crossings`."""
    alone = all(len(event) == 1 for event in fingered.passage.events)
    return _crossings(fingered) if setting == "crossings" and alone else _turns(fingered)


def _crossings(fingered: FingeredPassage) -> frozenset[int]:
    """In a single line: the first letter, the letter that meets each new string, the letter after a reversal.

    Source: chosen by us; where several notes sound together every attack crosses, and the turns are shown instead.
    """
    plucked = [index for index, note in enumerate(fingered.notes) if note.plucking is not None]
    met = {later for one, later in pairwise(plucked) if fingered.notes[one].string != fingered.notes[later].string}
    turned = () if fingered.reversal is None else (fingered.reversal,)
    return frozenset((*plucked[:1], *met, *turned))


def _turns(fingered: FingeredPassage) -> frozenset[int]:
    """The notes with a letter where an edition prints the first turn and the changes."""
    events = _plucked(fingered)
    letters = [tuple(fingered.notes[i].plucking for i in event) for event in events]
    period = _period(letters)
    shown = {k for k in range(len(letters)) if k < period or letters[k] != letters[k - period]}
    shown -= {k for k in range(1, len(letters)) if len(events[k]) > 1 and letters[k] == letters[k - 1]}
    turn = fingered.passage.turn
    if turn is not None:
        at = next((k for k, event in enumerate(events) if turn in event), None)
        shown |= {k for k in (at, at + 1) if k < len(events)} if at is not None else set()
    if fingered.reversal is not None:
        shown |= {k for k, event in enumerate(events) if fingered.reversal in event}
    return frozenset(i for k in shown for i in events[k])


def planting_marks(fingered: FingeredPassage, setting: str) -> dict[int, tuple[PluckingFinger, ...]]:
    """The fingers planted at each note that shows it: those of the first turn and every change after it.

    With every letter printed every planting is; without letters none.
    """
    planted = {each.note: each.fingers for each in fingered.planted}
    if setting in ("all", "none"):
        return planted if setting == "all" else {}
    events = _plucked(fingered)
    letters = [tuple(fingered.notes[i].plucking for i in event) for event in events]
    laid = [next((planted[i] for i in event if i in planted), ()) for event in events]
    period = _period(list(zip(letters, laid, strict=True)))
    shown = (k for k in range(len(laid)) if laid[k] and (k < period or laid[k] != laid[k - period]))
    return {next(i for i in events[k] if i in planted): laid[k] for k in shown}


def repeated_in_chords(fingered: FingeredPassage) -> frozenset[int]:
    """The notes of chords whose letter stands at a lower note already."""
    again: set[int] = set()
    for event in _plucked(fingered):
        seen: set[PluckingFinger | None] = set()
        for index in sorted(event, key=lambda index: fingered.notes[index].note.pitch.sounding_midi):
            finger = fingered.notes[index].plucking
            if finger in seen:
                again.add(index)
            seen.add(finger)
    return frozenset(again)


def _plucked(fingered: FingeredPassage) -> list[tuple[int, ...]]:
    """The notes plucked together, stroke by stroke."""
    own = (tuple(i for i in event if fingered.notes[i].plucking is not None) for event in fingered.passage.events)
    return [event for event in own if event]


def _period(letters: Sequence[tuple[object, ...]]) -> int:
    """The shortest pattern that all but a few strokes follow; the whole length when there is none."""
    for period in range(1, min(LONGEST_PATTERN, len(letters) // 2) + 1):
        kept = sum(letters[k] == letters[k - period] for k in range(period, len(letters)))
        if kept >= KEPT_SHARE * (len(letters) - period):
            return period
    return len(letters)
