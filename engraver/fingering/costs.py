"""What the fretting hand pays: one function for each row of tables/fingering_costs.yaml, under the same name.

Each function counts an amount in the row's unit; the row's value times the amount is the cost. Costs of holding
(`HOLDING`) look at one event, costs of moving (`MOVING`) at two neighbouring events. All count for many grips at once.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
import numpy.typing as npt
from pydantic import BaseModel, ConfigDict

from engraver.fingering.grips import FINGER_COUNT, Floats, Grips
from engraver.fretboard.hand import comfortable_share
from engraver.fretboard.limits import AS_IT_COMES, HandShape, OpenStrings, Spread
from engraver.tables.loader import Table, read_table

Amounts = Any  # arrays of counts, lengths or truths, which numpy's types cannot name together

_BODY_SIDE_FRET = 9  # above it the wound strings sound dull; chosen by us
_FIRST_WOUND_STRING = 4
_LOW_POSITIONS = 3  # positions that open strings belong to; chosen by us


class CostRow(BaseModel):
    """One weight: cost per unit, with its reason. `technique_only`: repertoire, where habits speak, does not pay it."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    name: str
    value: float
    unit: str
    reason: str
    technique_only: bool = False


class SearchSizes(BaseModel):
    """How much the search keeps."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    grips: int
    grips_per_position: int
    events_per_block: int
    rounds: int
    repertoire_grips: int


class CostTable(Table):
    """tables/fingering_costs.yaml."""

    search: SearchSizes
    holding: tuple[CostRow, ...]
    moving: tuple[CostRow, ...]
    breaking: tuple[CostRow, ...]
    remembering: tuple[CostRow, ...]


@dataclass(frozen=True, slots=True)
class HoldContext:
    """What holding costs depend on besides the grip: the first event of the passage, and the book's policies."""

    first: npt.NDArray[np.bool_]  # events x 1
    policy: OpenStrings
    shape: HandShape = AS_IT_COMES


@dataclass(frozen=True, slots=True)
class MoveContext:
    """What moving costs depend on besides the two grips; arrays of shape events x 1 x 1.

    `rise`: semitones from the earlier leading note to the later. `on_beat`: the later event starts a beat. `slurred`:
    its leading note is slurred. `ruler_mm`: distance of each fret from the nut. `pair_reach_mm`: by finger pair.
    `spread`: how the book lets the fingers lie to each other.
    """

    rise: Amounts
    on_beat: Amounts
    slurred: Amounts
    ruler_mm: Floats
    pair_reach_mm: Floats
    spread: Spread = Spread.FREE


def cost_table() -> CostTable:
    """The weights, read once."""
    return read_table("fingering_costs", CostTable)


def remembering(table: CostTable, name: str) -> CostRow:
    """A row of what the hand remembers, by its name."""
    return next(row for row in table.remembering if row.name == name)


@cache
def repertoire_table() -> CostTable:
    """The weights that stand beside learned habits, with the smaller number of grips kept where these choose."""
    table = cost_table()
    search = table.search.model_copy(update={"grips": table.search.repertoire_grips})
    holding, moving = (tuple(r for r in rows if not r.technique_only) for rows in (table.holding, table.moving))
    return table.model_copy(update={"search": search, "holding": holding, "moving": moving})


# ---- holding one event -------------------------------------------------------------------------------------------


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
    return np.maximum(g.lead_fret - 12, 0) * inner


def wound_pair_high_up(g: Grips, c: HoldContext) -> Amounts:
    """Frets above the ninth of two notes struck together, one of them on a wound string."""
    return np.maximum(g.low_fret - _BODY_SIDE_FRET, 0) * (g.low_string >= _FIRST_WOUND_STRING) * (_struck(g) == 2)


def side_by_side(g: Grips, c: HoldContext) -> Amounts:
    """Two neighbouring fingers on one fret, alone."""
    return (_struck(g) == 2) & (g.low_fret == g.high_fret) & (g.high_finger - g.low_finger == 1)


def first_finger_idle(g: Grips, c: HoldContext) -> Amounts:
    """Two fretted notes struck together without the first finger."""
    return (_struck(g) == 2) & (g.fretted == 2) & (g.low_finger > 1) & (g.low_fret < g.high_fret)


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


# ---- moving from one event to the next ---------------------------------------------------------------------------


class Move:
    """Two neighbouring events' grips side by side, with what several costs ask about counted once.

    `travel`: frets the hand's position changes. `free`: all strings open on one side, so that the hand travels
    unheard. `slides`, `jumps`, `rolls`, `stays`: fingers used on both sides that keep their string on another
    fret, change both, change the string at the same fret, or stay. `parallel`: two or more fingers hold on both sides
    and one keeps its string: the grip slides. `same_string`: the leading notes share their string.
    """

    def __init__(self, a: Grips, b: Grips, context: MoveContext) -> None:
        self.a, self.b, self.context = a, b, context
        self.travel: Amounts = np.abs(b.position - a.position)
        self.far: Amounts = self.travel >= 2
        self.free: Amounts = (a.fretted == 0) | (b.fretted == 0)
        single = int(a.fretted.max(initial=0)) <= 1 and int(b.fretted.max(initial=0)) <= 1
        self.slides, self.jumps, self.rolls, self.stays = self._of_one_finger() if single else self._of_all_fingers()
        self.parallel: Amounts = (a.fretted >= 2) & (b.fretted >= 2) & (self.slides > 0)
        self.same_string: Amounts = a.lead_string == b.lead_string

    def _of_one_finger(self) -> tuple[Amounts, Amounts, Amounts, Amounts]:
        a, b = self.a, self.b
        used = (a.low_finger == b.low_finger) & ~self.free
        return self._sorted(used, a.low_string == b.low_string, a.low_fret == b.low_fret)

    def _of_all_fingers(self) -> tuple[Amounts, Amounts, Amounts, Amounts]:
        counts = []
        for finger in range(FINGER_COUNT):
            strings = self.a.finger_string[..., finger], self.b.finger_string[..., finger]
            frets = self.a.finger_fret[..., finger], self.b.finger_fret[..., finger]
            used = (frets[0] > 0) & (frets[1] > 0)
            counts.append(self._sorted(used, strings[0] == strings[1], frets[0] == frets[1]))
        return tuple(sum(x.astype(np.int8) for x in kind) for kind in zip(*counts, strict=True))

    @staticmethod
    def _sorted(used: Amounts, string: Amounts, fret: Amounts) -> tuple[Amounts, Amounts, Amounts, Amounts]:
        on, off = used & string, used & ~string
        return on & ~fret, off & ~fret, off & fret, on & fret

    def gap_mm(self, a: Grips, b: Grips) -> Amounts:
        """Millimetres from one side's lowest up to the other side's highest fretting finger; 0 unless it is higher."""
        ruler = self.context.ruler_mm
        both = (a.low_finger > 0) & (b.high_finger > a.low_finger)
        return np.where(both, np.maximum(ruler[b.high_fret] - ruler[a.low_fret], 0), 0)


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
    return m.far & ~m.free & string_against_line(m)


def shift_off_beat(m: Move) -> Amounts:
    """A shift between beats."""
    return m.far & ~m.context.on_beat


def extension(m: Move) -> Amounts:
    """The hand opens or closes by one fret."""
    return (m.travel == 1) & ~m.free & ~m.parallel


def extension_on_string(m: Move) -> Amounts:
    """The same, within one string."""
    return (m.travel == 1) & ~m.free & ~m.parallel & m.same_string


def five_frets_on_string(m: Move) -> Amounts:
    """A single line moves the hand by a fret within a string where five frets are wider than the comfortable reach."""
    low = np.minimum(m.a.position, m.b.position)
    ruler = m.context.ruler_mm
    five = ruler[np.minimum(low + FINGER_COUNT, len(ruler) - 1)] - ruler[low]
    wide = five > m.context.pair_reach_mm[1, FINGER_COUNT] * comfortable_share()
    return wide & (_struck(m.a) == 1) & (_struck(m.b) == 1) & extension_on_string(m)


def _opens(m: Move) -> Amounts:
    """The fingers go the way the hand goes."""
    return np.sign(m.b.low_finger - m.a.low_finger) == np.sign(m.b.position - m.a.position)


def pair_left(m: Move) -> Amounts:
    """Two notes struck together that leave the strings of the two before."""
    two = (_struck(m.a) == 2) & (_struck(m.b) == 2)
    left = two & ~(m.same_string & (m.a.low_string == m.b.low_string))
    return left * np.where((m.a.opens > 0) | (m.b.opens > 0), 0.25, 1)


def _struck(g: Grips) -> Amounts:
    return g.opens + g.fretted + g.barre + g.little_barre


def extension_during_open_string(m: Move) -> Amounts:
    """The hand moves one fret while open strings sound."""
    return (m.travel == 1) & m.free


def opening_avoided(m: Move) -> Amounts:
    """The hand opens (or, with one finger per fret, also closes) by one fret where the book allows no extension."""
    spread = m.context.spread
    if spread is Spread.FREE:
        return np.zeros((1, 1, 1), np.int16)
    fingers = m.b.low_finger - m.a.low_finger
    reshaped = (m.travel == 1) & ~m.free & (fingers != 0)
    return reshaped & (_opens(m) | (spread is Spread.ONE_PER_FRET))


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


# ---- remembering what the hand did before (counted along a finished fingering) ------------------------------------

BREAKING = ("chord_broken",)
REMEMBERING = ("finger_called_back", "unlike_before", "unusual_grip")

_HOLDING = (
    *(open_string_avoided, open_string_preferred, open_string_far_from_hand, open_string_high_up, away_from_wish),
    *(high_start, high_position),
    *(low_string_high_up, inner_string_high_up, wound_pair_high_up, side_by_side, first_finger_idle, ring_finger, little_finger, little_finger_in_chord, off_fret, stretch, barre, barre_width),
    *(barre_of_other_finger, let_go, crossed_strings),
)
_MOVING = (
    *(shift, shift_of_grip, guide_lost, shift_distance, shift_during_open_string, shift_without_guide, shift_leap),
    *(shift_across_strings, shift_on_wound_string, shift_against_line, shift_off_beat, extension, extension_on_string, extension_during_open_string),
    *(opening_avoided, five_frets_on_string, pair_left),
    *(finger_jump, finger_roll, hinge, finger_slide, finger_swap, string_crossing, string_skip, string_against_line),
    *(wide_hand, beyond_reach, held_note_moved, slur_broken),
)
HOLDING: dict[str, Callable[[Grips, HoldContext], Amounts]] = {cost.__name__: cost for cost in _HOLDING}
MOVING: dict[str, Callable[[Move], Amounts]] = {cost.__name__: cost for cost in _MOVING}


def holding_costs(rows: tuple[CostRow, ...], grips: Grips, policy: OpenStrings, shape: HandShape) -> Floats:
    """What holding each of many grips costs anywhere but at the beginning of a passage."""
    context = HoldContext(np.array([False]), policy, shape)
    total = np.zeros(grips.position.shape[0], np.float32)
    for row in rows:
        total += np.float32(row.value) * HOLDING[row.name](grips, context)
    return total
