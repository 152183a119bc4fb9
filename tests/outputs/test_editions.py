"""One book in six languages and in the editions that readers need: opened, read aloud, looked up by page."""

import re
import shutil
import subprocess
from collections.abc import Iterator
from functools import cache
from itertools import pairwise
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

import pikepdf
import pytest

from engraver.build import build_book
from engraver.press.index import book_index
from engraver.press.request import Request
from engraver.spec.reader import read_book
from engraver.tables.words import words
from tests.outputs.test_book import alternative_texts, bookmarks, elements, systems_on, tagged

BOOK = """\
title: Lines of One Week
subtitle: A short book
author: An evening class
text: Begin *slowly*, and listen to every note before the next is played.
date: spring
isbn: 978-3-16-148410-0
style: {diagrams: true, index: true, practice_lines: 3, reasons: true, tempo_table: true}
defaults: {tempo: {from: 60, to: 96}, reason: The hand stays in one place.}
editions:
  en: {}
  de: {language: de}
  fr: {language: fr}
  es: {language: es}
  it: {language: it}
  pt: {language: pt}
  letter: {style: {paper: letter, mirrored: true, chapters: right page}}
  large: {style: {large_print: true}}
  large de: {language: de, style: {large_print: true}}
  tablature: {style: {notation: tablature}}
  staff: {style: {notation: staff, typeface: sans, chapters: run on}}
  left: {player: {handed: left}, style: {facing: true}}
chapters:
  - title: Scales
    text: No open strings.
    defaults: {octaves: 2}
    exercises:
      - {id: g, kind: scale, scale: major, tonics: [G, B flat, E flat], left_hand: {open_strings: avoid}}
      - {id: h, kind: scale, scale: harmonic minor, tonics: [B, F sharp]}
      - {id: d, kind: scale, scale: dorian, tonics: [D]}
  - title: Chords
    exercises:
      - {id: vii, kind: arpeggio, chord: diminished seventh, key: E minor, octaves: 2}
      - {id: v, kind: arpeggio, chord: dominant seventh, tonics: [A], octaves: 2}
      - {id: study, kind: right hand, right_hand: {formula: [p, i, m, a]}, progression: [Am, Dm, E7, Am]}
      - {id: close, kind: cadence, tonics: [B flat], progression: [I, IV, V7, I]}
"""
EDITIONS = re.findall(r"^  ([a-z ]+): \{(?:\}|language|style|player)", BOOK, re.M)
needs_poppler = pytest.mark.skipif(shutil.which("pdftotext") is None, reason="pdftotext is not installed")
every_edition = pytest.mark.parametrize("edition", EDITIONS)


@cache
def built(edition: str) -> Path:
    folder = Path(mkdtemp(prefix="engraver-editions-"))
    (folder / "week.yaml").write_text(BOOK, "utf-8")
    (report,) = build_book(folder / "week.yaml", Request((edition,), out=folder / "build", workers=1))
    return report.folder / "book.pdf"


@cache
def page_texts(edition: str) -> tuple[str, ...]:
    run = subprocess.run(["pdftotext", "-layout", built(edition), "-"], capture_output=True, check=True)
    return tuple(run.stdout.decode().split("\f"))


def language_of(edition: str) -> str:
    return edition[-2:] if edition[-2:] in ("de", "fr", "es", "it", "pt") else "en"


def spoken(node: Any) -> Iterator[tuple[str, str]]:
    """Tag and alternative text of every heading and picture, in reading order."""
    for element in elements(node):
        tag = str(element.S).removeprefix("/")
        if tag.startswith("H") or tag == "Figure":
            yield tag, str(element.get("/Alt", ""))


def test_the_list_of_editions_is_the_books() -> None:
    """Twelve, so that none is skipped by a slip of the test."""
    assert len(EDITIONS) == 12


@every_edition
def test_every_edition_is_accessible(edition: str) -> None:
    """Tagged PDF/UA-1 in its language; every picture has words; all fonts embedded."""
    with pikepdf.open(built(edition)) as pdf:
        assert bool(pdf.Root.MarkInfo.Marked)
        assert str(pdf.Root.Lang) == language_of(edition)
        assert b"<pdfuaid:part>1</pdfuaid:part>" in pdf.Root.Metadata.read_bytes()
        assert all(len(text) > 2 for text in alternative_texts(pdf))
        fonts = [o for o in pdf.objects if isinstance(o, pikepdf.Dictionary) and o.get("/Type") == "/FontDescriptor"]
        assert all("/FontFile3" in font or "/FontFile2" in font for font in fonts)
        faces = {str(font.FontName).partition("+")[2] for font in fonts}
    wanted = "TeXGyreHeros" if edition.startswith(("large", "staff")) else "TeXGyreSchola"
    assert all(face.startswith(wanted) for face in faces)
    assert not edition.startswith("large") or all("Bold" in face and "Italic" not in face for face in faces)


@every_edition
@needs_poppler
def test_contents_and_index_name_the_right_pages(edition: str) -> None:
    """The number printed beside a title is the number printed at the foot of the page of that title."""
    table = words(language_of(edition))
    with pikepdf.open(built(edition)) as pdf:
        marks = bookmarks(pdf)
    exercises = {title: page for _, _, inner in marks for title, page in inner if title[:1].isdigit()}
    assert len(exercises) == 10
    opening = {title: page for title, page, _ in marks}
    texts = page_texts(edition)
    contents = " ".join(
        " ".join(texts[opening[table.book.contents] - 1 : opening[table.book.legend] - 1]).replace(" .", "").split()
    )
    for title, page in [*exercises.items(), *((t, p) for t, p in opening.items() if t != table.book.contents)]:
        assert re.search(rf"{re.escape(' '.join(title.split()))} {page}(?!\d)", contents), title
        assert str(page) in texts[page - 1].split()[-1:] or not texts[page - 1].strip()
    index = " ".join(" ".join(texts[opening[table.book.index] - 1 :]).replace(" .", "").split())
    flat, minor = table.key_name("B", -1, False), table.key_name("B", 0, True)
    (scale, cadence), (harmonic,) = pages_of(exercises, "2 ", "10 "), pages_of(exercises, "4 ")
    assert re.search(rf"{flat} {scale}, {cadence}(?!\d)", index)
    assert re.search(rf"{minor} {harmonic}(?!\d)", index)
    assert table.names.techniques["cadence"] in index


def pages_of(exercises: dict[str, int], *numbers: str) -> list[int]:
    return [page for number in numbers for title, page in exercises.items() if title.startswith(number)]


@every_edition
@needs_poppler
def test_the_words_come_out_of_the_file_as_words(edition: str) -> None:
    """Cautions, titles and texts are found whole when the text is taken out again, words that were parted joined."""
    table = words(language_of(edition))
    text = " ".join(re.sub(r"[-\u00ad]\n\s*", "", "\n".join(page_texts(edition))).replace("\u00ad", "").split())
    plain = text.replace("-", "")
    for sentence in (table.cautions.rules[2], table.cautions.rules[-1], table.book.introduction):
        for word in sentence.split():
            assert word.replace("-", "") in plain, word
    assert "ISBN 978-3-16-148410-0" in text
    assert "spring" in text


@every_edition
@needs_poppler
def test_no_line_runs_over_its_margin(edition: str) -> None:
    """All words lie between the margins of the sheet."""
    run = subprocess.run(["pdftotext", "-bbox", built(edition), "-"], capture_output=True, check=True)
    pages = re.findall(r'<page width="([\d.]+)" height="([\d.]+)">(.*?)</page>', run.stdout.decode(), re.DOTALL)
    for width, height, body in pages:
        boxes = [
            tuple(map(float, box))
            for box in re.findall(r'xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)"', body)
        ]
        for left, top, right, bottom in boxes:
            assert left > 40
            assert right < float(width) - 40
            assert top > 20
            assert bottom < float(height) - 15


@every_edition
def test_no_picture_runs_over_its_margin(edition: str) -> None:
    """Systems, signs and diagrams lie within the sheet's margins, which are 17 mm at least."""
    with pikepdf.open(built(edition)) as pdf:
        sizes = {page.objgen: [float(number) for number in page.mediabox[2:]] for page in pdf.pages}
        for figure in tagged(pdf, "Figure"):
            left, low, right, high = (float(number) for number in figure.A[0].BBox)
            width, height = sizes[figure.Pg.objgen]
            assert left > 48
            assert right < width - 48
            assert low > 48
            assert high < height - 48


@every_edition
def test_every_ink_is_a_grey(edition: str) -> None:
    """Nothing is told by a colour: a printer without colours loses nothing."""
    with pikepdf.open(built(edition)) as pdf:
        drawn = [*pdf.pages, *(form for page in systems_on(pdf) for form in page)]
        inks = {ink for content in drawn for ink in _inks(content)}
    assert inks
    assert all(len(set(ink)) == 1 for ink in inks)
    assert {max(ink) for ink in inks} <= {0.0, 1.0}


def _inks(content: Any) -> Iterator[tuple[float, ...]]:
    """The colours that a page or a drawing sets; a space of its own with one number is a grey one here."""
    for operands, operator in pikepdf.parse_content_stream(content):
        if str(operator) in ("g", "G", "rg", "RG", "k", "K", "sc", "SC", "scn", "SCN"):
            assert str(operator) not in ("k", "K")
            yield tuple(float(number) for number in operands)


@every_edition
@needs_poppler
def test_every_line_of_the_index_names_all_its_pages(edition: str) -> None:
    """For every key and every technique, the pages of its exercises and no others, three in a row drawn together."""
    table = words(language_of(edition))
    book = read_book(built(edition).parents[3] / "week.yaml").for_edition(edition)
    with pikepdf.open(built(edition)) as pdf:
        marks = bookmarks(pdf)
    numbered = {int(title.split()[0]): page for _, _, inner in marks for title, page in inner if title[:1].isdigit()}
    places = {exercise.id: numbered[exercise.number] for exercise in book.exercises if exercise.number}
    (start,) = [page for title, page, _ in marks if title == table.book.index]
    text = " ".join(" ".join(page_texts(edition)[start - 1 :]).replace(" .", "").split())
    entries = [entry for group in book_index(book, table) for entry in group.entries]
    assert len(entries) > 8
    for entry in entries:
        pages = sorted({places[name] for name in entry.exercise_ids})
        assert re.search(rf"{re.escape(entry.words)} {_runs(pages)}(?!\d)", text), entry.words


def _runs(pages: list[int]) -> str:
    """Pages as an index prints them: 8, 10-12."""
    runs: list[list[int]] = []
    for page in pages:
        if runs and runs[-1][-1] == page - 1:
            runs[-1].append(page)
        else:
            runs.append([page])
    dash = "\N{EN DASH}"
    return ", ".join(f"{r[0]}{dash}{r[-1]}" if len(r) > 2 else ", ".join(map(str, r)) for r in runs)


@every_edition
def test_no_heading_ends_a_page(edition: str) -> None:
    """Below the heading of every exercise its first system stands on the same page."""
    with pikepdf.open(built(edition)) as pdf:
        figures = [(figure.Pg.objgen, float(figure.A[0].BBox[3])) for figure in tagged(pdf, "Figure")]
        with pdf.open_outline() as outline:
            heads = [item for top in outline.root for item in top.children if item.title[:1].isdigit()]
            places = [(item.destination[0].objgen, float(item.destination[3])) for item in heads]
    assert len(places) == 10
    for page, height in places:
        assert any(other == page and height - top > 15 for other, top in figures)


@every_edition
def test_a_listener_hears_heading_music_diagram_in_turn(edition: str) -> None:
    """Each exercise's heading is followed by its tempo, its systems and its diagrams before the next heading."""
    table = words(language_of(edition))
    with pikepdf.open(built(edition)) as pdf:
        said = list(spoken(pdf.Root.StructTreeRoot.K))
        levels = [int(tag[1:]) for tag, _ in said if tag.startswith("H")]
        assert len(tagged(pdf, "Figure")) == sum(tag == "Figure" for tag, _ in said)
    assert all(after - before <= 1 for before, after in pairwise(levels))
    music = [text for _, text in said if text.startswith(f"{table.book.exercise} ")]
    necks = [text for _, text in said if table.alt.neck_diagram.split("{")[0] in text]
    assert {re.search(r"\d+", text).group() for text in music} == {str(n) for n in range(1, 11)}  # type: ignore[union-attr]
    assert len(necks) == 8 + 3 + 3  # a line each; Am, Dm, E7; the last chord of the cadence is the grip of the first
    order = [text for _, text in said if text in music or text in necks]
    numbers = [
        int(re.search(rf"(?:{table.book.exercise}|{table.book.exercise.lower()})\D*?(\d+)", text).group(1))
        for text in order
    ]  # type: ignore[union-attr]
    assert numbers == sorted(numbers)
