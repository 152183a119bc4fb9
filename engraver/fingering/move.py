"""Two neighbouring events' grips side by side, with what the costs of moving ask about counted once."""

from dataclasses import dataclass

import numpy as np

from engraver.fingering.grips import FINGER_COUNT, Amounts, Floats, Grips
from engraver.fretboard.limits import Spread


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
