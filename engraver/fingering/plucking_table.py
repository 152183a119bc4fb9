"""The rows of tables/plucking.yaml: patterns of alternation, and what the free planning of letters weighs."""

from fractions import Fraction
from functools import cached_property

from pydantic import BaseModel, ConfigDict

from engraver.tables import Table, read_table
from engraver.theory.passage import PluckingFinger


class Weight(BaseModel):
    """One weight: its cost `value` per `unit` and the `reason` for it; lower totals are better.

    `by_hand` is the value first set by hand, from which the tuning on editors' letters started.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    name: str
    value: float
    by_hand: float
    unit: str
    reason: str


class BrokenChord(BaseModel):
    """When a run of single notes counts as a broken chord.

    Either at least `crossing_share` of neighbours lie on different strings and on average the way across the
    strings turns back within `notes_to_turn` notes; or at least `leap_share` of neighbours skip a string.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    crossing_share: float
    notes_to_turn: float
    leap_share: float


class Surroundings(BaseModel):
    """How far free planning looks: `attacks` to each side; `wide_strings` needed within `grasp_quarters` are many.

    Less than `easy_quarters` between two attacks leaves no time to bring the same finger back at ease. A line is at
    least `line_notes` single notes of one voice within `line_attacks` to each side, of whose moves `step_share` or
    more are no wider than `step_semitones`, not all below the `fingers_strings` highest strings.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    attacks: int
    grasp_quarters: Fraction
    wide_strings: int
    easy_quarters: Fraction
    line_attacks: int
    line_notes: int
    step_semitones: int
    step_share: float
    fingers_strings: int


class Together(BaseModel):
    """What one hand may do for the other.

    `alternatives`: so many fingerings of the fretting hand are compared. `cost_per_crossing`: what the fretting hand
    may pay more, in its own cost, for each awkward crossing spared.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    alternatives: int
    cost_per_crossing: float


class PluckingTable(Table):
    """The table of the plucking hand.

    `line_pattern`: what a single line gets when the book asks for nothing. `patterns`: the alternations worth
    comparing, each with every first finger. `fingers`: those that free planning may use. `forbidden`: what a
    stroke against a rule costs, so that it is taken only where the exercise itself forces it. `surroundings`:
    how far planning looks around.
    """

    line_pattern: tuple[PluckingFinger, ...]
    patterns: tuple[tuple[PluckingFinger, ...], ...]
    broken_chord: BrokenChord
    fingers: tuple[PluckingFinger, ...]
    forbidden: float
    surroundings: Surroundings
    together: Together
    weights: tuple[Weight, ...]

    @cached_property
    def values(self) -> dict[str, float]:
        """The weights by name."""
        return {weight.name: weight.value for weight in self.weights}


def plucking_table() -> PluckingTable:
    """The table, read once. Raises TableError when it is damaged."""
    table: PluckingTable = read_table("plucking", PluckingTable)
    return table
