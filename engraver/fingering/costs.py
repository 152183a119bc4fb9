"""What the fretting hand pays: the table of weights, and the functions that count what each row weighs.

Each function counts an amount in the row's unit; the row's value times the amount is the cost. Costs of holding
(`HOLDING`) look at one event, costs of moving (`MOVING`) at two neighbouring events, and all count for many grips at
once. What the hand remembers is counted along a finished fingering.
"""

from functools import cache

import numpy as np
from pydantic import BaseModel, ConfigDict

from engraver.fingering.grips import Amounts, Floats, Grips
from engraver.fingering.holding import HOLDING, HoldContext
from engraver.fingering.move import Move, MoveContext
from engraver.fingering.moving import MOVING, held_notes_moved
from engraver.fretboard.limits import HandShape, OpenStrings
from engraver.tables.loader import Table, read_table

__all__ = [
    "BREAKING",
    "HOLDING",
    "MOVING",
    "REMEMBERING",
    "Amounts",
    "CostRow",
    "CostTable",
    "HoldContext",
    "Move",
    "MoveContext",
    "SearchSizes",
    "cost_table",
    "held_notes_moved",
    "holding_costs",
    "remembering",
    "repertoire_table",
]

BREAKING = ("chord_broken",)
REMEMBERING = ("finger_called_back", "unlike_before", "unusual_grip", "shape_refingered")


class CostRow(BaseModel):
    """One weight: cost per unit, with its reason.

    `technique_only`: repertoire, where habits speak, does not pay it; `binding`: repertoire pays it in full also where
    other moves are eased for the sake of editors' marks.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    name: str
    value: float
    unit: str
    reason: str
    technique_only: bool = False
    binding: bool = False


class SearchSizes(BaseModel):
    """How much the search keeps."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    grips: int
    grips_per_position: int
    events_per_block: int
    rounds: int
    next_best: int
    events_of_next_best: int
    repertoire_grips: int


class CostTable(Table):
    """tables/fingering_costs.yaml."""

    search: SearchSizes
    holding: tuple[CostRow, ...]
    moving: tuple[CostRow, ...]
    breaking: tuple[CostRow, ...]
    remembering: tuple[CostRow, ...]


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


def holding_costs(
    rows: tuple[CostRow, ...], grips: Grips, policy: OpenStrings, shape: HandShape, first: bool = False
) -> Floats:
    """What holding each of many grips costs; `first` at the beginning of a passage."""
    context = HoldContext(np.array([first]), policy, shape)
    total = np.zeros(grips.position.shape[0], np.float32)
    for row in rows:
        total += np.float32(row.value) * HOLDING[row.name](grips, context)
    return total
