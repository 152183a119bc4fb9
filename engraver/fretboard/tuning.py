"""The instrument and the player: tunings, scale length, frets, capo, reach."""

from dataclasses import dataclass, field
from functools import cache

from engraver.tables import Table, read_table
from engraver.theory.pitch import Midi, SpelledPitch

USUAL = "standard"
"""The name of the usual tuning in tables/tunings.yaml."""


class TuningTable(Table):
    """The tunings by name."""

    tunings: dict[str, tuple[str, ...]]


@cache
def tunings() -> dict[str, tuple[str, ...]]:
    """Open strings from the lowest, by the name of the tuning."""
    return read_table("tunings", TuningTable).tunings


@dataclass(frozen=True, slots=True)
class Tuning:
    """The open strings, string 1 (highest) first, as pitches read with no capo."""

    name: str
    open_strings: tuple[SpelledPitch, ...]

    def __hash__(self) -> int:
        """By the name alone: tables kept for a guitar are asked at every note, and few tunings share a name."""
        return hash(self.name)

    @property
    def open_midis(self) -> tuple[Midi, ...]:
        """MIDI numbers of the open strings, string 1 first: standard is 64 59 55 50 45 40."""
        return tuple(pitch.sounding_midi for pitch in self.open_strings)

    @property
    def is_usual(self) -> bool:
        """True for the usual six strings."""
        return self.name == USUAL


def tuning_of(open_strings: tuple[SpelledPitch, ...]) -> Tuning:
    """Strings, string 1 first, with the name of their tuning; `own` where the table has none."""
    written = tuple(str(pitch) for pitch in reversed(open_strings))
    return Tuning(next((name for name, strings in tunings().items() if strings == written), "own"), open_strings)


@cache
def usual_tuning() -> Tuning:
    """The usual tuning of the guitar."""
    return tuning_of(tuple(SpelledPitch.parse(text) for text in reversed(tunings()[USUAL])))


@dataclass(frozen=True, slots=True)
class Instrument:
    """A guitar. With a capo, frets are counted from the capo and pitches are read as if it were off."""

    tuning: Tuning
    scale_length_mm: float = 650.0
    frets: int = 19
    capo: int = 0

    @property
    def string_count(self) -> int:
        """Number of strings."""
        return len(self.tuning.open_strings)

    @property
    def highest_fret(self) -> int:
        """The last usable fret, counted from the capo."""
        return self.frets - self.capo

    def sounding(self, string: int, fret: int) -> Midi:
        """The MIDI number of a fretted note as read (capo off); string 1 = highest, fret 0 = open."""
        return Midi(self.tuning.open_midis[string - 1] + fret)

    @property
    def lowest(self) -> Midi:
        """The lowest note as read."""
        return Midi(min(self.tuning.open_midis))

    @property
    def highest(self) -> Midi:
        """The highest note as read."""
        return Midi(max(self.tuning.open_midis) + self.highest_fret)


@dataclass(frozen=True, slots=True)
class Player:
    """The hand that plays: `reach_mm` from finger 1 to finger 4 along the neck; right- or left-handed."""

    reach_mm: float = 98.0
    handed: str = field(default="right")
