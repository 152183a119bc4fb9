"""From plates to the pages of a book: chapters, legend of the signs in use, cautions, imprint."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from engraver.exercises.drill_titles import exercise_caution
from engraver.outputs.pages import (
    BookPages,
    ChapterPages,
    ExercisePage,
    IndexGroup,
    LegendEntry,
    Opening,
    SinglePage,
    TermEntry,
    TextPage,
)
from engraver.outputs.richtext import Block, BlockKind, Span, paragraph, parse_text
from engraver.press.guitar_words import guitar_words
from engraver.press.legend import picture_name
from engraver.press.plates import Plate
from engraver.press.settings import Settings
from engraver.score.diagrams import Diagram, Dot
from engraver.score.signs import Sign
from engraver.spec.book import BookSpec, Chapter, Edition, Exercise
from engraver.spec.reader import STANDARD_EDITION
from engraver.tables.words import Words
from engraver.tables.words import words as words_of

INDEX_FROM_EXERCISES = 24
"""From this many exercises on a book has an index unless it says otherwise (chosen by us)."""
NECK_DIAGRAM = "neck diagram"
"""The row of the signs' words that explains the neck diagrams."""
_SMALL_NECK = (
    *(Dot(3, 0, 0, is_root=True), Dot(3, 2, 2)),
    *(Dot(2, 0, 0), Dot(2, 1, 1), Dot(2, 3, 3)),
    *(Dot(1, 0, 0), Dot(1, 2, 2), Dot(1, 3, 3, is_root=True)),
)
"""G major on the three highest strings, in which every sign of a diagram occurs."""


def book_pages(book: BookSpec, plates: Mapping[str, Plate], settings: Settings, words: Words) -> BookPages:
    """The whole book: title, contents, cautions, chapters, and a legend of exactly the signs that were printed."""
    pages = _without_glossary(book, plates, settings, words)
    return replace(pages, glossary=_glossary(pages, book.edition))


def _glossary(pages: BookPages, edition: Edition) -> tuple[TermEntry, ...]:
    """The terms that the pages print, where the edition explains them."""
    if edition.style.glossary is False:
        return ()
    from engraver.press.glossary import book_glossary

    return book_glossary(pages, edition.style.glossary)


def _without_glossary(book: BookSpec, plates: Mapping[str, Plate], settings: Settings, words: Words) -> BookPages:
    edition = book.edition
    front = (TextPage(words.book.introduction, parse_text(book.text)),) if book.text else ()
    return BookPages(
        title=edition.title,
        subtitle=edition.subtitle,
        author=book.author,
        edition=""
        if edition.name == STANDARD_EDITION
        else words.book.edition.format(edition=edition.name.capitalize()),
        language=edition.language,
        page=settings.page,
        mirrored=edition.style.mirrored,
        text_size_pt=settings.text_size_pt,
        look=settings.look,
        opening=Opening(edition.style.chapters),
        facing=edition.style.facing,
        chapters=tuple(_chapter(chapter, plates, edition) for chapter in book.chapters),
        index=_index(book, words),
        legend=legend(plates.values(), edition, words),
        cautions=cautions(words),
        front=front,
        imprint=_imprint(book, words),
    )


def single_page(book: BookSpec, exercise: Exercise, plate: Plate, settings: Settings, words: Words) -> SinglePage:
    """One exercise on a page of its own, with the signs it uses and a caution in one line."""
    return SinglePage(
        exercise=exercise_page(exercise, plate, book.edition),
        source=book.edition.title,
        author=book.author,
        language=book.edition.language,
        page=settings.page,
        text_size_pt=settings.text_size_pt,
        legend=legend([plate], book.edition, words),
        caution=words.cautions.one_line,
        look=settings.look,
    )


def _chapter(chapter: Chapter, plates: Mapping[str, Plate], edition: Edition) -> ChapterPages:
    items = tuple(
        TextPage(exercise.spec.title or "", parse_text(exercise.spec.text))
        if exercise.number is None
        else exercise_page(exercise, plates[exercise.id], edition)
        for exercise in chapter.exercises
    )
    lines = edition.style.practice_lines if chapter.practice_lines is None else chapter.practice_lines
    return ChapterPages(chapter.title, items, parse_text(chapter.text), lines)


def _index(book: BookSpec, words: Words) -> tuple[IndexGroup, ...]:
    """The index by key and by technique, where the book has one."""
    if not _has_index(book):
        return ()
    from engraver.press.index import book_index

    return book_index(book, words)


def _has_index(book: BookSpec) -> bool:
    """As the style says; else an index when the book is too long to be leafed through."""
    wanted = book.edition.style.index
    return wanted if wanted is not None else sum(1 for e in book.exercises if e.number) >= INDEX_FROM_EXERCISES


def exercise_page(exercise: Exercise, plate: Plate, edition: Edition) -> ExercisePage:
    """An exercise as it stands on its page."""
    return ExercisePage(
        id=exercise.id,
        number=str(exercise.number),
        title=plate.title,
        systems=tuple(plate.system_name(index) for index in range(plate.systems)),
        alt=plate.alt,
        paragraphs=exercise_words(exercise, edition),
        tempo=plate.tempo,
        remark=plate.remark,
        reason=plate.reason,
        diagrams=plate.diagrams,
        practice_bpms=_practice(plate) if edition.style.tempo_table else (),
    )


def _practice(plate: Plate) -> tuple[int, ...]:
    """Eight tempos from the slowest to the goal, evenly spread; none for a single tempo."""
    if plate.tempo is None or plate.tempo.slowest_bpm == plate.tempo.fastest_bpm:
        return ()
    low, high = plate.tempo.slowest_bpm, plate.tempo.fastest_bpm
    return tuple(sorted({round(low + (high - low) * step / 7) for step in range(8)}))


def legend(plates: Iterable[Plate], edition: Edition, words: Words) -> tuple[LegendEntry, ...]:
    """An entry for each sign in use, in the order of the signs; neck diagrams last."""
    plates = tuple(plates)
    used = {sign for plate in plates for sign in plate.signs}
    out = []
    for sign in Sign:
        if sign.value in used:
            text = words.signs[sign.value]
            sentence, alt = (_with_letters(part, edition) for part in (text.sentence, text.picture))
            out.append(LegendEntry(text.name, sentence, picture_name(sign), alt))
    if any(plate.diagrams for plate in plates):
        out.append(_neck_entry(edition, words))
    return tuple(out)


def _neck_entry(edition: Edition, words: Words) -> LegendEntry:
    """The neck diagrams, with a small one as the player of this edition sees them."""
    text = words.signs[NECK_DIAGRAM]
    diagram = Diagram(3, _SMALL_NECK, lying=True, mirrored=edition.player.handed == "left")
    return LegendEntry(text.name, text.sentence, alt=text.picture, diagram=diagram)


def _with_letters(text: str, edition: Edition) -> str:
    """A sentence of the legend with the letters of this edition."""
    style = edition.style
    return text.replace("{letter}", style.little_finger).replace("{barre}", style.barre)


def exercise_words(exercise: Exercise, edition: Edition) -> tuple[Block, ...]:
    """The exercise's own text and, where it can tire or strain the hand, the caution in one line."""
    caution = exercise_caution(exercise.spec, words_of(edition.language))
    return parse_text("\n\n".join(part for part in (exercise.spec.text, f"*{caution}*" if caution else "") if part))


def cautions(words: Words) -> TextPage:
    """The page on practising without harm."""
    rules = Block(BlockKind.LIST, tuple((Span(rule),) for rule in words.cautions.rules))
    blocks = (paragraph(words.cautions.intro), rules, paragraph(words.cautions.closing))
    return TextPage(words.book.cautions, blocks)


def _imprint(book: BookSpec, words: Words) -> tuple[str, ...]:
    edition = book.edition
    lines = [line for line in book.imprint.splitlines() if line.strip()]
    guitar, player = edition.instrument, edition.player
    lines.append(words.book.instrument.format(scale_length_mm=f"{guitar.scale_length_mm:g}", frets=guitar.frets))
    if setting := ", ".join(guitar_words(guitar, words)):
        lines.append(f"{setting[0].upper()}{setting[1:]}.")
    lines.append(words.book.player.format(reach_mm=f"{player.reach_mm:g}"))
    lines += [line for line in (edition.date, edition.isbn and f"ISBN {edition.isbn}") if line]
    lines += [f"ISMN {edition.ismn}"] if edition.ismn else []
    return tuple(lines)
