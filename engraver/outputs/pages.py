"""What stands on a book's pages, before it is typeset: titles, texts, exercises, legend. Values only."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction

from engraver.errors import OutputError
from engraver.outputs.richtext import Block
from engraver.score.diagrams import Diagram
from engraver.score.page import PageStyle
from engraver.theory.rhythm import TempoRange

_LONGEST_BASE = 64


@dataclass(frozen=True, slots=True)
class Tempo:
    """A metronome mark: note value `base` (4 = quarter note) with `dots`, slowest to fastest beats a minute."""

    base: int
    dots: int
    slowest_bpm: int
    fastest_bpm: int

    @classmethod
    def of(cls, tempo: TempoRange) -> "Tempo":
        """The mark of a tempo range. Raises OutputError when no plain or dotted note value is the counted beat."""
        base = 1
        while base <= _LONGEST_BASE:
            for dots, length in ((0, Fraction(4, base)), (1, Fraction(6, base))):
                if length == tempo.beat_quarters:
                    return cls(base, dots, tempo.slowest_bpm, tempo.fastest_bpm)
            base *= 2
        raise OutputError(f"no note value lasts {tempo.beat_quarters} quarter notes, so the tempo has no mark")


@dataclass(frozen=True, slots=True)
class ExercisePage:
    """One exercise: its heading, what is said about it, and its systems by name, from top to bottom.

    `alt` is read aloud in place of the first system. `remark` stands before the tempo (rest stroke, alternate m i),
    `reason` below the music. `practice_bpms` makes the row in which the player dates each tempo.
    """

    id: str
    number: str
    title: str
    systems: tuple[str, ...]
    alt: str
    paragraphs: tuple[Block, ...] = ()
    tempo: Tempo | None = None
    remark: str = ""
    reason: str = ""
    practice_bpms: tuple[int, ...] = ()
    pictures: tuple["Picture", ...] = ()
    diagrams: tuple[Diagram, ...] = ()


@dataclass(frozen=True, slots=True)
class Picture:
    """A further picture of an exercise (a neck diagram), by name, with its alternative text."""

    name: str
    alt: str


@dataclass(frozen=True, slots=True)
class TextPage:
    """A text under a heading; in a chapter it stands between the exercises."""

    title: str
    paragraphs: tuple[Block, ...]


class Look(StrEnum):
    """The faces of the text: with serifs, without, or bold without serifs and with heavier lines for large print."""

    SERIF = "serif"
    SANS = "sans"
    LARGE = "large"


class Opening(StrEnum):
    """Where a chapter begins."""

    NEW_PAGE = "new page"
    RIGHT_PAGE = "right page"
    RUN_ON = "run on"


@dataclass(frozen=True, slots=True)
class ChapterPages:
    """A chapter; `practice_lines` blank lines are ruled at its end."""

    title: str
    items: tuple[ExercisePage | TextPage, ...]
    paragraphs: tuple[Block, ...] = ()
    practice_lines: int = 0


@dataclass(frozen=True, slots=True)
class LegendEntry:
    """A sign of the legend: its small picture by name, or a stretch of neck, and the sentence that explains it."""

    name: str
    sentence: str
    picture: str = ""
    alt: str = ""
    diagram: Diagram | None = None


@dataclass(frozen=True, slots=True)
class TermEntry:
    """A line of the glossary: a term and the sentence that says what it means."""

    name: str
    sentence: str


@dataclass(frozen=True, slots=True)
class IndexEntry:
    """A line of the index: words and the ids of the exercises they lead to."""

    words: str
    exercise_ids: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class IndexGroup:
    """A titled group of index lines, such as the keys."""

    title: str
    entries: tuple[IndexEntry, ...]


@dataclass(frozen=True, slots=True)
class BookPages:
    """A whole book. `front` texts stand before the first chapter, `back` texts after the last.

    `mirrored` puts the inner margin at the binding and swaps the running head on even pages. `facing` lets an
    exercise that needs two pages begin on an even one, so that both are seen at once.
    """

    title: str
    chapters: tuple[ChapterPages, ...]
    subtitle: str = ""
    author: str = ""
    edition: str = ""
    language: str = "en"
    page: PageStyle = field(default_factory=PageStyle)
    mirrored: bool = False
    text_size_pt: float = 10.5
    contents: bool = True
    legend: tuple[LegendEntry, ...] = ()
    glossary: tuple[TermEntry, ...] = ()
    cautions: TextPage | None = None
    front: tuple[TextPage, ...] = ()
    back: tuple[TextPage, ...] = ()
    index: tuple[IndexGroup, ...] = ()
    imprint: tuple[str, ...] = ()
    look: Look = Look.SERIF
    opening: Opening = Opening.NEW_PAGE
    facing: bool = False

    @property
    def exercises(self) -> Iterator[ExercisePage]:
        """Every exercise in printed order."""
        for chapter in self.chapters:
            yield from (item for item in chapter.items if isinstance(item, ExercisePage))


@dataclass(frozen=True, slots=True)
class SinglePage:
    """One exercise on a page of its own; `source` is the running head (the book's title), `caution` the foot line."""

    exercise: ExercisePage
    source: str = ""
    author: str = ""
    language: str = "en"
    page: PageStyle = field(default_factory=PageStyle)
    text_size_pt: float = 10.5
    legend: tuple[LegendEntry, ...] = ()
    caution: str = ""
    look: Look = Look.SERIF
