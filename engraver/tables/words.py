"""The printed words of a book, one table a language: fixed phrases, titles, legend, cautions, alternative texts.

A language is added by a table `tables/words/<code>.yaml` with the same rows; nothing else changes. Patterns name
their places in braces; a test holds every language to the same places.
"""

from collections.abc import Mapping
from functools import cache
from pathlib import Path

from pydantic import BaseModel, ConfigDict

from engraver.errors import SpecError
from engraver.tables.loader import Table, read_table

_FOLDER = Path(__file__).parent / "words"


class _Row(BaseModel):
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


class LanguageWords(_Row):
    """The language itself: its code (BCP 47), its own name, and how it writes numbers and ranges."""

    code: str
    name: str
    range: str
    list_separator: str
    list_last: str


class BookWords(_Row):
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


class TempoWords(_Row):
    """Tempo in words and at the practice table."""

    title: str
    mark: str
    single: str
    each_week: str


class StrokeWords(_Row):
    """How the plucking finger leaves the string, and what it alternates."""

    rest: str
    free: str
    alternate: str
    formula: str
    twice: str


class GuitarWords(_Row):
    """How the guitar is tuned where it is not the usual way, and where its capo sits."""

    retuned: str
    tuning: str
    capo: str


class NoteWords(_Row):
    """Note names: letters, sign words by alteration, the pattern that joins them, and names that break the rule.

    `roots` are the roots of chord symbols that the language writes with another letter (German H7 for B7), the longer
    first.
    """

    letters: dict[str, str]
    signs: dict[int, str]
    joined: str
    irregular: dict[str, str]
    roots: dict[str, str] = {}


class ValueWords(_Row):
    """Note values by their base (1 = whole note), singular and plural; dotted ones; tuplets by their number."""

    names: dict[int, str]
    plurals: dict[int, str]
    dotted: str
    rest: str
    tuplets: dict[int, str]


class NumberWords(_Row):
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


class TitleWords(_Row):
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


class NameWords(_Row):
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


class DrillWords(_Row):
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


class ReasonWords(_Row):
    """Why a thing is written as it is, where an exercise says so itself."""

    symmetric: str
    four_keys: str
    alike: str
    turn: str
    rising: str


class FingeringWords(_Row):
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


class SignWords(_Row):
    """A sign of the legend: its short name, the sentence that explains it, and words for its picture."""

    name: str
    sentence: str
    picture: str


class AltWords(_Row):
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


class CautionWords(_Row):
    """The page on practising without harm, and its one-line form for a single page."""

    intro: str
    rules: list[str]
    closing: str
    one_line: str


class Words(Table):
    """Every printed word of one language."""

    language: LanguageWords
    book: BookWords
    tempo: TempoWords
    strokes: StrokeWords
    guitar: GuitarWords
    notes: NoteWords
    values: ValueWords
    numbers: NumberWords
    titles: TitleWords
    drills: DrillWords
    names: NameWords
    reasons: ReasonWords
    fingering: FingeringWords
    signs: dict[str, SignWords]
    cautions: CautionWords
    alt: AltWords

    def note_name(self, letter: str, alter: int = 0) -> str:
        """A note name as printed in a title: letter C to B, `alter` -2..2 semitones.

        >>> words("en").note_name("E", -1)
        'E flat'
        """
        sign = self.notes.signs[alter]
        plain = self.notes.joined.format(letter=self.notes.letters[letter], sign=sign).strip()
        name = self.notes.irregular.get(f"{letter}{alter:+d}", plain)
        return Inflected(name, small=name[:1].lower() + name[1:])

    @property
    def one_word_names(self) -> bool:
        """True where a letter and its sign make one word: Fis, not F sharp."""
        return " " not in self.notes.joined

    def scale_name(self, letter: str, alter: int, scale: str) -> str:
        """A scale on its tonic, by the name the book file gives it: G major, g-Moll, sol mineur."""
        return self.names.scales[scale].format(tonic=self.note_name(letter, alter))

    def key_name(self, letter: str, alter: int, minor: bool) -> str:
        """A key by its tonic: C minor, c-Moll, do mineur."""
        return self.names.keys["minor" if minor else "major"].format(tonic=self.note_name(letter, alter))

    def chord_name(self, letter: str, alter: int, chord: str) -> str:
        """A chord or its arpeggio on a root: Diminished seventh on B."""
        return self.names.chords_on[chord].format(tonic=self.note_name(letter, alter))

    def chord_symbol(self, printed: str) -> str:
        """A printed chord symbol with the root letter of the language: B7 gives H7 in German, and B\u266d gives B."""
        for root, own in self.notes.roots.items():
            if printed.startswith(root):
                return own + printed.removeprefix(root)
        return printed

    def value_name(self, base: int, dots: int = 0) -> str:
        """A note value in words: 4 gives crotchet, 4 with a dot dotted crotchet."""
        name = self.values.names[base]
        return self.values.dotted.format(value=name) if dots else name

    def tempo_text(self, base: int, dots: int, slowest_bpm: int, fastest_bpm: int) -> str:
        """A tempo range in words and figures: crotchet = 60 to 96 with the language's dash; a single tempo once."""
        figures = self.span(slowest_bpm, fastest_bpm)
        return self.tempo.mark.format(value=self.value_name(base, dots), figures=figures)

    def span(self, lowest: int, highest: int) -> str:
        """A range of figures with the dash of the language, or one figure when both ends are the same."""
        if lowest == highest:
            return str(lowest)
        return self.language.range.format(first=lowest, last=highest)

    def octaves(self, count: int) -> str:
        """A count of octaves: one octave, two octaves."""
        pattern = self.numbers.octave if count == 1 else self.numbers.octaves
        return pattern.format(count=self.number(count))

    def bars(self, count: int) -> str:
        """A count of bars: one bar, four bars."""
        pattern = self.numbers.bar if count == 1 else self.numbers.bars
        return pattern.format(count=self.number(count))

    def signature(self, key_fifths: int) -> str:
        """A key signature in words: three flats, one sharp, no sharps or flats."""
        if key_fifths == 0:
            return self.numbers.no_signs
        one, many = (
            (self.numbers.sharp, self.numbers.sharps) if key_fifths > 0 else (self.numbers.flat, self.numbers.flats)
        )
        return (one if abs(key_fifths) == 1 else many).format(count=self.number(abs(key_fifths)))

    def number(self, count: int) -> str:
        """A small number in words; figures beyond the table."""
        word = self.numbers.cardinals.get(count, str(count))
        return Inflected(word, feminine=self.numbers.feminine.get(count, word))

    def metre(self, text: str) -> str:
        """A metre in words: 4/4 gives four-four time."""
        return self.names.metres.get(text, self.names.metre.format(metre=text))

    def listing(self, parts: tuple[str, ...]) -> str:
        """Words in a row: a, b and c."""
        if len(parts) < 2:
            return "".join(parts)
        head = self.language.list_separator.join(parts[:-1])
        return self.language.list_last.format(first=head, last=parts[-1])


@cache
def languages() -> tuple[str, ...]:
    """The codes of the languages a book can be printed in, in alphabetical order."""
    return tuple(sorted(path.stem for path in _FOLDER.glob("*.yaml")))


@cache  # asked for at every exercise, and to look into the folder takes a fiftieth of a millisecond
def words(language: str) -> Words:
    """The words of a language by its code, `en` or `en-GB`. Raises SpecError for a language without a table."""
    code = language.split("-")[0].lower()
    if code not in languages():
        known = ", ".join(languages())
        raise SpecError(f"there are no printed words for the language '{language}'", hint=f"choose one of: {known}")
    return read_table(f"words/{code}", Words)
