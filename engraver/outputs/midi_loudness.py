"""How loud each note of a MIDI file is: by the signs of loudness and hairpins as they are met in playing."""

from collections.abc import Iterable
from fractions import Fraction

from pydantic import BaseModel, ConfigDict, Field

from engraver.score.model import Element, Score
from engraver.tables import read_table
from engraver.tables.loader import Table
from engraver.theory.passage import Dynamic, Hairpin

_SOFTEST, _LOUDEST = 1, 127  # of a sounding note; source: MIDI 1.0


class _Sign(BaseModel):
    """The velocity of the notes under a sign, and of those after it where it lasts."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    struck: int = Field(ge=1, le=127)
    after: int | None = Field(None, ge=1, le=127)


class _Dynamics(Table):
    unmarked: int = Field(ge=1, le=127)
    hairpin: int = Field(ge=1, le=127)
    signs: dict[Dynamic, _Sign]


class Loudness:
    """The velocity in force while the bars of a score are played in order."""

    def __init__(self, score: Score) -> None:
        self._table = read_table("dynamics", _Dynamics)
        self._now = self._table.unmarked
        self._hairpins = score.hairpins
        self._signs = {e.onset_quarters: e.dynamic for e in score.elements if e.dynamic is not None}
        self._running: tuple[Hairpin, int, int] | None = None

    def velocities(self, elements: Iterable[Element]) -> dict[Fraction, int]:
        """The velocity at each onset of a bar, whose elements come in order; a sign holds for all voices."""
        signs: dict[Fraction, Dynamic | None] = {}
        for element in elements:
            signs[element.onset_quarters] = signs.get(element.onset_quarters) or element.dynamic
        return {onset: self._at(onset, sign) for onset, sign in signs.items()}

    def _at(self, onset: Fraction, sign: Dynamic | None) -> int:
        """The velocity at an onset: of its sign, else of the hairpin over it, else as before."""
        self._leave(onset)
        struck = self._struck(sign)
        begun = next((h for h in self._hairpins if h.start_quarters == onset), None)
        if begun is not None:
            self._running = (begun, self._now, self._aim(begun))
        elif self._running is not None and sign is None:
            return self._between(onset, *self._running)
        return struck

    def _leave(self, onset: Fraction) -> None:
        """Ends the running hairpin where it is over, and where a repeat leads away from it."""
        if self._running is None:
            return
        hairpin, _, aim = self._running
        if not hairpin.start_quarters < onset < hairpin.end_quarters:
            self._now = aim
            self._running = None

    def _aim(self, hairpin: Hairpin) -> int:
        """Where a hairpin leads: to the sign at its end if that lies its way, else so far as the table says."""
        sign = self._signs.get(hairpin.end_quarters)
        way = 1 if hairpin.grows else -1
        if sign is not None and (self._table.signs[sign].struck - self._now) * way > 0:
            return self._table.signs[sign].struck
        return max(_SOFTEST, min(_LOUDEST, self._now + way * self._table.hairpin))

    @staticmethod
    def _between(onset: Fraction, hairpin: Hairpin, begun: int, aim: int) -> int:
        share = (onset - hairpin.start_quarters) / (hairpin.end_quarters - hairpin.start_quarters)
        return round(begun + (aim - begun) * share)

    def _struck(self, sign: Dynamic | None) -> int:
        if sign is None:
            return self._now
        row = self._table.signs[sign]
        self._now = row.after or self._now
        return row.struck
