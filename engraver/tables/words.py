"""The printed words of a book, one table a language: fixed phrases, titles, legend, cautions, alternative texts.

A language is added by a table `tables/words/<code>.yaml` with the same rows; nothing else changes. Patterns name
their places in braces; a test holds every language to the same places.
"""

from functools import cache
from pathlib import Path

from engraver.errors import SpecError
from engraver.tables.loader import Table, read_table
from engraver.tables.word_rows import (
    AltWords,
    BookWords,
    CautionWords,
    DrillWords,
    FingeringWords,
    GuitarWords,
    Inflected,
    LanguageWords,
    NameWords,
    NoteWords,
    NumberWords,
    ReasonWords,
    SignWords,
    StrokeWords,
    TempoWords,
    TitleWords,
    ValueWords,
)

_FOLDER = Path(__file__).parent / "words"


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
