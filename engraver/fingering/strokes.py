"""Strokes: what the plucking hand sees of a passage - the plucked notes, their strings, and nothing slurred."""

from dataclasses import dataclass, replace

from engraver.fingering.fingered import FingeredPassage
from engraver.fretboard.harmonics import plucking_harmonic
from engraver.theory.passage import PluckingFinger

FINGER_ORDER = tuple(PluckingFinger)
"""p i m a c, as the fingers lie over the strings from low to high."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """One plucked note: its index in the passage, its string (1 = highest), its finger if decided.

    `fixed` says that the exercise itself demands the finger.
    """

    note: int
    string: int
    finger: PluckingFinger | None = None
    fixed: bool = False


Attack = tuple[Stroke, ...]
"""Strokes that sound together, from the lowest string to the highest."""

Line = tuple[Stroke, ...]
"""Single strokes one after another."""


def attacks_of(fingered: FingeredPassage) -> tuple[Attack, ...]:
    """The plucked notes of a passage by onset; slurred notes are left out, and with them onsets only slurred."""
    groups = (_attack(fingered, event) for event in fingered.passage.events)
    return tuple(group for group in groups if group)


def lines_of(attacks: tuple[Attack, ...]) -> tuple[Line, ...]:
    """The runs of single strokes; strokes that sound together end a run. Slurs do not."""
    runs: list[list[Stroke]] = [[]]
    for attack in attacks:
        if len(attack) == 1:
            runs[-1].append(attack[0])
        elif runs[-1]:
            runs.append([])
    return tuple(tuple(run) for run in runs if run)


def lay_formula(attacks: tuple[Attack, ...], formula: tuple[tuple[PluckingFinger, ...], ...]) -> tuple[Attack, ...]:
    """The attacks with the steps of a right-hand formula laid over them in turn, fixed from then on.

    A step whose count of fingers is not the count of notes sounding together leaves them to be planned.
    """
    return tuple(_lay_step(attack, formula[turn % len(formula)]) for turn, attack in enumerate(attacks))


def _lay_step(attack: Attack, step: tuple[PluckingFinger, ...]) -> Attack:
    if len(attack) != len(step):
        return attack
    fingers = sorted(step, key=FINGER_ORDER.index)
    return tuple(
        stroke if stroke.fixed else replace(stroke, finger=finger, fixed=True)
        for stroke, finger in zip(attack, fingers, strict=True)
    )


def _attack(fingered: FingeredPassage, event: tuple[int, ...]) -> Attack:
    strokes = [_stroke(fingered, index) for index in event if not fingered.passage.notes[index].slurred]
    return tuple(sorted(strokes, key=lambda stroke: (-stroke.string, stroke.note)))


def _stroke(fingered: FingeredPassage, index: int) -> Stroke:
    place, note = fingered.notes[index], fingered.passage.notes[index]
    fixed = note.plucking or plucking_harmonic(note)
    return Stroke(index, place.string, fixed or place.plucking, fixed is not None)
