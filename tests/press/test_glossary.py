"""The glossary explains the terms that a book prints, in its language, and no others."""

import re
import shutil
import subprocess
from pathlib import Path

import pikepdf
import pytest

from engraver.build import build_book
from engraver.outputs.pages import BookPages, ChapterPages, TextPage
from engraver.outputs.richtext import parse_text
from engraver.press.glossary import FEWEST_TERMS, book_glossary, printed_terms
from engraver.press.request import Request
from engraver.tables.glossary import Term, glossary_terms
from engraver.tables.words import languages, words
from tests.outputs.test_book import bookmarks

BOOK = """\
title: A
defaults: {octaves: 1, tempo: {from: 60, to: 80}}
style: {index: true}
chapters:
  - title: B
    exercises:
      - {id: a, kind: arpeggio, chord: half-diminished seventh, tonics: [B], right_hand: {alternate: [i, m], stroke: rest}}
      - {id: b, kind: scale, scale: harmonic minor, tonics: [A]}
      - {id: c, kind: scale, scale: dorian, tonics: [D]}
      - {id: d, kind: slurs, fingers: [1, 2], strings: [1]}
"""
PRINTED = {
    "alternation", "rest stroke", "arpeggio", "half-diminished seventh", "harmonic minor", "mode", "ascending slur",
    "tempo", "scale length", "reach",
}  # fmt: skip
"""What the book above prints, by hand: titles, remarks, index, imprint."""
needs_poppler = pytest.mark.skipif(shutil.which("pdftotext") is None, reason="pdftotext is not installed")
every_language = pytest.mark.parametrize("language", languages())


def pages(text: str, language: str = "en") -> BookPages:
    return BookPages("T", (ChapterPages("C", (TextPage("", parse_text(text)),)),), language=language)


def names(text: str, wanted: bool | None = True, language: str = "en") -> list[str]:
    return [entry.name for entry in book_glossary(pages(text, language), wanted)]


@every_language
@needs_poppler
def test_every_printed_term_is_explained_and_no_other(language: str, tmp_path: Path) -> None:
    """The list of terms made by hand comes out in every language, on a page that the contents name."""
    path = tmp_path / "book.yaml"
    path.write_text(BOOK.replace("title: A\n", f"title: A\nlanguage: {language}\n", 1), "utf-8")
    (report,) = build_book(path, Request(out=tmp_path / "out", workers=1))
    pdf = report.folder / "book.pdf"
    heading = words(language).book.glossary
    with pikepdf.open(pdf) as opened:
        (page,) = [page for title, page, _ in bookmarks(opened) if title == heading]
    run = subprocess.run(["pdftotext", "-f", str(page), "-l", str(page), pdf, "-"], capture_output=True, check=True)
    shown = _letters(run.stdout.decode())
    terms = glossary_terms(language).terms
    assert {key for key, term in terms.items() if _letters(term.sentence) in shown} == PRINTED


def _letters(text: str) -> str:
    """A text without what line breaks change."""
    return re.sub(r"[\s\u00ad-]", "", text)


@every_language
def test_all_languages_explain_the_same_terms(language: str) -> None:
    """Under the same keys, each with a sentence that ends as one and is the language's own."""
    terms, english = glossary_terms(language).terms, glossary_terms("en").terms
    assert list(terms) == list(english)
    assert all(term.sentence.endswith(".") and term.sentence[0].isupper() for term in terms.values())
    if language != "en":
        assert not {term.sentence for term in terms.values()} & {term.sentence for term in english.values()}


@every_language
def test_the_forms_are_those_of_the_printed_words(language: str) -> None:
    """Every term has a form that our own printed words can bring to a page, and no form belongs to two terms."""
    table = words(language)
    printed = " ".join(str(table.model_dump(exclude={"about", "source", "signs"})).casefold().split())
    printed = re.sub(r"\{\w+(:\w+)?\}", " ", printed)
    terms = glossary_terms(language).terms
    forms = [form for term in terms.values() for form in term.found]
    assert len(forms) == len(set(forms))
    for key, term in terms.items():
        assert any(re.search(rf"(?<!\w){re.escape(form.casefold())}(?!\w)", printed) for form in term.found), key


def test_a_longer_term_hides_the_shorter_one_in_it() -> None:
    """A half-diminished seventh is no diminished seventh; both are listed where both stand."""
    assert names("A half-diminished seventh.") == ["Half-diminished seventh"]
    both = ["Diminished seventh", "Half-diminished seventh"]
    assert names("A half-diminished seventh and a Diminished  seventh.") == both


def test_a_term_is_a_word_of_its_own() -> None:
    """Modern is no mode, and unbroken is not broken; a hyphen parts words."""
    assert names("Modern and unbroken.") == []
    assert names("Das C-Dur-Arpeggio.", language="de") == ["Arpeggio"]


def test_a_term_does_not_reach_from_one_text_into_the_next() -> None:
    """The end of a title and the beginning of the next are no term."""
    texts = (TextPage("Harmonic", ()), TextPage("Minor", ()))
    assert book_glossary(BookPages("T", (ChapterPages("C", texts),)), True) == ()


def test_accents_do_not_disturb_the_alphabet() -> None:
    """An E with an accent stands among the other letters E."""
    text = "Formule, écart, démanché, diapason, état fondamental, trille."
    assert names(text, language="fr") == ["Démanché", "Diapason", "Écart", "Formule", "Renversement", "Trille"]


def test_a_few_terms_make_no_page_unless_it_is_asked_for() -> None:
    """Five by default; `true` prints any number, `false` none."""
    few, many = "A trill, a shift, a cadence, an arpeggio.", "A trill, a shift, a cadence, an arpeggio, a tremolo."
    assert FEWEST_TERMS == 5
    assert names(few, wanted=None) == []
    assert len(names(many, wanted=None)) == 5
    assert len(names(few, wanted=True)) == 4
    assert names(many, wanted=False) == []


def test_terms_come_in_the_order_of_the_table() -> None:
    """So that equal books give equal pages, whatever the order in which forms are found."""
    terms = (Term(name="B", found=("two words", "b"), sentence="."), Term(name="A", found=("words",), sentence="."))
    assert [term.name for term in printed_terms("words and two words", terms)] == ["B", "A"]
    assert [term.name for term in printed_terms("two words", terms)] == ["B"]
