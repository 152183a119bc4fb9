"""What a level asks of the fretting hand: tables/left_hand_levels.yaml."""

from typing import Any

from pydantic import BaseModel, ConfigDict

from engraver.fretboard.limits import Yielding
from engraver.tables.loader import Table, read_table


class LevelRow(BaseModel):
    """One level: its wishes under the names of the book's fields, and those of them that may be given up, in order."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    reason: str
    wishes: dict[str, str | int]
    yielding: tuple[Yielding, ...] = ()


class LevelTable(Table):
    """tables/left_hand_levels.yaml."""

    levels: dict[str, LevelRow]


def level_names() -> tuple[str, ...]:
    """The levels from the first lessons up: beginner, intermediate, advanced, diploma."""
    return tuple(read_table("left_hand_levels", LevelTable).levels)


def level_row(name: str) -> LevelRow:
    """What a level asks. Raises KeyError for a name that is no level."""
    return read_table("left_hand_levels", LevelTable).levels[name]


def without_level(hand: dict[str, Any], level: Any) -> dict[str, Any]:
    """A hand's fields without those that a level named nearer by speaks of; all of them for no known level."""
    if level not in level_names():
        return hand
    return {name: value for name, value in hand.items() if name not in level_row(level).wishes}
