"""What the fretting hand pays for moving from one event to the next: one function for each row, under the same name."""

from collections.abc import Callable

import numpy as np

from engraver.fingering.grips import Amounts, double_stop, struck
from engraver.fingering.move import Move
from engraver.fretboard.limits import Spread

_FIRST_WOUND_STRING = 4
_NEAR_SHIFT_FRETS = 3  # chosen by us
_WHOLE_TONE = 2  # semitones
_BESIDE_OPEN_STRINGS = 0.25  # first-position double stops cross the strings freely; chosen by us


def shift(m: Move) -> Amounts:
    """A change of position by two frets or more."""
    return m.far & ~m.free & ~m.parallel


def shift_of_grip(m: Move) -> Amounts:
    """A grip that slides along its strings."""
    return (m.travel >= 1) & m.parallel


def guide_lost(m: Move) -> Amounts:
    """Double stops that change every finger on the same strings."""
    fretted = (m.a.fretted >= 2) & (m.b.fretted >= 2)
    return fretted & m.same_string & (m.a.low_string == m.b.low_string) & (m.slides + m.stays == 0)


def shift_distance(m: Move) -> Amounts:
    """Frets of a shift."""
    return m.travel * (m.far & ~m.parallel)


def shift_far(m: Move) -> Amounts:
    """Frets of a shift beyond three."""
    return np.maximum(m.travel - _NEAR_SHIFT_FRETS, 0) * (m.far & ~m.parallel)


def shift_during_open_string(m: Move) -> Amounts:
    """A shift while open strings sound."""
    return m.far & m.free


def shift_without_guide(m: Move) -> Amounts:
    """A shift in which no finger keeps its string."""
    return m.far & ~m.free & (m.slides == 0)


def shift_leap(m: Move) -> Amounts:
    """Frets beyond one between the notes around a shift on one string."""
    away = np.maximum(np.abs(m.b.lead_fret - m.a.lead_fret) - 1, 0)
    return away * (m.far & m.same_string & ~m.free & ~m.parallel)


def shift_across_strings(m: Move) -> Amounts:
    """A shift that also changes the string."""
    return m.far & ~m.free & ~m.same_string


def shift_on_wound_string(m: Move) -> Amounts:
    """A shift along a wound string."""
    return m.far & ~m.free & ~m.parallel & m.same_string & (m.a.lead_string >= _FIRST_WOUND_STRING)


def shift_against_line(m: Move) -> Amounts:
    """A shift that goes to a lower string as the line rises, or to a higher one as it falls."""
    return m.far & string_against_line(m)


def shift_off_beat(m: Move) -> Amounts:
    """A shift between beats."""
    return m.far & ~m.context.on_beat


def extension(m: Move) -> Amounts:
    """The hand opens or closes by one fret."""
    return (m.travel == 1) & ~m.free & ~m.parallel


def extension_on_string(m: Move) -> Amounts:
    """The same, within one string."""
    return (m.travel == 1) & ~m.free & ~m.parallel & m.same_string


def creep_on_string(m: Move) -> Amounts:
    """A line that steps moves the hand by a fret within a string."""
    steps = np.abs(m.b.lead_fret - m.a.lead_fret) <= _WHOLE_TONE
    return steps & (struck(m.a) == 1) & (struck(m.b) == 1) & extension_on_string(m)


def pair_left(m: Move) -> Amounts:
    """Double stops that leave their pair of strings; a quarter of that where one holds an open string."""
    left = ~(m.same_string & (m.a.low_string == m.b.low_string))
    beside_open = (m.a.opens > 0) | (m.b.opens > 0)
    return (double_stop(m.a) & double_stop(m.b) & left) * np.where(beside_open, _BESIDE_OPEN_STRINGS, 1)


def extension_during_open_string(m: Move) -> Amounts:
    """The hand moves one fret while open strings sound."""
    return (m.travel == 1) & m.free


def opening_avoided(m: Move) -> Amounts:
    """The hand opens (or, with one finger per fret, also closes) by one fret where the book allows no extension."""
    spread = m.context.spread
    if spread is Spread.FREE:
        return np.zeros((1, 1, 1), np.int16)
    fingers = m.b.low_finger - m.a.low_finger
    opens = np.sign(fingers) == np.sign(m.b.position - m.a.position)
    reshaped = (m.travel == 1) & ~m.free & (fingers != 0)
    return reshaped & (opens | (spread is Spread.ONE_PER_FRET))


def finger_jump(m: Move) -> Amounts:
    """Fingers that must be on another string and fret at once."""
    return m.jumps


def finger_roll(m: Move) -> Amounts:
    """Fingers that roll to another string at the same fret."""
    barred = (m.a.barre > 0) | (m.b.barre > 0) | (m.a.little_barre > 0) | (m.b.little_barre > 0)
    return m.rolls * ~barred


def hinge(m: Move) -> Amounts:
    """A barre that finger 1 lays down from one end, or lifts to one end, while the note under that end stays."""
    stays = (m.a.finger_fret[..., 0] > 0) & (m.a.finger_fret[..., 0] == m.b.finger_fret[..., 0])
    one_side = (m.a.barre == 0) != (m.b.barre == 0)
    if not (stays & one_side).any():
        return np.zeros((1, 1, 1), np.int16)
    mark = m.a.finger_fret[..., 0] * 8 + 2  # as `on_string` writes finger 1
    both = ((m.a.on_string == m.b.on_string) & (m.a.on_string == mark[..., None])).any(-1)
    return stays & one_side & both & ((m.a.opens > 0) | (m.b.opens > 0))


def crossed_fingers(m: Move) -> Amounts:
    """Two notes of a line in one position whose higher finger lies behind, or on one fret on the lower string."""
    a, b = m.a, m.b
    higher = np.sign(b.lead_finger - a.lead_finger)
    ahead = np.sign(b.lead_fret - a.lead_fret)
    lies = np.where(ahead == 0, np.sign(a.lead_string - b.lead_string), ahead)
    both = (a.lead_finger > 0) & (b.lead_finger > 0) & (struck(a) == 1) & (struck(b) == 1)
    return both & ~m.far & (higher * lies < 0)


def finger_slide(m: Move) -> Amounts:
    """Fingers that slide along their string."""
    return m.slides * ~m.parallel


def finger_swap(m: Move) -> Amounts:
    """Another finger on the same place."""
    return m.same_string & (m.a.lead_fret == m.b.lead_fret) & (m.a.lead_finger != m.b.lead_finger)


def string_crossing(m: Move) -> Amounts:
    """The line changes its string."""
    return ~m.same_string


def string_skip(m: Move) -> Amounts:
    """Strings skipped by the line."""
    return np.maximum(np.abs(m.a.lead_string - m.b.lead_string) - 1, 0)


def string_against_line(m: Move) -> Amounts:
    """The line rises to a lower string or falls to a higher one."""
    rising = (m.context.rise > 0) & (m.b.lead_string > m.a.lead_string)
    falling = (m.context.rise < 0) & (m.b.lead_string < m.a.lead_string)
    return rising | falling


def wide_hand(m: Move) -> Amounts:
    """Millimetres between the fingers of neighbouring notes."""
    return np.maximum(m.gap_mm(m.a, m.b), m.gap_mm(m.b, m.a)) * (m.travel <= 1)


def beyond_reach(m: Move) -> Amounts:
    """Millimetres beyond the reach of the two fingers, in one position."""
    reach = m.context.pair_reach_mm
    one = m.gap_mm(m.a, m.b) - reach[m.a.low_finger, m.b.high_finger]
    two = m.gap_mm(m.b, m.a) - reach[m.b.low_finger, m.a.high_finger]
    return np.maximum(np.maximum(one, two), 0) * (m.travel == 0)


def held_note_moved(m: Move) -> Amounts:
    """Held notes that would change their place."""
    return held_notes_moved(m.a.on_string, m.b.held_on_string)


def held_notes_moved(before: Amounts, held: Amounts) -> Amounts:
    """Notes that a later grip holds and that lie elsewhere in an earlier one (moves x earlier x later).

    `before`: the earlier grips' `on_string`; `held`: the later grips' `held_on_string`.
    """
    total: Amounts = np.zeros((1, 1, 1), np.int8)
    for string in range(1, held.shape[-1]):
        asked = held[..., string]
        if asked.any():
            total = total + ((asked > 0) & (asked != before[..., string]))
    return total


def slur_broken(m: Move) -> Amounts:
    """A slurred note that leaves its string, its hand position or the order of fingers."""
    same_finger = (m.a.lead_finger == m.b.lead_finger) & (m.a.lead_finger > 0)
    wrong_way = (m.b.lead_fret > m.a.lead_fret) & (m.b.lead_finger < m.a.lead_finger)
    return m.context.slurred & (~m.same_string | same_finger | wrong_way | m.far)


_MOVING = (
    *(shift, shift_of_grip, guide_lost, shift_distance, shift_far, shift_during_open_string, shift_without_guide),
    *(shift_leap, shift_across_strings, shift_on_wound_string, shift_against_line, shift_off_beat),
    *(extension, extension_on_string, extension_during_open_string, opening_avoided, creep_on_string, pair_left),
    *(finger_jump, finger_roll, hinge, crossed_fingers, finger_slide, finger_swap, string_crossing, string_skip),
    *(string_against_line, wide_hand, beyond_reach, held_note_moved, slur_broken),
)
MOVING: dict[str, Callable[[Move], Amounts]] = {cost.__name__: cost for cost in _MOVING}
