"""Neck diagrams: which frets a line or a grip takes, with fingers, roots and open strings. Where, not how drawn."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from engraver.fingering.fingered import FingeredNote, FingeredPassage
from engraver.theory.pitch import PitchName

FEWEST_FRETS = 4
"""A diagram shows at least the frets of one position (chosen by us)."""


@dataclass(frozen=True, slots=True)
class Dot:
    """A place with its fretting finger; `fret` 0 = open, then `finger` is 0 too. `is_root` marks the root."""

    string: int
    fret: int
    finger: int
    is_root: bool = False


@dataclass(frozen=True, slots=True)
class Barre:
    """A finger laid across strings at one fret, from the `low` sounding string to the `high` one (6 to 1)."""

    fret: int
    low: int
    high: int


@dataclass(frozen=True, slots=True)
class Diagram:
    """A stretch of neck. `lying` shows a line from left to right with string 1 on top, else a grip stands upright.

    `mirrored` is the view of a left-handed player. `label` is printed above (a chord symbol).
    """

    strings: int
    dots: tuple[Dot, ...]
    lying: bool
    mirrored: bool = False
    label: str = ""

    @property
    def stopped(self) -> tuple[Dot, ...]:
        """The dots that are not open strings."""
        return tuple(dot for dot in self.dots if dot.fret > 0)

    @property
    def first_fret(self) -> int:
        """The first fret shown: 1 when all lies in the first four, else the lowest fret in use."""
        frets = [dot.fret for dot in self.stopped]
        return 1 if not frets or max(frets) <= FEWEST_FRETS else min(frets)

    @property
    def last_fret(self) -> int:
        """The last fret shown."""
        return max([dot.fret for dot in self.stopped] + [self.first_fret + FEWEST_FRETS - 1])

    @property
    def barres(self) -> tuple[Barre, ...]:
        """The barres of a grip: one finger on several strings of one fret; none in a line."""
        if self.lying:
            return ()
        strings: dict[tuple[int, int], list[int]] = {}
        for dot in self.stopped:
            strings.setdefault((dot.fret, dot.finger), []).append(dot.string)
        return tuple(Barre(fret, max(held), min(held)) for (fret, _), held in sorted(strings.items()) if len(held) > 1)


@dataclass(frozen=True, slots=True)
class Harmony:
    """A stretch of a passage under one chord: from and to in quarter notes, its root if known, its printed name."""

    start: Fraction
    end: Fraction
    root: PitchName | None = None
    label: str = ""


def line_diagram(fingered: FingeredPassage, strings: int, root: PitchName | None, mirrored: bool = False) -> Diagram:
    """Every place of a line once, with the finger that takes it first."""
    return Diagram(strings, _dots(fingered.notes, root), lying=True, mirrored=mirrored)


def grip_diagrams(
    fingered: FingeredPassage, strings: int, harmonies: Sequence[Harmony], mirrored: bool = False
) -> tuple[Diagram, ...]:
    """The grip of each harmony, in order; the same grip under the same name is shown once."""
    found: dict[Diagram, None] = {}
    for harmony in harmonies:
        held = [note for note in fingered.notes if harmony.start <= note.note.onset_quarters < harmony.end]
        if dots := _dots(held, harmony.root):
            found.setdefault(Diagram(strings, dots, False, mirrored, harmony.label))
    return tuple(found)


def _dots(notes: Iterable[FingeredNote], root: PitchName | None) -> tuple[Dot, ...]:
    """The places of some notes, from the lowest string up and along each string."""
    dots: dict[tuple[int, int], Dot] = {}
    for note in notes:
        is_root = root is not None and note.note.pitch.name == root
        dots.setdefault((-note.string, note.fret), Dot(note.string, note.fret, note.left_finger, is_root))
    return tuple(dot for _, dot in sorted(dots.items()))
