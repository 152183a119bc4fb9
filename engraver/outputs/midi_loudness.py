"""How loud each note of a MIDI file is: by the signs of loudness as they are met in playing."""

from collections.abc import Iterable
from fractions import Fraction

from pydantic import BaseModel, ConfigDict, Field

from engraver.score.model import Element
from engraver.tables import read_table
from engraver.tables.loader import Table
from engraver.theory.passage import Dynamic


class _Sign(BaseModel):
    """The velocity of the notes under a sign, and of those after it where it lasts."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    struck: int = Field(ge=1, le=127)
    after: int | None = Field(None, ge=1, le=127)


class _Dynamics(Table):
    unmarked: int = Field(ge=1, le=127)
    signs: dict[Dynamic, _Sign]


class Loudness:
    """The velocity in force while the bars of a score are played in order."""

    def __init__(self) -> None:
        self._table = read_table("dynamics", _Dynamics)
        self._now = self._table.unmarked

    def velocities(self, elements: Iterable[Element]) -> dict[Fraction, int]:
        """The velocity at each onset of a bar, whose elements come in order; a sign holds for all voices."""
        signs: dict[Fraction, Dynamic | None] = {}
        for element in elements:
            signs[element.onset_quarters] = signs.get(element.onset_quarters) or element.dynamic
        return {onset: self._struck(sign) for onset, sign in signs.items()}

    def _struck(self, sign: Dynamic | None) -> int:
        if sign is None:
            return self._now
        row = self._table.signs[sign]
        self._now = row.after or self._now
        return row.struck
