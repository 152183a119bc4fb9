"""The numbers of context spelling, read once from tables/spelling.yaml."""

from functools import cache

from pydantic import BaseModel, ConfigDict

from engraver.tables import Table, read_table


class _Row(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Weight(_Row):
    """One weight: its name, its value in `unit`, why it is there, and for a fitted one where the fit starts."""

    name: str
    value: float
    unit: str
    reason: str
    start: float | None = None


class Span(_Row):
    """A stretch of the line of fifths, both ends included (C = 0, G = 1)."""

    flattest: int
    sharpest: int


class Profiles(_Row):
    """How often each name occurs in a key, in per cent; the row starts at `first` fifths from the signature."""

    first: int
    major: tuple[float, ...]
    minor: tuple[float, ...]
    elsewhere: float


class LineNames(_Row):
    """The names an unaccompanied line uses, counted from its key signature."""

    major: Span
    minor: Span


class SpellingWeights(Table):
    """Everything that context spelling weighs."""

    signatures: Span
    names: Span
    profiles: Profiles
    line: LineNames
    keys: tuple[Weight, ...]
    limits: tuple[Weight, ...]
    voice_leading: tuple[Weight, ...]


@cache
def spelling_weights() -> SpellingWeights:
    """The weights as shipped. Raises TableError when the table is damaged."""
    return read_table("spelling", SpellingWeights)


def weight(name: str) -> float:
    """The value of a key weight or a limit. Raises KeyError for a name that the table lacks."""
    return _values()[name]


@cache
def _values() -> dict[str, float]:
    weights = spelling_weights()
    return {row.name: row.value for row in weights.keys + weights.limits}
