"""The glossary of a book: of the terms we can explain, those that its pages print, and no others.

Found in the words of the pages themselves, the book's own texts among them, so that an edition explains what it says.
"""

import re
import unicodedata
from collections.abc import Iterator

from engraver.outputs.pages import BookPages, ExercisePage, TermEntry, TextPage
from engraver.outputs.richtext import Block
from engraver.tables.glossary import Term, glossary_terms
from engraver.tables.words import words

FEWEST_TERMS = 5
"""A book that prints fewer terms than this has no glossary unless it asks for one (chosen by us)."""


def book_glossary(pages: BookPages, wanted: bool | None) -> tuple[TermEntry, ...]:
    """The terms of these pages in the alphabetical order of their language; none where the book wants none."""
    if wanted is False:
        return ()
    terms = glossary_terms(pages.language).terms.values()
    found = printed_terms(" | ".join(dict.fromkeys(_texts(pages))), tuple(terms))
    if wanted is None and len(found) < FEWEST_TERMS:
        return ()
    return tuple(TermEntry(term.name, term.sentence) for term in sorted(found, key=_place))


def printed_terms(text: str, terms: tuple[Term, ...]) -> tuple[Term, ...]:
    """The terms of which a form stands in the text as words of their own, small and large letters alike.

    Longer forms are looked for first and taken out, so that a half-diminished seventh is not a diminished one as well.
    """
    left = " ".join(text.split()).casefold()
    found = set()
    forms = [(form.casefold(), term.name) for term in terms for form in term.found]
    for form, name in sorted(forms, key=lambda pair: (-len(pair[0]), pair)):
        if form not in left:
            continue
        rest = re.sub(rf"(?<!\w){re.escape(form)}(?!\w)", "\n", left)
        if rest != left:
            found.add(name)
            left = rest
    return tuple(term for term in terms if term.name in found)


def _place(term: Term) -> tuple[str, str]:
    """Where a term stands in the alphabet: without regard to accents and capitals."""
    plain = unicodedata.normalize("NFD", term.name.casefold())
    return "".join(letter for letter in plain if not unicodedata.combining(letter)), term.name


def _texts(pages: BookPages) -> Iterator[str]:
    """Everything that is printed but the legend: it explains its own words."""
    yield from (pages.title, pages.subtitle, *pages.imprint)
    for page in (*pages.front, *([pages.cautions] if pages.cautions else []), *pages.back):
        yield from _of_text(page)
    for chapter in pages.chapters:
        yield chapter.title
        yield from _plain(chapter.paragraphs)
        for item in chapter.items:
            yield from _of_exercise(item, pages.language) if isinstance(item, ExercisePage) else _of_text(item)
    for group in pages.index:
        yield group.title
        yield from (entry.words for entry in group.entries)


def _of_text(page: TextPage) -> Iterator[str]:
    yield page.title
    yield from _plain(page.paragraphs)


def _of_exercise(page: ExercisePage, language: str) -> Iterator[str]:
    yield from (page.title, page.remark, page.reason)
    yield from _plain(page.paragraphs)
    yield from (diagram.label for diagram in page.diagrams)
    if page.tempo:
        yield words(language).tempo.single.format(figures=page.tempo.fastest_bpm)


def _plain(blocks: tuple[Block, ...]) -> Iterator[str]:
    return (block.plain for block in blocks)
