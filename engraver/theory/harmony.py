"""Roman numerals: the chords of a cadence spelled in their key, with what may be doubled and what must move."""

from dataclasses import dataclass
from functools import cache

from pydantic import BaseModel, ConfigDict

from engraver.errors import SpellingError
from engraver.tables import Table, read_table
from engraver.theory.degrees import degree_interval
from engraver.theory.key import Key
from engraver.theory.pitch import PitchName

AUGMENTED_SIXTH = "augmented sixth"
_RISING = {"German": "German rising"}


class _Row(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)


class HarmonyRow(_Row):
    """One chord of the table, in degrees."""

    printed: dict[str, str]
    also: tuple[str, ...] = ()
    bass: tuple[str, ...] = ()
    bass_in_minor: tuple[str, ...] = ()
    four: tuple[str, ...] = ()
    three: tuple[str, ...] = ()
    tendencies: dict[str, tuple[str, ...]] = {}
    leads_to: tuple[str, ...] = ()


class HarmonyCost(_Row):
    """One cost of the voicing search."""

    name: str
    value: float
    unit: str
    reason: str


class VoicingLimits(_Row):
    """What a voicing never exceeds; frets, semitones."""

    highest_fret: int
    frets_in_reach: int
    widest_leap: int
    widest_bass_leap: int
    bass_above_lowest: int


class HarmonyTable(Table):
    """tables/harmony.yaml."""

    in_minor: dict[str, str]
    chords: dict[str, HarmonyRow]
    sixths: dict[str, HarmonyRow]
    formulas: dict[int, tuple[str, ...]]
    costs: tuple[HarmonyCost, ...]
    limits: VoicingLimits


@cache
def harmony_table() -> HarmonyTable:
    """The table as shipped. Raises TableError when it is damaged."""
    return read_table("harmony", HarmonyTable)


@dataclass(frozen=True, slots=True)
class RomanChord:
    """A chord in a key.

    `basses` are the notes that may lie lowest, the usual one first. `in_four` and `in_three` list which notes sound in
    so many parts, bass among them, best first. `tendencies` names the notes that must move by the smallest step, and
    where to: to whichever of the targets the next chord has.
    """

    numeral: str
    key: Key
    printed: str
    basses: tuple[PitchName, ...]
    in_four: tuple[tuple[PitchName, ...], ...]
    in_three: tuple[tuple[PitchName, ...], ...]
    tendencies: tuple[tuple[PitchName, tuple[PitchName, ...]], ...]

    @property
    def names(self) -> frozenset[PitchName]:
        """Every note of the chord."""
        return frozenset(name for row in (*self.in_four, *self.in_three) for name in row)

    def doublings(self, parts: int) -> tuple[tuple[PitchName, ...], ...]:
        """The notes that may sound in three or four parts, best first; empty when the chord needs more parts."""
        return self.in_four if parts == 4 else self.in_three


def numerals() -> tuple[str, ...]:
    """The chords that a progression can name, as the book format writes them."""
    return tuple(harmony_table().chords)


def parse_numeral(text: str) -> str:
    """The book format's name of a chord: `ii` gives `II`, `N6` gives `Neapolitan`. Raises SpellingError."""
    wanted = " ".join(text.split())
    for name, row in harmony_table().chords.items():
        if wanted == name or wanted in row.also:
            return name
    raise SpellingError(f"'{text}' is not a chord of a cadence we know", hint="write one of: " + ", ".join(numerals()))


def may_follow(numeral: str) -> tuple[str, ...]:
    """The chords that may follow a chord in a cadence, or the chord itself struck again."""
    return (numeral, *(name for name in harmony_table().chords[numeral].leads_to if name != numeral))


def degree_name(degree: str, key: Key) -> PitchName:
    """The note of a degree: plain degrees follow the key with its raised leading note, signed ones the major scale.

    >>> [str(degree_name(degree, Key.parse("C minor"))) for degree in ("3", "6", "7", "#4", "b2")]
    ['Eb', 'Ab', 'B', 'F#', 'Db']
    """
    text = harmony_table().in_minor.get(degree, degree) if key.minor else degree
    return PitchName(key.tonic.fifths + degree_interval(text).fifths)


def roman_chord(numeral: str, key: Key, sixth: str = "German", before: str = "") -> RomanChord:
    """The chord of a numeral in a key; `sixth` is the variety of an augmented sixth, `before` the numeral after it.

    In a major key the German sixth before I6/4 has a raised second for the lowered third, since it rises (C major:
    A flat C D sharp F sharp). Source: common-practice theory, see tables/harmony.yaml.

    >>> [str(name) for name in roman_chord("augmented sixth", Key.parse("C minor")).in_four[0]]
    ['Ab', 'C', 'Eb', 'F#']
    """
    table = harmony_table()
    row = table.chords[numeral]
    if numeral == AUGMENTED_SIXTH:
        rising = before == "I6/4" and not key.minor
        row = table.sixths[_RISING.get(sixth, sixth) if rising else sixth]
    basses = row.bass_in_minor if key.minor and row.bass_in_minor else row.bass
    return RomanChord(
        numeral,
        key,
        row.printed["minor" if key.minor else "major"],
        tuple(degree_name(degree, key) for degree in basses),
        tuple(_names(degrees, key) for degrees in row.four),
        tuple(_names(degrees, key) for degrees in row.three),
        tuple((degree_name(d, key), tuple(degree_name(to, key) for to in to_)) for d, to_ in row.tendencies.items()),
    )


def progression_chords(progression: tuple[str, ...], key: Key, sixth: str = "German") -> tuple[RomanChord, ...]:
    """The chords of a whole progression, each knowing what follows it."""
    following = (*progression[1:], "")
    return tuple(roman_chord(numeral, key, sixth, after) for numeral, after in zip(progression, following, strict=True))


def _names(degrees: str, key: Key) -> tuple[PitchName, ...]:
    return tuple(degree_name(degree, key) for degree in degrees.split())
