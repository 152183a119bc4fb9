"""What the fretting hand pays for holding one event: one function for each row of the table, under the same name."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from engraver.fingering.grips import FINGER_COUNT, Amounts, Grips, double_stop, struck
from engraver.fretboard.limits import AS_IT_COMES, HandShape, OpenStrings

_BODY_SIDE_FRET = 9  # above it the wound strings sound dull; chosen by us
_LAST_OCTAVE_FRET = 12  # above it only string 1 is easily reached; chosen by us
_FIRST_WOUND_STRING = 4
_NEAR_STRINGS = 2  # thirds and sixths; tenths lie wider and are led by either finger
_LOW_POSITIONS = 3  # positions that open strings belong to; chosen by us


@dataclass(frozen=True, slots=True)
class HoldContext:
    """What holding costs depend on besides the grip: the first event of the passage, and the book's policies."""

    first: npt.NDArray[np.bool_]  # events x 1
    policy: OpenStrings
    shape: HandShape = AS_IT_COMES


def open_string_avoided(g: Grips, c: HoldContext) -> Amounts:
    """Open notes where the book avoids them."""
    return g.opens * (c.policy is OpenStrings.AVOID)


def open_string_preferred(g: Grips, c: HoldContext) -> Amounts:
    """Fretting fingers where the book prefers open strings."""
    return g.fretted * (c.policy is OpenStrings.PREFER)


def open_string_far_from_hand(g: Grips, c: HoldContext) -> Amounts:
    """Frets between the hand and the first position while strings ring open."""
    return g.opens * (g.position - 1) * g.fresh * (c.policy is not OpenStrings.AVOID)


def open_string_high_up(g: Grips, c: HoldContext) -> Amounts:
    """Frets between the hand and the third position while an open string sounds alone."""
    alone = (g.fretted == 0) & (c.policy is OpenStrings.ALLOW)
    return g.opens * np.maximum(g.position - _LOW_POSITIONS, 0) * alone


def first_position_left(g: Grips, c: HoldContext) -> Amounts:
    """A single note of the first four frets in another position, where open strings are allowed."""
    low = (g.low_fret > 0) & (g.low_fret <= FINGER_COUNT) & (struck(g) == 1)
    return low & (g.position > 1) & (c.policy is OpenStrings.ALLOW)


def away_from_wish(g: Grips, c: HoldContext) -> Amounts:
    """Frets between the hand and the position the book would have it near."""
    if c.shape.around_position is None:
        return np.zeros(1, np.int16)
    return np.abs(g.position - c.shape.around_position)


def high_start(g: Grips, c: HoldContext) -> Amounts:
    """Frets above the first at the first note."""
    return np.maximum(g.low_fret - 1, 0) * c.first


def high_position(g: Grips, c: HoldContext) -> Amounts:
    """Frets of the position above the first."""
    return (g.position - 1) * g.fresh


def low_string_high_up(g: Grips, c: HoldContext) -> Amounts:
    """Frets above the ninth on a wound string."""
    return np.maximum(g.lead_fret - _BODY_SIDE_FRET, 0) * (g.lead_string >= _FIRST_WOUND_STRING)


def inner_string_high_up(g: Grips, c: HoldContext) -> Amounts:
    """Frets above the twelfth on an inner treble string."""
    inner = (g.lead_string > 1) & (g.lead_string < _FIRST_WOUND_STRING)
    return np.maximum(g.lead_fret - _LAST_OCTAVE_FRET, 0) * inner


def wound_pair_high_up(g: Grips, c: HoldContext) -> Amounts:
    """Frets above the ninth of two notes struck together, one of them on a wound string."""
    return np.maximum(g.low_fret - _BODY_SIDE_FRET, 0) * (g.low_string >= _FIRST_WOUND_STRING) * double_stop(g)


def side_by_side(g: Grips, c: HoldContext) -> Amounts:
    """Two neighbouring fingers on one fret, alone."""
    return double_stop(g) & (g.low_fret == g.high_fret) & (g.high_finger - g.low_finger == 1)


def first_finger_idle(g: Grips, c: HoldContext) -> Amounts:
    """Two fretted notes struck together on near strings and two frets without the first finger."""
    near = (g.low_string - g.lead_string <= _NEAR_STRINGS) & (g.low_fret < g.high_fret)
    return double_stop(g) & (g.fretted == 2) & (g.low_finger > 1) & near


def ring_finger(g: Grips, c: HoldContext) -> Amounts:
    """The ring finger in use."""
    return g.thirds * g.fresh


def little_finger(g: Grips, c: HoldContext) -> Amounts:
    """The little finger in use."""
    return g.fourths * g.fresh


def little_finger_in_chord(g: Grips, c: HoldContext) -> Amounts:
    """The little finger in a grip of several fingers."""
    return g.fourths * (g.fretted >= 2) * g.fresh


def off_fret(g: Grips, c: HoldContext) -> Amounts:
    """Frets away from one finger per fret."""
    return g.off_fret * g.fresh


def stretch(g: Grips, c: HoldContext) -> Amounts:
    """Millimetres beyond the comfortable reach."""
    return g.stretch_mm * g.fresh


def barre(g: Grips, c: HoldContext) -> Amounts:
    """A barre of finger 1."""
    return (g.barre > 0) * g.fresh


def barre_width(g: Grips, c: HoldContext) -> Amounts:
    """Strings under the barre beyond the first."""
    return g.barre * g.fresh


def barre_of_other_finger(g: Grips, c: HoldContext) -> Amounts:
    """Strings under another finger beyond the first."""
    return g.little_barre * g.fresh


def let_go(g: Grips, c: HoldContext) -> Amounts:
    """Held notes released."""
    return g.let_go


def crossed_strings(g: Grips, c: HoldContext) -> Amounts:
    """Pairs of notes whose higher pitch lies on the lower string."""
    return g.crossed


_HOLDING = (
    *(open_string_avoided, open_string_preferred, open_string_far_from_hand, open_string_high_up, first_position_left),
    *(away_from_wish, high_start, high_position, low_string_high_up, inner_string_high_up, wound_pair_high_up),
    *(side_by_side, first_finger_idle, ring_finger, little_finger, little_finger_in_chord, off_fret, stretch),
    *(barre, barre_width, barre_of_other_finger, let_go, crossed_strings),
)
HOLDING: dict[str, Callable[[Grips, HoldContext], Amounts]] = {cost.__name__: cost for cost in _HOLDING}
