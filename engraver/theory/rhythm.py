"""Metres, note values and the rhythms an exercise can be set in. All lengths are in quarter notes."""

from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from pydantic import BaseModel, ConfigDict

from engraver.tables import Table, read_table


@dataclass(frozen=True, slots=True)
class Metre:
    """A time signature: `beats` of 1/`unit` notes a bar."""

    beats: int
    unit: int

    @property
    def bar_quarters(self) -> Fraction:
        """Length of a bar in quarter notes: 6/8 gives 3."""
        return Fraction(4 * self.beats, self.unit)

    @property
    def is_compound(self) -> bool:
        """True for 6/8, 9/8, 12/8 …, whose beat is dotted."""
        return self.unit >= 8 and self.beats > 3 and self.beats % 3 == 0

    @property
    def beat_quarters(self) -> Fraction:
        """Length of the felt beat in quarter notes: 4/4 gives 1, 6/8 gives 3/2, 3/8 gives 3/2."""
        if self.is_compound or (self.unit >= 8 and self.beats == 3):
            return Fraction(12, self.unit)
        return Fraction(4, self.unit)

    def __str__(self) -> str:
        return f"{self.beats}/{self.unit}"


@dataclass(frozen=True, slots=True)
class Rhythm:
    """A cycle of lengths laid over a line of notes, as named in tables/rhythms.yaml.

    `times` plays every note so often; `accents` are the accented notes of each group of `accent_group`, from 1;
    `metre` is the one in which the cycle fills beats, if it asks for its own.
    """

    name: str
    cycle_quarters: tuple[Fraction, ...]
    times: int = 1
    accents: tuple[int, ...] = ()
    accent_group: int = 1
    metre: Metre | None = None

    def onsets_and_durations(self, count: int) -> tuple[tuple[Fraction, Fraction], ...]:
        """(onset, duration) in quarter notes for `count` notes."""
        onset, out = Fraction(0), []
        for index in range(count):
            duration = self.cycle_quarters[index % len(self.cycle_quarters)]
            out.append((onset, duration))
            onset += duration
        return tuple(out)

    def accented(self, index: int) -> bool:
        """True where the note with this index (from 0) carries an accent."""
        return index % self.accent_group + 1 in self.accents


@dataclass(frozen=True, slots=True)
class TempoRange:
    """From the first week's tempo to the goal, in beats a minute; `beat_quarters` is the counted note."""

    slowest_bpm: int
    fastest_bpm: int
    beat_quarters: Fraction


class RhythmRow(BaseModel):
    """One row of the rhythm table; lengths are text fractions of a quarter note."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    lengths: tuple[str, ...]
    times: int = 1
    accents: tuple[int, ...] = ()
    accent_group: int = 1
    metre: str | None = None


class RhythmTable(Table):
    """The rhythm table."""

    rhythms: dict[str, RhythmRow]


@cache
def rhythm_names() -> tuple[str, ...]:
    """The names of all rhythms, in the table's order."""
    return tuple(read_table("rhythms", RhythmTable).rhythms)


def rhythm(name: str) -> Rhythm:
    """The named rhythm."""
    row = read_table("rhythms", RhythmTable).rhythms[name]
    metre = Metre(*map(int, row.metre.split("/"))) if row.metre else None
    lengths = tuple(Fraction(length) for length in row.lengths)
    return Rhythm(name, lengths, row.times, row.accents, row.accent_group, metre)
