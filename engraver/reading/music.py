"""What was read from a music file: parts, bars and notes as frozen values. No format's word, no tree."""

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from engraver.theory.passage import Hairpin, HarmonicKind, PluckingFinger
from engraver.theory.pitch import Interval, SpelledPitch
from engraver.theory.rhythm import Metre
from engraver.theory.signs import Articulation, Direction, Way

AS_WRITTEN = Interval(0, 0)
"""The transposition of an instrument that sounds as it is written."""


@dataclass(frozen=True, slots=True)
class Handle:
    """Where a note stands in its file: part, measure and item, each counted from 0; its line from 1."""

    part: int
    measure: int
    item: int
    line: int


class HarmonicPitch(StrEnum):
    """Which of a harmonic's pitches a note head stands on."""

    BASE = "base"
    TOUCHING = "touching"
    SOUNDING = "sounding"


@dataclass(frozen=True, slots=True)
class EditorMarks:
    """The marks that a note already bears; None where the editor printed nothing.

    `finger` 0 = open or 1-4; `string` 1 = highest; `harmonic`: it sounds elsewhere than its fret says;
    of which kind, and what its head tells, are None where the file does not say.
    """

    finger: int | None = None
    string: int | None = None
    fret: int | None = None
    plucking: PluckingFinger | None = None
    harmonic: bool = False
    harmonic_kind: HarmonicKind | None = None
    harmonic_pitch: HarmonicPitch | None = None


NO_MARKS = EditorMarks()


@dataclass(frozen=True, slots=True)
class ReadNote:
    """One note head of a file.

    `pitch` is the pitch as written in the file, `sounding` the pitch as heard; both are None for a pitch between the
    semitones. `bar` counts measures from 0, `onset_quarters` from the start of the file. Grace notes have no duration;
    `stroke_through` is the short kind. `slurred`: sounded by the fretting hand from the note before. `tablature`: the
    copy of a note on a tablature staff.
    """

    pitch: SpelledPitch | None
    sounding: SpelledPitch | None
    onset_quarters: Fraction
    duration_quarters: Fraction
    bar: int
    voice: str
    staff: int
    handle: Handle
    marks: EditorMarks = NO_MARKS
    grace: bool = False
    stroke_through: bool = False
    tie_start: bool = False
    tie_stop: bool = False
    slur_starts: tuple[str, ...] = ()
    slur_stops: tuple[str, ...] = ()
    slurred: bool = False
    accent: bool = False
    articulations: tuple[Articulation, ...] = ()
    tablature: bool = False

    def later(self, quarters: Fraction) -> "ReadNote":
        """The same, later by so many quarters."""
        return ReadNote(  # written out: `replace` takes ten times as long, and long files have many notes
            self.pitch,
            self.sounding,
            quarters + self.onset_quarters,
            self.duration_quarters,
            self.bar,
            self.voice,
            self.staff,
            self.handle,
            self.marks,
            self.grace,
            self.stroke_through,
            self.tie_start,
            self.tie_stop,
            self.slur_starts,
            self.slur_stops,
            self.slurred,
            self.accent,
            self.articulations,
            self.tablature,
        )


@dataclass(frozen=True, slots=True)
class ReadDynamic:
    """A sign of loudness in letters (`mf`), and the time at which it takes hold."""

    sign: str
    onset_quarters: Fraction


class SpanKind(StrEnum):
    """What the end of a mark that lasts belongs to."""

    WEDGE = "wedge"
    DASHES = "dashes"
    WORD = "word"


@dataclass(frozen=True, slots=True)
class ReadSpanEnd:
    """A point at which a hairpin begins (`grows` says which way) or stops (`grows` is None); `number` pairs the two."""

    kind: SpanKind
    number: str
    onset_quarters: Fraction
    grows: bool | None = None


@dataclass(frozen=True, slots=True)
class ReadBar:
    """A measure: its printed number, where it begins, how long it is, and what is in force in it.

    `key_fifths` is None where the file states no key signature. `endings` are the passes for which it is played,
    `ways` the words and signs that send the player elsewhere.
    """

    number: str
    onset_quarters: Fraction
    length_quarters: Fraction
    metre: Metre
    key_fifths: int | None
    minor: bool = False
    repeat_start: bool = False
    repeat_end: bool = False
    double: bool = False
    endings: tuple[int, ...] = ()
    ways: tuple[Way, ...] = ()


@dataclass(frozen=True, slots=True)
class ReadPart:
    """One part (a player). `tuning` has the open strings from string 1, where the file tells them; else it is empty.

    `retuned` names single strings (1 = highest) with the pitch they are tuned to.

    `transposition` leads from the written pitch to the sounding one. `octave_clef` is True where a clef with an 8 says
    so, `program` is the General MIDI program from 0.
    """

    name: str
    notes: tuple[ReadNote, ...]
    bars: tuple[ReadBar, ...]
    tuning: tuple[SpelledPitch, ...] = ()
    retuned: tuple[tuple[int, SpelledPitch], ...] = ()
    capo: int = 0
    transposition: Interval = AS_WRITTEN
    octave_clef: bool = False
    has_tablature: bool = False
    program: int | None = None
    dynamics: tuple[ReadDynamic, ...] = ()
    hairpins: tuple[Hairpin, ...] = ()
    directions: tuple[Direction, ...] = ()

    def bar_number(self, bar: int) -> str:
        """The printed number of a measure, counted from 0."""
        return self.bars[bar].number if bar < len(self.bars) else str(bar + 1)


@dataclass(frozen=True, slots=True)
class ReadMusic:
    """A whole file: its words and its parts. `beats_a_minute` counts quarter notes, at the beginning."""

    file: str
    title: str
    composer: str
    rights: str
    source: str
    parts: tuple[ReadPart, ...]
    beats_a_minute: Fraction | None = None
