"""The finished PDF is opened with another library and read like a reader of the book would."""

import shutil
import subprocess
import time
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pikepdf
import pytest

from engraver.errors import OutputError
from engraver.outputs.book import typeset, typeset_page
from engraver.outputs.pages import (
    BookPages,
    ChapterPages,
    IndexEntry,
    IndexGroup,
    LegendEntry,
    Picture,
    SinglePage,
    Tempo,
    TextPage,
)
from engraver.outputs.richtext import parse_text
from engraver.score.page import PageStyle
from engraver.tables.words import words
from engraver.theory.rhythm import TempoRange
from tests.outputs.book_samples import book, drawings, exercise, staff

HOSTILE = '#eval("1") *b* _x_ $a$ <l> @r [b] {c} \\u{41} "q" `r` // c /* d */ ~ = #let x = 1'

poppler = pytest.mark.skipif(shutil.which("pdftotext") is None, reason="pdftotext is not installed")


def opened(pdf: bytes, tmp_path: Path) -> pikepdf.Pdf:
    path = tmp_path / "book.pdf"
    path.write_bytes(pdf)
    return pikepdf.open(path)


def text_of(pdf: bytes, tmp_path: Path, page: int | None = None) -> str:
    """The text of a page (from 1), or of all, in reading order."""
    path = tmp_path / "text.pdf"
    path.write_bytes(pdf)
    pages = [] if page is None else ["-f", str(page), "-l", str(page)]
    run = subprocess.run(["pdftotext", "-layout", *pages, path, "-"], capture_output=True, check=True)
    return run.stdout.decode()


def elements(node: Any) -> Iterator[Any]:
    """Every structure element under a node, in reading order."""
    if isinstance(node, pikepdf.Array):
        for child in node:
            yield from elements(child)
    elif isinstance(node, pikepdf.Dictionary):
        if "/S" in node:
            yield node
        if "/K" in node:
            yield from elements(node.K)


def tagged(pdf: pikepdf.Pdf, tag: str) -> list[Any]:
    return [element for element in elements(pdf.Root.StructTreeRoot.K) if str(element.S) == f"/{tag}"]


def alternative_texts(pdf: pikepdf.Pdf) -> list[str]:
    return [str(figure.get("/Alt")) for figure in tagged(pdf, "Figure")]


def bookmarks(pdf: pikepdf.Pdf) -> list[tuple[str, int, list[tuple[str, int]]]]:
    """Title and page (from 1) of the bookmarks, two levels deep."""
    numbers = {page.objgen: place + 1 for place, page in enumerate(pdf.pages)}

    def page(item: Any) -> int:
        return numbers[item.destination[0].objgen]

    with pdf.open_outline() as outline:
        return [(top.title, page(top), [(item.title, page(item)) for item in top.children]) for top in outline.root]


def systems_on(pdf: pikepdf.Pdf) -> list[list[Any]]:
    """The drawings on each page."""
    return [
        [form for form in page.get("/Resources", {}).get("/XObject", {}).values() if form.Subtype == "/Form"]
        for page in pdf.pages
    ]


def test_a_book_is_titled_tagged_and_in_a_language(tmp_path: Path) -> None:
    """What PDF/UA-1 asks of the document: title shown, language, tags, the standard's own mark."""
    pages = book(language="en-GB")
    with opened(typeset(pages, drawings(pages)), tmp_path) as pdf:
        assert str(pdf.docinfo.Title) == "Lines for the Left Hand"
        assert str(pdf.docinfo.Author) == "A. Teacher"
        assert str(pdf.Root.Lang) == "en-GB"
        assert bool(pdf.Root.MarkInfo.Marked)
        assert bool(pdf.Root.ViewerPreferences.DisplayDocTitle)
        assert b"<pdfuaid:part>1</pdfuaid:part>" in pdf.Root.Metadata.read_bytes()


def test_equal_books_give_equal_bytes_and_another_drawing_gives_others() -> None:
    """No clock, no chance; but the music counts."""
    pages = book()
    systems = drawings(pages)
    first = typeset(pages, systems)
    time.sleep(1.1)  # a clock read in whole seconds would show
    assert typeset(pages, systems) == first
    assert typeset(pages, {**systems, "ex-2-1": staff(250)}) != first


def test_every_system_stands_on_the_page_of_its_heading(tmp_path: Path) -> None:
    """An exercise that fits on a page is never parted: heading and last system share it."""
    items = tuple(exercise(n, tuple(f"ex-{n}-{s}" for s in (1, 2, 3))) for n in range(1, 21))
    pages = BookPages("Threes", (ChapterPages("All", items),), contents=False)
    with opened(typeset(pages, drawings(pages)), tmp_path) as pdf:
        shown = [len(forms) for forms in systems_on(pdf)]
        ((_, _, marks),) = bookmarks(pdf)
        headed = [sum(1 for _, page in marks if page == place + 1) for place in range(len(pdf.pages))]
    assert sum(shown) == 60
    assert shown == [3 * count for count in headed]
    assert len([count for count in headed if count]) > 3


def test_an_exercise_longer_than_a_page_keeps_its_heading_with_its_first_system(tmp_path: Path) -> None:
    """It begins where the page has room for heading and music, and goes on over the next pages."""
    long = exercise(2, tuple(f"long-{place}" for place in range(30)))
    pages = BookPages("Long", (ChapterPages("All", (exercise(1), long, exercise(3))),), contents=False)
    with opened(typeset(pages, drawings(pages)), tmp_path) as pdf:
        ((_, _, marks),) = bookmarks(pdf)
        shown = [len(forms) for forms in systems_on(pdf)]
    start = dict(marks)["2 Line 2 in fifth position"]
    before = 1 if start == dict(marks)["1 Line 1 in fifth position"] else 0
    assert shown[start - 1] > before
    assert sum(shown) == 32


def test_bookmarks_lead_to_chapters_and_their_exercises(tmp_path: Path) -> None:
    """Chapters on the first level, exercises with their numbers on the second."""
    pages = book()
    with opened(typeset(pages, drawings(pages)), tmp_path) as pdf:
        found = [(title, [mark for mark, _ in marks]) for title, _, marks in bookmarks(pdf)]
    assert found[0] == ("Contents", [])
    assert found[2] == ("Chapter 2", [f"{n} Line {n} in fifth position" for n in (4, 5, 6)])


@poppler
def test_the_contents_name_the_page_on_which_each_exercise_stands(tmp_path: Path) -> None:
    """Sixty exercises, contents of several pages; each printed number is the page of the heading."""
    pages = book(chapters=6, exercises=10)
    pdf = typeset(pages, drawings(pages))
    with opened(pdf, tmp_path) as file:
        marks = [mark for _, _, inner in bookmarks(file) for mark in inner]
        first = min(page for _, page in marks)
    printed = "\n".join(text_of(pdf, tmp_path, page) for page in range(1, first))
    lines = [" ".join(line.split()) for line in printed.splitlines()]
    assert len(marks) == 60
    for title, page in marks:
        assert f"{title} {page}" in [line.replace(" .", "").replace(".", "") for line in lines]


@poppler
def test_the_index_leads_to_the_pages_of_its_exercises(tmp_path: Path) -> None:
    """A line of the index prints the page of each exercise it names."""
    groups = (IndexGroup("Keys", (IndexEntry("E flat major", ("ex-1", "ex-6")),)),)
    pages = book(index=groups)
    pdf = typeset(pages, drawings(pages))
    with opened(pdf, tmp_path) as file:
        marks = dict(mark for _, _, inner in bookmarks(file) for mark in inner)
        last = len(file.pages)
    wanted = f"E flat major {marks['1 Line 1 in fifth position']}, {marks['6 Line 6 in fifth position']}"
    assert wanted in " ".join(text_of(pdf, tmp_path, last).replace(".", "").split())


def test_an_index_line_that_leads_nowhere_is_an_error() -> None:
    """The line and the missing id are named."""
    pages = book(index=(IndexGroup("Keys", (IndexEntry("F major", ("ex-99",)),)),))
    with pytest.raises(OutputError, match="'F major' leads to 'ex-99'"):
        typeset(pages, drawings(pages))


def test_every_picture_has_a_text_read_in_its_place(tmp_path: Path) -> None:
    """Systems in reading order: the exercise's own text, then which system it is; the tempo's note by its name."""
    item = exercise(1, ("a", "b"), pictures=(Picture("c", "The neck."),))
    pages = BookPages(
        "Pictures",
        (ChapterPages("All", (item,)),),
        legend=(LegendEntry("String", "A circled figure.", "d", "A circle."),),
    )
    with opened(typeset(pages, {name: staff(place) for place, name in enumerate("abcd")}), tmp_path) as pdf:
        assert alternative_texts(pdf) == [
            "A circle.",
            "crotchet",
            "Music of exercise 1.",
            "Exercise 1, system 2 of 2.",
            "The neck.",
        ]


def test_headings_go_down_one_level_at_a_time(tmp_path: Path) -> None:
    """Contents and chapters are first-level headings, exercises and texts in a chapter second-level."""
    pages = book(chapters=1, exercises=1)
    chapter = replace(pages.chapters[0], items=(*pages.chapters[0].items, TextPage("A word", parse_text("Rest."))))
    with opened(typeset(replace(pages, chapters=(chapter,)), drawings(pages)), tmp_path) as pdf:
        found = [str(element.S) for element in elements(pdf.Root.StructTreeRoot.K) if str(element.S).startswith("/H")]
    assert found == ["/H1", "/H1", "/H2", "/H2"]


def test_all_fonts_are_embedded(tmp_path: Path) -> None:
    """Another machine shows the same page."""
    pages = book()
    with opened(typeset(pages, drawings(pages)), tmp_path) as pdf:
        described = [obj for obj in pdf.objects if isinstance(obj, pikepdf.Dictionary) and "/FontName" in obj]
        assert len(described) >= 3
        assert all("/FontFile3" in obj or "/FontFile2" in obj for obj in described)
        assert all("TeXGyreSchola" in str(obj.FontName) for obj in described)


def test_a_glyph_is_stored_once_however_many_systems_show_it(tmp_path: Path) -> None:
    """Six systems of one note head each: six drawings and one outline."""
    pages = book()
    with opened(typeset(pages, drawings(pages)), tmp_path) as pdf:
        streams = [obj for obj in pdf.objects if isinstance(obj, pikepdf.Stream)]
        forms = [stream for stream in streams if stream.get("/Subtype") == "/Form"]
        images = [stream for stream in streams if stream.get("/Subtype") == "/Image"]
    assert len(forms) == 6 + 1
    assert images == []


@poppler
def test_hostile_text_is_printed_as_it_was_written(tmp_path: Path) -> None:
    """Nothing in a title, a name or a text is read as markup, and nothing is lost."""
    item = exercise(1, title=HOSTILE, alt=HOSTILE, remark=HOSTILE, reason=HOSTILE)
    pages = BookPages(
        HOSTILE,
        (ChapterPages(HOSTILE, (item,), parse_text(HOSTILE.replace("*", r"\*"))),),
        subtitle=HOSTILE,
        author=HOSTILE,
        imprint=(HOSTILE,),
    )
    pdf = typeset(pages, drawings(pages))
    whole = "".join(text_of(pdf, tmp_path).split())
    assert whole.count("".join(HOSTILE.split())) >= 8
    with opened(pdf, tmp_path) as file:
        assert str(file.docinfo.Title) == HOSTILE
        assert HOSTILE in alternative_texts(file)


@poppler
def test_long_texts_and_long_words_stay_on_the_paper(tmp_path: Path) -> None:
    """Ten thousand letters without a space are broken into lines, and all of them are printed."""
    item = exercise(1, title="x" * 10_000, paragraphs=parse_text("y" * 10_000 + " end"))
    pages = BookPages("Long", (ChapterPages("All", (item,)),), contents=False)
    pdf = typeset(pages, drawings(pages))
    text = text_of(pdf, tmp_path)
    assert text.count("x") == 10_000
    assert text.count("y") == 10_000
    assert max(len(line.strip()) for line in text.splitlines()) < 150


@pytest.mark.parametrize(("character", "code"), [("\U0001f600", "U+1F600"), ("\u65e5", "U+65E5"), ("\x07", "U+0007")])
def test_a_character_no_font_can_show_is_an_error_that_quotes_the_text(character: str, code: str) -> None:
    """The teacher sees which text to mend."""
    pages = book(subtitle=f"For {character} everyone")
    with pytest.raises(OutputError) as error:
        typeset(pages, drawings(pages))
    assert code in str(error.value)
    assert f"For {character} everyone" in str(error.value)


@poppler
def test_letters_and_signs_of_europe_are_printed(tmp_path: Path) -> None:
    """Accents, Greek, Cyrillic and the signs of music have a font."""
    title = "\u00e9\u00f1\u00fc\u00df \u03a9\u03c8 \u0416\u044f \u266d\u266f"
    pages = book(title=title)
    pdf = typeset(pages, drawings(pages))
    assert title.split()[1] in text_of(pdf, tmp_path, 1)


def test_a_system_that_was_not_engraved_is_an_error_that_names_the_exercise() -> None:
    """The exercise and the picture are named."""
    pages = book()
    systems = drawings(pages)
    del systems["ex-4-1"]
    with pytest.raises(OutputError, match="exercise 'ex-4': the picture 'ex-4-1' has not been engraved"):
        typeset(pages, systems)


def test_a_system_wider_than_the_line_is_made_smaller(tmp_path: Path) -> None:
    """A figure never reaches over the margin."""
    pages = BookPages("Wide", (ChapterPages("All", (exercise(1, tempo=None),)),), contents=False)
    wide = {"ex-1-1": staff(1, width=900)}
    with opened(typeset(pages, wide), tmp_path) as pdf:
        (figure,) = tagged(pdf, "Figure")
        left, _, right, _ = (float(number) for number in figure.A[0].BBox)
    assert left == pytest.approx(20 * 72 / 25.4, abs=0.1)
    assert right == pytest.approx(190 * 72 / 25.4, abs=0.1)


@poppler
def test_mirrored_pages_swap_their_running_head(tmp_path: Path) -> None:
    """The book's title stands at the left of an odd page and at the right of an even one."""
    pages = book(chapters=2, exercises=12, mirrored=True)
    pdf = typeset(pages, drawings(pages))
    with opened(pdf, tmp_path) as file:
        chapters = [page for title, page, _ in bookmarks(file) if title == "Chapter 1"]
    heads = {page: text_of(pdf, tmp_path, page).strip().splitlines()[0] for page in (chapters[0], chapters[0] + 1)}
    for page, head in heads.items():
        assert (head.index("Left Hand") < head.index("Chapter 1")) == (page % 2 == 1)


@pytest.mark.parametrize(
    "style",
    [PageStyle(), PageStyle(215.9, 279.4), PageStyle(297, 210, 18, 18, 20, 16), PageStyle(120, 170, 8, 8, 14, 12)],
)
def test_the_sheet_has_the_size_asked_for(style: PageStyle, tmp_path: Path) -> None:
    """A4, Letter, A4 lying, a sheet of one's own."""
    pages = book(page=style, text_size_pt=14)
    with opened(typeset(pages, drawings(pages)), tmp_path) as pdf:
        for page in pdf.pages:
            width, height = (float(number) * 25.4 / 72 for number in page.mediabox[2:])
            assert (width, height) == (pytest.approx(style.width_mm, abs=0.1), pytest.approx(style.height_mm, abs=0.1))


@poppler
def test_a_single_page_holds_its_exercise_its_signs_and_a_caution(tmp_path: Path) -> None:
    """One page, the exercise as its first heading, no contents."""
    caution = words("en").cautions.one_line
    legend = (LegendEntry("String", "A figure in a circle names the string.", "sign", "A circle."),)
    item = exercise(7, remark="rest stroke", practice_bpms=(60, 63, 66), reason="The hand stays where it is.")
    sheet = SinglePage(item, source="Lines", legend=legend, caution=caution)
    pdf = typeset_page(sheet, {"ex-7-1": staff(1), "sign": staff(2, width=40)})
    text = " ".join(text_of(pdf, tmp_path).split())
    with opened(pdf, tmp_path) as file:
        assert len(file.pages) == 1
        assert [title for title, _, _ in bookmarks(file)] == ["7 Line 7 in fifth position"]
    for part in ("rest stroke", "= 60\N{EN DASH}96", "names the string", "66", "The hand stays", "numbness"):
        assert part in text


@pytest.mark.parametrize(
    ("beat", "base", "dots"), [(Fraction(1), 4, 0), (Fraction(3, 2), 4, 1), (Fraction(1, 2), 8, 0), (Fraction(2), 2, 0)]
)
def test_the_counted_beat_is_drawn_as_its_note_value(beat: Fraction, base: int, dots: int) -> None:
    """A beat of three quavers is a dotted crotchet."""
    assert Tempo.of(TempoRange(60, 96, beat)) == Tempo(base, dots, 60, 96)


def test_a_beat_without_a_note_value_has_no_mark() -> None:
    """Five quavers are no note value."""
    with pytest.raises(OutputError, match="5/2"):
        Tempo.of(TempoRange(60, 96, Fraction(5, 2)))
