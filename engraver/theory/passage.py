"""The passage: what is to be played, spelled and timed, before any hand touches it."""

from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from functools import cached_property

from engraver.theory.pitch import SpelledPitch
from engraver.theory.rhythm import Metre, TempoRange
from engraver.theory.signs import Articulation, Direction, Way


class PluckingFinger(StrEnum):
    """The plucking hand, by the trade's letters (pulgar, índice, medio, anular; c = little finger)."""

    THUMB = "p"
    INDEX = "i"
    MIDDLE = "m"
    RING = "a"
    LITTLE = "c"


class Dynamic(StrEnum):
    """The signs of loudness, softest first, then those that stress one note. Source: common practice."""

    PPP = "ppp"
    PP = "pp"
    P = "p"
    MP = "mp"
    MF = "mf"
    F = "f"
    FF = "ff"
    FFF = "fff"
    SF = "sf"
    SFZ = "sfz"
    RF = "rf"
    FP = "fp"


class HarmonicKind(StrEnum):
    """How the string lies when it is touched: open, or stopped by the fretting hand."""

    NATURAL = "natural"
    ARTIFICIAL = "artificial"


@dataclass(frozen=True, slots=True)
class Harmonic:
    """How a note is made to sound as a harmonic: the string is touched at a node, not pressed, and plucked.

    `partial` counts the partials of the string as it lies (2 = an octave higher). `node_frets` is the whole number of
    frets nearest to the node, counted from the nut (or capo) on an open string and from the stopped fret on a stopped
    one; `engraver.fretboard.harmonics` knows which nodes there are.
    """

    kind: HarmonicKind
    partial: int = 2
    node_frets: int = 12


@dataclass(frozen=True, slots=True)
class Hairpin:
    """A growing or fading of loudness between two times in quarters, printed as a wedge.

    `words`: printed as *cresc.* or *dim.* instead, with a line of dashes where `dashes` says so.
    """

    start_quarters: Fraction
    end_quarters: Fraction
    grows: bool
    words: bool = False
    dashes: bool = False

    def moved(self, quarters: Fraction) -> "Hairpin":
        """The same, later by so many quarters."""
        return replace(self, start_quarters=self.start_quarters + quarters, end_quarters=self.end_quarters + quarters)

    def within(self, start: Fraction, end: Fraction) -> "Hairpin | None":
        """What of it lies between two times; None for nothing."""
        first, last = max(start, self.start_quarters), min(end, self.end_quarters)
        return replace(self, start_quarters=first, end_quarters=last) if first < last else None


class Grace(StrEnum):
    """A small note before a note, outside the bar's count: short (printed with a stroke) or leaning."""

    SHORT = "short"
    LEANING = "leaning"


@dataclass(frozen=True, slots=True)
class Note:
    """One note of a passage.

    `string`, `finger` (0 = open, 1-4) and `plucking` are set only where the exercise itself demands them (a formula
    over a chord, a finger drill); otherwise the hands are planned later. `slurred` means: sounded by the fretting hand
    from the note before. `held_quarters` is how long the finger stays down when that is longer than the written value
    (an arpeggiated chord). `dynamic` is a sign of loudness that the whole passage takes from this note on; at most one
    note of an onset bears it. `harmonic` is set on a note sounded as a harmonic: `pitch` is then the pitch as heard,
    `finger` the finger that touches an open string or stops the string. `articulations` stand in their own order. A
    `grace` note lies shortly before the note of its voice that it belongs to, where only the order matters.
    """

    pitch: SpelledPitch
    onset_quarters: Fraction
    duration_quarters: Fraction
    voice: int = 1
    string: int | None = None
    plucking: PluckingFinger | None = None
    slurred: bool = False
    held_quarters: Fraction | None = None
    finger: int | None = None
    accent: bool = False
    dynamic: Dynamic | None = None
    harmonic: Harmonic | None = None
    articulations: tuple[Articulation, ...] = ()
    grace: Grace | None = None

    @property
    def end_quarters(self) -> Fraction:
        """Where the fretting finger may leave the note, in quarter notes from the start."""
        return self.onset_quarters + (self.held_quarters or self.duration_quarters)


@dataclass(frozen=True, slots=True)
class PassageBar:
    """A bar with its own metre and key signature; a bar shorter than its metre is an upbeat when it comes first.

    `number` is the printed number of the bar in the piece it comes from. `repeat_start` and `repeat_end` are repeat
    signs at its two ends, `double` a double line at its end; `endings` are the passes of a repeat in which it is
    played, `ways` the words at its end (or signs at its beginning) that send the player elsewhere.
    """

    onset_quarters: Fraction
    length_quarters: Fraction
    metre: Metre
    key_fifths: int
    number: str
    repeat_start: bool = False
    repeat_end: bool = False
    double: bool = False
    endings: tuple[int, ...] = ()
    ways: tuple[Way, ...] = ()

    @property
    def end_quarters(self) -> Fraction:
        """Where the next bar begins."""
        return self.onset_quarters + self.length_quarters


@dataclass(frozen=True)
class Passage:
    """A spelled and timed passage, notes in order of onset and then from low to high.

    `key_fifths` is the key signature (-7 = seven flats … 7 = seven sharps). `turn` is the index of the note on
    which an up-and-down line turns. `repeated` asks for repeat signs around the whole passage. `bars` is given where
    they are not all alike: with an upbeat (which ends where a whole bar would) or a change of metre or key. `remarks`
    are what the reader of the book's warnings should know. `repertoire` is music that was not made as an exercise.
    `hairpins` begin on notes and do not overlap; `directions` are words over the music. `grips`: of a study whose
    every bar is laid on a chord, the whole chord of each bar as strings and pitches, plucked or not.
    """

    notes: tuple[Note, ...]
    key_fifths: int
    metre: Metre
    tempo: TempoRange | None = None
    turn: int | None = None
    repeated: bool = False
    bars: tuple[PassageBar, ...] = ()
    remarks: tuple[str, ...] = ()
    repertoire: bool = False
    hairpins: tuple[Hairpin, ...] = ()
    directions: tuple[Direction, ...] = ()
    grips: tuple[tuple[tuple[int, SpelledPitch], ...], ...] = ()

    @property
    def all_bars(self) -> tuple[PassageBar, ...]:
        """The bars as given, or else as many equal ones as the notes need."""
        if self.bars:
            return self.bars
        length = self.metre.bar_quarters
        end = max((note.onset_quarters + note.duration_quarters for note in self.notes), default=length)
        count = -int(-end // length)
        return tuple(PassageBar(n * length, length, self.metre, self.key_fifths, str(n + 1)) for n in range(count))

    def bar_number(self, onset_quarters: Fraction) -> str:
        """The printed number of the bar in which something begins."""
        if not self.bars:
            return str(int(onset_quarters // self.metre.bar_quarters) + 1)
        begun = [bar for bar in self.bars if bar.onset_quarters <= onset_quarters]
        return (begun or self.bars)[-1 if begun else 0].number

    @cached_property
    def events(self) -> tuple[tuple[int, ...], ...]:
        """Indices of the notes that start together, in order of onset."""
        groups: list[list[int]] = []
        for index, note in enumerate(self.notes):
            if groups and self.notes[groups[-1][0]].onset_quarters == note.onset_quarters:
                groups[-1].append(index)
            else:
                groups.append([index])
        return tuple(tuple(group) for group in groups)
