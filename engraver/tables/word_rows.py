"""The rows of a table of printed words, group by group, and words with further forms."""

from collections.abc import Mapping

from pydantic import BaseModel, ConfigDict


class Row(BaseModel):
    """A frozen group of words that allows no unknown row."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)


class Inflected(str):
    """A word with further forms, which a pattern asks for after a colon: `{tonic:small}` gives `a` for `A`.

    A form the word does not have falls back to the word itself, so that only what differs is written down.
    """

    __slots__ = ("forms",)
    forms: Mapping[str, str]

    def __new__(cls, word: str, **forms: str) -> "Inflected":
        """The word with its forms by name."""
        made = super().__new__(cls, word)
        made.forms = forms
        return made

    def __format__(self, form: str) -> str:
        """The form asked for, or the word itself."""
        return self.forms.get(form, str(self))


class LanguageWords(Row):
    """The language itself: its code (BCP 47), its own name, and how it writes numbers and ranges."""

    code: str
    name: str
    range: str
    list_separator: str
    list_last: str


class BookWords(Row):
    """Fixed phrases of the book's pages."""

    contents: str
    chapter: str
    exercise: str
    exercises: str
    page: str
    legend: str
    legend_here: str
    glossary: str
    cautions: str
    introduction: str
    imprint: str
    index: str
    index_keys: str
    index_techniques: str
    practice_lines: str
    date: str
    name: str
    continued: str
    why: str
    edition: str
    instrument: str
    player: str
    draft: str


class TempoWords(Row):
    """Tempo in words and at the practice table."""

    title: str
    mark: str
    single: str
    each_week: str


class StrokeWords(Row):
    """How the plucking finger leaves the string, and what it alternates."""

    rest: str
    free: str
    alternate: str
    formula: str
    twice: str


class GuitarWords(Row):
    """How the guitar is tuned where it is not the usual way, and where its capo sits."""

    retuned: str
    tuning: str
    capo: str


class NoteWords(Row):
    """Note names: letters, sign words by alteration, the pattern that joins them, and names that break the rule.

    `roots` are the roots of chord symbols that the language writes with another letter (German H7 for B7), the longer
    first.
    """

    letters: dict[str, str]
    signs: dict[int, str]
    joined: str
    irregular: dict[str, str]
    roots: dict[str, str] = {}


class ValueWords(Row):
    """Note values by their base (1 = whole note), singular and plural; dotted ones; tuplets by their number."""

    names: dict[int, str]
    plurals: dict[int, str]
    dotted: str
    rest: str
    tuplets: dict[int, str]


class NumberWords(Row):
    """Small numbers in words, and counted things; `feminine` holds the numbers that change before a feminine noun.

    The patterns for one thing (octave, bar, sharp, flat) hold the number themselves; the others name it as `{count}` or
    `{count:feminine}`.
    """

    cardinals: dict[int, str]
    feminine: dict[int, str] = {}
    ordinals: dict[int, str]
    octave: str
    octaves: str
    bar: str
    bars: str
    sharp: str
    sharps: str
    flat: str
    flats: str
    no_signs: str


class TitleWords(Row):
    """Exercise titles by kind; `{scale}` and `{chord}` hold their tonic, `{octaves}` is a count: two octaves."""

    scale: str
    scale_range: str
    chord: str
    chord_inversion: str
    chord_in_key: str
    double_stops: str
    sequence: str
    chromatic: str
    right_hand: str
    cadence: str
    resolved: str
    four_keys: str
    chain: str
    excerpt: str
    qualified: str
    position: str


class NameWords(Row):
    """Names of musical things by the name a book file gives them.

    `scales`, `keys` and `chords_on` name their tonic as `{tonic}`, or `{tonic:small}` where the language writes it
    small (German minor keys); `chords` are the same chords without a tonic. `techniques` are headings of the index.
    """

    scales: dict[str, str]
    chords: dict[str, str]
    chords_on: dict[str, str]
    techniques: dict[str, str]
    inversions: dict[int, str]
    sequences: dict[str, str]
    broken: str
    whole_neck: str
    intervals: dict[str, str]
    chromatic: dict[str, str]
    directions: dict[str, str]
    rhythms: dict[str, str]
    metres: dict[str, str]
    metre: str
    notations: dict[str, str]
    keys: dict[str, str]
    harmonies: dict[str, str]
    manners: dict[str, str]
    chains: dict[str, str]


class DrillWords(Row):
    """Titles and cautions of finger drills; the groups of words go by the manner that a book names."""

    string: str
    strings: str
    strings_between: str
    positions: str
    fret: str
    frets: str
    slurs: dict[str, str]
    finger_orders: dict[str, str]
    across: str
    held: str
    tremolo: str
    shifts: dict[str, str]
    barre: dict[str, str]
    grip: str
    qualities: dict[str, str]
    crossings: str
    times: str
    once: str
    stopped: str
    harmonics: dict[str, str]
    cautions: dict[str, str]


class ReasonWords(Row):
    """Why a thing is written as it is, where an exercise says so itself."""

    symmetric: str
    four_keys: str
    alike: str
    turn: str
    rising: str


class FingeringWords(Row):
    """Why the fretting hand plays as it does: its shifts, and what it does for the plucking hand's sake.

    `{positions}` is a move such as II-V; `back` adds the way back where it differs from the way there.
    """

    no_shift: str
    opening: str
    stepwise: str
    one_shift: str
    shifts: str
    many_shifts: str
    on_string: str
    across: str
    over_open: str
    back: str
    other_hand: str
    slurred: str


class SignWords(Row):
    """A sign of the legend: its short name, the sentence that explains it, and words for its picture."""

    name: str
    sentence: str
    picture: str


class AltWords(Row):
    """Alternative texts, read aloud in place of pictures."""

    exercise: str
    begins: str
    ends: str
    positions: str
    system: str
    key_signature: str
    tempo: str
    neck_diagram: str
    neck_string: str
    neck_open: str
    neck_fret: str
    neck_finger: str
    neck_root: str
    title_ornament: str


class CautionWords(Row):
    """The page on practising without harm, and its one-line form for a single page."""

    intro: str
    rules: list[str]
    closing: str
    one_line: str
