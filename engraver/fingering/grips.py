"""Grips as arrays: many ways to hold one event, side by side, so that costs are counted for all at once.

A grip says for every sounding note its string, fret and finger, and where the hand lies. `string` 0 stands for a held
note that the hand lets go. Arrays carry one row per grip; a batch carries one more axis in front, one per event.
"""

from dataclasses import dataclass, fields
from typing import Any

import numpy as np
import numpy.typing as npt

Ints = npt.NDArray[np.int16]
Floats = npt.NDArray[np.float32]

Amounts = Any  # arrays of counts, lengths or truths, which numpy's types cannot name together

FINGER_COUNT = 4


@dataclass(frozen=True, slots=True)
class Grips:
    """Per grip (last axis of the plain fields): the hand as a whole, and the leading note.

    `position`: fret under finger 1 (at least 1). `fresh`: share of the notes that are new; a grip already held costs
    less to hold. `low_finger`/`low_fret`, `high_…`: the outermost fretting fingers, 0 when all strings are open.
    `off_fret`: frets by which fingers lie away from one finger per fret. `stretch_mm`: millimetres beyond the
    comfortable reach of some pair. `barre`: strings under finger 1 beyond the first; `little_barre`: the same for other
    fingers. `let_go`: held notes released. `crossed`: pairs of notes whose higher pitch lies on the lower string.
    `low_string`: the lowest string in use. `lead_…`: the highest new note. `finger_fret`, `finger_string`: by finger
    1-4, 0 = unused. `on_string`: by string, a code of fret and finger, 0 = silent; `held_on_string`: the same for notes
    that sound on from an earlier event.
    """

    position: Ints
    fresh: Floats
    low_finger: Ints
    low_fret: Ints
    high_finger: Ints
    high_fret: Ints
    off_fret: Ints
    stretch_mm: Floats
    barre: Ints
    little_barre: Ints
    opens: Ints
    fretted: Ints
    thirds: Ints
    fourths: Ints
    let_go: Ints
    crossed: Ints
    low_string: Ints
    lead_string: Ints
    lead_fret: Ints
    lead_finger: Ints
    finger_fret: Ints
    finger_string: Ints
    on_string: Ints
    held_on_string: Ints


_FIELDS = tuple(f.name for f in fields(Grips))


@dataclass(frozen=True, slots=True)
class GripSet:
    """The grips of one event: note by note (`strings`, `frets`, `fingers`: grips x notes) and as a whole."""

    strings: Ints
    frets: Ints
    fingers: Ints
    grips: Grips

    @property
    def count(self) -> int:
        """Number of grips."""
        return int(self.strings.shape[0])

    def take(self, rows: Any) -> "GripSet":
        """The chosen grips only."""
        kept = Grips(**{name: getattr(self.grips, name)[rows] for name in _FIELDS})
        return GripSet(self.strings[rows], self.frets[rows], self.fingers[rows], kept)


def joined(sets: list[Grips]) -> Grips:
    """Several events' grips one after another in one long list."""
    if len(sets) == 1:
        return sets[0]
    return Grips(**{name: np.concatenate([getattr(s, name) for s in sets]) for name in _FIELDS})


def stack(sets: list[Grips], width: int) -> Grips:
    """Several events' grips as one batch, each padded to `width` rows by repeating its first grip."""
    counts = np.array([s.position.shape[0] for s in sets])
    if (counts == width).all():
        rows = np.arange(len(sets) * width).reshape(len(sets), width)
    else:
        within = np.arange(width)[None, :]
        rows = (np.cumsum(counts) - counts)[:, None] + np.where(within < counts[:, None], within, 0)
    long = joined(sets)
    return Grips(**{name: getattr(long, name)[rows] for name in _FIELDS})


def before(batch: Grips) -> Grips:
    """The batch as the earlier side of a move: axes events x earlier x 1 (x more)."""
    return Grips(**{name: getattr(batch, name)[:, :, None] for name in _FIELDS})


def after(batch: Grips) -> Grips:
    """The batch as the later side of a move: axes events x 1 x later (x more)."""
    return Grips(**{name: getattr(batch, name)[:, None] for name in _FIELDS})


def double_stop(g: Grips) -> Amounts:
    """Two notes struck together, none sounding on."""
    return (struck(g) == 2) & (g.fresh == 1)


def struck(g: Grips) -> Amounts:
    """How many notes a grip sounds."""
    return g.opens + g.fretted + g.barre + g.little_barre
