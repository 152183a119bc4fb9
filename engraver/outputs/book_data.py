"""The book as the data its template reads. User text travels here as text, never as markup."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

from engraver.errors import OutputError
from engraver.outputs.drawing import Drawing
from engraver.outputs.neck_data import neck_data
from engraver.outputs.page_plan import Air, PagePlan
from engraver.outputs.pages import (
    BookPages,
    ChapterPages,
    ExercisePage,
    LegendEntry,
    Look,
    Opening,
    SinglePage,
    TextPage,
)
from engraver.outputs.pairs import in_pairs
from engraver.outputs.richtext import Block, BlockKind
from engraver.score.page import PageStyle
from engraver.tables.words import Words, words

Data = dict[str, Any]

_LONG_WORD = re.compile(r"[^\s\u200b]{24}(?=[^\s\u200b])")
_TIED_CHARACTERS = 16  # the longest last part of a title that is kept in one piece; chosen by us
_RUNNING_HEAD_CHARACTERS = 56  # what fits half a line of the running head at the usual size; chosen by us


class Album:
    """The drawings a book uses, numbered in the order in which they are first asked for."""

    def __init__(self, drawings: Mapping[str, Drawing], line_width_mm: float) -> None:
        self._drawings = drawings
        self._line_width_mm = line_width_mm
        self._numbers: dict[str, int] = {}

    @property
    def used(self) -> tuple[Drawing, ...]:
        """The drawings asked for so far, by number."""
        return tuple(self._drawings[name] for name in self._numbers)

    def picture(self, name: str, alt: str) -> Data:
        """The place of a drawing; one wider than the line is made smaller. Raises OutputError for an unknown name."""
        if name not in self._drawings:
            raise OutputError(f"the picture '{name}' has not been engraved")
        drawing = self._drawings[name]
        number = self._numbers.setdefault(name, len(self._numbers))
        scale = min(1.0, self._line_width_mm / drawing.width_mm)
        return {
            "number": number,
            "width_mm": round(drawing.width_mm * scale, 3),
            "height_mm": round(drawing.height_mm * scale, 3),
            "alt": alt,
        }


def book_data(book: BookPages, album: Album) -> Data:
    """Everything the book template reads."""
    printed = words(book.language)
    return {
        "kind": "book",
        **_document(book.title, book.author, book.language, book.page, book.text_size_pt),
        "subtitle": _breakable(book.subtitle),
        "edition": _breakable(book.edition),
        "mirrored": book.mirrored,
        "contents": book.contents,
        "words": _fixed_words(printed),
        "legend": [_legend_entry(entry, printed, album) for entry in book.legend],
        "glossary": [[_breakable(entry.name), _breakable(entry.sentence)] for entry in book.glossary],
        "cautions": _text_page(book.cautions) if book.cautions else None,
        "front": [_text_page(page) for page in book.front],
        "opening": book.opening.value,
        "chapters": [_chapter(chapter, printed, album, book) for chapter in book.chapters],
        "back": [_text_page(page) for page in book.back],
        "index": _index(book),
        "imprint": [_breakable(line) for line in book.imprint],
    }


def page_data(page: SinglePage, album: Album) -> Data:
    """Everything the single-page template reads."""
    printed = words(page.language)
    return {
        "kind": "page",
        **_document(page.exercise.title, page.author, page.language, page.page, page.text_size_pt),
        "source": _breakable(_short(page.source)),
        "words": _fixed_words(printed),
        "legend": [_legend_entry(entry, printed, album) for entry in page.legend],
        "exercise": _exercise(page.exercise, printed, album),
        "caution": _breakable(page.caution),
    }


def _document(title: str, author: str, language: str, page: PageStyle, text_size_pt: float) -> Data:
    code, _, region = language.partition("-")
    measures = {side: getattr(page, side) for side in page.__slots__}
    return {
        "document": {
            "title": " ".join(title.split()),
            "author": author,
            "language": code.lower(),
            "region": region.upper() or None,
            "text_size_pt": text_size_pt,
            "page": measures,
        },
        "title": _breakable(title),
        "short_title": _breakable(_short(title)),
        "author": _breakable(author),
        "text_size_pt": text_size_pt,
        "page": measures,
    }


def _fixed_words(printed: Words) -> Data:
    """The phrases the template itself prints."""
    return {
        "contents": printed.book.contents,
        "legend": printed.book.legend,
        "legend-here": printed.book.legend_here,
        "glossary": printed.book.glossary,
        "index": printed.book.index,
        "practice_lines": printed.book.practice_lines,
        "tempo": printed.tempo.title,
        "date": printed.book.date,
    }


def _chapter(chapter: ChapterPages, printed: Words, album: Album, book: BookPages) -> Data:
    items = [
        _exercise(item, printed, album) if isinstance(item, ExercisePage) else _text_page(item)
        for item in chapter.items
    ]
    if book.look is not Look.LARGE:
        items = in_pairs(items, book.page.line_width_mm, book.text_size_pt)
    plan = PagePlan(book.page, book.text_size_pt)
    early, opening_mm = None, plan.opening_mm(_blocks(chapter.paragraphs))
    if book.opening is not Opening.RUN_ON and not book.facing:
        early = None if chapter.practice_lines else plan.break_before(opening_mm, items)
        if book.look is not Look.LARGE:  # whose leading and letters the plan does not know
            for item, air in zip(items, plan.spread(opening_mm, items, early), strict=True):
                item |= asdict(air)
    for place, item in enumerate(items):
        item["left"] = book.facing and item["kind"] == "exercise" and plan.is_long(item)
        item["early"] = place == early
    return {
        "title": _breakable(chapter.title),
        "short_title": _breakable(_short(chapter.title)),
        "paragraphs": _blocks(chapter.paragraphs),
        "items": items,
        "practice_lines": chapter.practice_lines,
    }


def _text_page(page: TextPage) -> Data:
    return {"kind": "text", "title": _breakable(page.title), "paragraphs": _blocks(page.paragraphs)}


def _exercise(exercise: ExercisePage, printed: Words, album: Album) -> Data:
    try:
        systems = [album.picture(name, alt) for name, alt in _alternative_texts(exercise, printed)]
        pictures = [album.picture(picture.name, picture.alt) for picture in exercise.pictures]
    except OutputError as error:
        raise OutputError(f"exercise '{exercise.id}': {error.message}", error.place, error.hint) from error
    return {
        "kind": "exercise",
        "id": exercise.id,
        "number": exercise.number,
        "title": _breakable(_tied(exercise.title)),
        "paragraphs": _blocks(exercise.paragraphs),
        "tempo": _tempo(exercise, printed),
        "remark": _breakable(exercise.remark),
        "reason": _breakable(exercise.reason),
        "practice_bpms": list(exercise.practice_bpms),
        "systems": systems,
        "pictures": pictures,
        "necks": [neck_data(d, exercise.number or exercise.title, printed) for d in exercise.diagrams],
        **asdict(Air()),
    }


def _alternative_texts(exercise: ExercisePage, printed: Words) -> list[tuple[str, str]]:
    """Each system's name and the text read in its place: all about the music first, then which system it is."""
    total = len(exercise.systems)
    number = exercise.number or exercise.title
    later = [printed.alt.system.format(number=number, system=count, systems=total) for count in range(2, total + 1)]
    return list(zip(exercise.systems, [exercise.alt, *later], strict=False))


def _tempo(exercise: ExercisePage, printed: Words) -> Data | None:
    tempo = exercise.tempo
    if tempo is None:
        return None
    return {
        "base": tempo.base,
        "dots": tempo.dots,
        "value": printed.value_name(tempo.base, tempo.dots),
        "figures": printed.tempo.single.format(figures=printed.span(tempo.slowest_bpm, tempo.fastest_bpm)),
    }


def _legend_entry(entry: LegendEntry, printed: Words, album: Album) -> Data:
    picture = album.picture(entry.picture, entry.alt or entry.name) if entry.picture else None
    diagram = {**neck_data(entry.diagram, "", printed), "alt": entry.alt or entry.name} if entry.diagram else None
    words = {"name": _breakable(entry.name), "sentence": _breakable(entry.sentence)}
    return {**words, "picture": picture, "diagram": diagram}


def _index(book: BookPages) -> list[Data]:
    """The index groups; an id that is not in the book is an OutputError."""
    known = {exercise.id for exercise in book.exercises}
    for group in book.index:
        for entry in group.entries:
            for missing in set(entry.exercise_ids) - known:
                raise OutputError(f"the index line '{entry.words}' leads to '{missing}', which is not in the book")
    return [
        {
            "title": group.title,
            "entries": [{"words": _breakable(e.words), "ids": list(e.exercise_ids)} for e in group.entries],
        }
        for group in book.index
    ]


def _blocks(blocks: Sequence[Block]) -> list[Data]:
    return [
        {
            "list": block.kind is not BlockKind.PARAGRAPH,
            "numbered": block.kind is BlockKind.NUMBERED,
            "items": [[[_breakable(span.text), span.emphasis] for span in item] for item in block.items],
            "length": len(block.plain),
        }
        for block in blocks
    ]


def _tied(title: str) -> str:
    """A title whose short last part goes to the next line as a whole.

    `C major, two octaves` is not cut at `two`, nor `Cadence in C major: I, V7, I` among its chords.
    """
    for part in (": ", ", "):
        head, mark, tail = title.rpartition(part)
        if mark and len(tail) <= _TIED_CHARACTERS:
            return head + mark + tail.replace(" ", "\u00a0")
    return title


def _breakable(text: str) -> str:
    """The text with break points in words too long for any line."""
    return _LONG_WORD.sub("\\g<0>\u200b", text)


def _short(title: str) -> str:
    """A title for the running head, cut at a word."""
    if len(title) <= _RUNNING_HEAD_CHARACTERS:
        return title
    head = title[: _RUNNING_HEAD_CHARACTERS - 1]
    return (head.rsplit(None, 1)[0] if " " in head else head).rstrip(" ,;:") + "…"
