"""Pages without orphans: what shares a page, what is shared out over pages, what stands side by side."""

import re
import subprocess
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from engraver.outputs.book import typeset, typeset_page
from engraver.outputs.book_data import Album, book_data
from engraver.outputs.pages import (
    BookPages,
    ChapterPages,
    ExercisePage,
    IndexEntry,
    IndexGroup,
    LegendEntry,
    Look,
    Opening,
    SinglePage,
    Tempo,
    TermEntry,
    TextPage,
)
from engraver.outputs.richtext import parse_text
from engraver.score.diagrams import Diagram, Dot
from engraver.score.page import PageStyle
from engraver.tables.glossary import glossary_terms
from engraver.tables.words import languages, words
from tests.outputs.book_samples import book, drawings, exercise, staff
from tests.outputs.test_book import opened, poppler, systems_on, text_of
from tests.outputs.test_openings import pages_of

LARGE = {"look": Look.LARGE, "page": PageStyle(297, 210), "text_size_pt": 18}
SENTENCE = "A figure beside a note names the finger that frets it, and where there is none the hand stays in its place."


def page_list(pdf: bytes, folder: Path) -> list[str]:
    return text_of(pdf, folder).split("\f")


def words_at(pdf: bytes, folder: Path, page: int) -> dict[str, tuple[float, float]]:
    """The left and upper edge of the last occurrence of each word of a page."""
    path = folder / "words.pdf"
    path.write_bytes(pdf)
    run = subprocess.run(
        ["pdftotext", "-bbox", "-f", str(page), "-l", str(page), path, "-"], capture_output=True, check=True
    )
    found = re.findall(r'xMin="([\d.]+)" yMin="([\d.]+)"[^>]*>([^<]+)<', run.stdout.decode())
    return {word: (float(left), float(top)) for left, top, word in found}


def signs(count: int) -> tuple[LegendEntry, ...]:
    return tuple(LegendEntry(f"Sign{number}.", SENTENCE) for number in range(count))


@poppler
@pytest.mark.parametrize("large", [False, True])
@pytest.mark.parametrize("count", [3, 8, 12, 14, 16, 19])
def test_signs_are_shared_out_evenly(count: int, large: bool, tmp_path: Path) -> None:
    """No page of the legend holds a stray sign: the last has at least half of what the fullest has."""
    pages = book(legend=signs(count), **(LARGE if large else {}))
    held = [
        n for page in page_list(typeset(pages, drawings(pages)), tmp_path) if (n := len(re.findall(r"Sign\d+\.", page)))
    ]
    assert sum(held) == count
    assert min(held) >= max(held) / 2
    assert large or len(held) == 1


@poppler
def test_short_front_texts_share_a_page_and_long_ones_do_not(tmp_path: Path) -> None:
    """The introduction comes first, the cautions follow it where they fit as a whole, the signs have their own page."""
    pages = book(
        front=(TextPage("How to use this book", parse_text("Slowly.")),),
        cautions=TextPage("Before you practise", parse_text("- Rest.\n- Stretch.")),
        legend=signs(3),
    )
    found = pages_of(pages, tmp_path)
    assert found["How to use this book"] == found["Before you practise"] == found["The signs in this book"] - 1
    long = replace(pages, front=(TextPage("How to use this book", parse_text("\n\n".join([SENTENCE * 4] * 9))),))
    found = pages_of(long, tmp_path)
    assert found["How to use this book"] == found["Before you practise"] - 1


@poppler
@pytest.mark.parametrize("language", languages())
def test_all_terms_that_we_can_explain_stand_on_one_page(language: str, tmp_path: Path) -> None:
    """So does every smaller choice of them."""
    terms = glossary_terms(language).terms.values()
    for few in (terms, list(terms)[:12]):
        pages = book(glossary=tuple(TermEntry(term.name, term.sentence) for term in few), language=language)
        found = pages_of(pages, tmp_path)
        assert found["Chapter 1"] == found[words(language).book.glossary] + 1


@poppler
def test_a_few_terms_share_the_sheet_of_the_signs(tmp_path: Path) -> None:
    """They stand under the signs where the sheet has room for all of them, else on a page of their own."""
    terms = tuple(TermEntry(f"Term{number}", SENTENCE) for number in range(30))
    for count, pages_apart in ((4, 0), (30, 1)):
        found = pages_of(book(legend=signs(6), glossary=terms[:count]), tmp_path)
        assert found["The terms in this book"] == found["The signs in this book"] + pages_apart
        assert found["Chapter 1"] == found["The terms in this book"] + 1


@poppler
def test_the_music_of_a_full_page_reaches_its_foot(tmp_path: Path) -> None:
    """The room that is left is shared out before the exercises; no exercise moves to another page for it."""
    pages = replace(book(chapters=1, exercises=16), contents=False)
    spread, natural = (headings_of(made, tmp_path) for made in (pages, replace(pages, opening=Opening.RUN_ON)))
    assert [sorted(page) for page in spread] == [sorted(page) for page in natural]
    assert len(spread) >= 3
    foot_pt = (pages.page.height_mm - pages.page.bottom_mm) * 72 / 25.4
    for number, (own, plain) in enumerate(zip(spread, natural, strict=True)):
        tops, before = sorted(own.values()), sorted(plain.values())
        last_ends = tops[-1] + (before[1] - before[0] - 2.3 * 10.5)
        if number < len(spread) - 1:
            assert 0 <= foot_pt - last_ends < 12
        assert len({round(b - a) for a, b in pairwise(tops)}) == 1


def headings_of(pages: BookPages, folder: Path) -> list[dict[str, float]]:
    """The upper edge in points of every exercise's number, page by page."""
    pdf = typeset(pages, drawings(pages))
    path = folder / "tops.pdf"
    path.write_bytes(pdf)
    run = subprocess.run(["pdftotext", "-bbox", path, "-"], capture_output=True, check=True)
    found = []
    for page in run.stdout.decode().split("<page ")[1:]:
        tops = re.findall(r'xMin="56[\d.]+" yMin="([\d.]+)"[^>]*>(\d+)<', page)
        found.append({number: float(top) for top, number in tops})
    return [page for page in found if page]


def short(number: int, **changes: object) -> ExercisePage:
    """An exercise with nothing beside its title."""
    return exercise(number, **{"tempo": None, "title": "Cadence", **changes})


def heads(items: tuple[ExercisePage | TextPage, ...], folder: Path, **changes: object) -> list[tuple[float, float]]:
    """Left and upper edge of every exercise's number in points."""
    pages = replace(book(chapters=1, **changes), chapters=(ChapterPages("Cadences", items),), contents=False)  # type: ignore[arg-type]
    systems = {f"ex-{n}-1": staff(n, 200) for n in range(1, 9)}
    path = folder / "heads.pdf"
    path.write_bytes(typeset(pages, systems))
    run = subprocess.run(["pdftotext", "-bbox", path, "-"], capture_output=True, check=True)
    found = re.findall(r'xMin="([\d.]+)" yMin="([\d.]+)"[^>]*>(\d+)<', run.stdout.decode())
    first = {number: (float(left), float(top)) for left, top, number in reversed(found)}
    return [first[str(number + 1)] for number in range(len(items))]


@poppler
def test_short_exercises_stand_two_in_a_row(tmp_path: Path) -> None:
    """At one height, left then right; the odd one is alone at the left."""
    one, two, three = heads((short(1), short(2), short(3)), tmp_path)
    assert one[1] == pytest.approx(two[1], abs=0.1)
    assert two[0] > one[0] + 230
    assert three[0] == pytest.approx(one[0], abs=0.1)
    assert three[1] > one[1] + 60


@poppler
@pytest.mark.parametrize("changes", [{"tempo": Tempo(4, 0, 60, 96)}, {"remark": "alternate i m"}, {"reason": "Why."},
                                     {"paragraphs": parse_text("Slowly.")}, {"title": "A long title " * 8}])  # fmt: skip
def test_what_needs_the_line_has_it(changes: dict[str, object], tmp_path: Path) -> None:
    """A tempo, a remark, a reason, a text or a long title keep an exercise on a row of its own."""
    one, two = heads((short(1), short(2, **changes)), tmp_path)
    assert two[1] > one[1] + 60


@poppler
def test_the_chords_of_a_title_stay_together(tmp_path: Path) -> None:
    """A title that takes two lines is cut before its chords, not among them."""
    items = tuple(short(n, title="Cadence in C sharp major: I, V7, I") for n in (1, 2))
    pages = replace(book(chapters=1), chapters=(ChapterPages("Chords", items),), contents=False)
    found = words_at(typeset(pages, {f"ex-{n}-1": staff(n, 200) for n in (1, 2)}), tmp_path, 2)
    assert found["V7,"][1] == pytest.approx(found["I,"][1], abs=0.1)
    assert found["V7,"][1] > found["major:"][1] + 10


@poppler
def test_a_long_word_that_fits_its_line_is_not_cut(tmp_path: Path) -> None:
    """Places where a word may be cut are used only where it fits no line."""
    word = "Tonleiterübungskapitelüberschrift"
    pages = replace(book(chapters=1), chapters=(ChapterPages(f"{word} {word} {word}", (exercise(1),)),), contents=False)
    shown = text_of(typeset(pages, {"ex-1-1": staff(1)}), tmp_path)
    assert shown.replace("\u200b", "").count(f"{word}\n") == 3


@poppler
def test_large_print_has_one_exercise_a_row(tmp_path: Path) -> None:
    """Large print is read down, not across."""
    one, two = heads((short(1), short(2)), tmp_path, look=Look.LARGE)
    assert two[1] > one[1] + 60


@poppler
def test_music_of_a_row_stands_at_one_height(tmp_path: Path) -> None:
    """A title of two lines beside one of one line leaves the exercises below in their places."""
    title = "Cadence in the minor with a sixth and back"
    rows = [heads((short(1), short(2, title=one), short(3), short(4)), tmp_path)[2][1] for one in ("Cadence", title)]
    assert rows[1] > rows[0] + 10


@poppler
def test_titles_are_measured_in_letters_not_bytes(tmp_path: Path) -> None:
    """A dash of three bytes between two tempos takes the room of a dash: a title that fits stays on its line."""
    title = "Arpeggio of the minor seventh with a turn, up"
    page = book(chapters=1, exercises=1)
    long = replace(page.chapters[0], items=(exercise(1, title=title, remark="alternate i m"),))
    pages = replace(page, chapters=(long,), contents=False)
    pdf = typeset(pages, drawings(pages))
    found = words_at(pdf, tmp_path, 2)
    assert found["up"][1] == pytest.approx(found["Arpeggio"][1], abs=1)


@poppler
def test_each_group_of_the_index_begins_a_column(tmp_path: Path) -> None:
    """Keys at the left, techniques at the right of them."""
    lines = tuple(IndexEntry(f"Line{number}", ("ex-1",)) for number in range(9))
    pages = book(index=(IndexGroup("Keys", lines), IndexGroup("Techniques", lines)))
    pdf = typeset(pages, drawings(pages))
    last = sum(1 for page in page_list(pdf, tmp_path) if page.strip())
    found = words_at(pdf, tmp_path, last)
    assert found["Techniques"][1] == pytest.approx(found["Keys"][1], abs=1)
    assert found["Techniques"][0] > found["Keys"][0] + 200


@poppler
def test_a_large_single_page_has_its_signs_on_the_back(tmp_path: Path) -> None:
    """Ten signs in large letters do not fit beside the music: two sides, music and caution first."""
    page = SinglePage(exercise(1), source="A book", legend=signs(10), caution="Rest often.", **LARGE)  # type: ignore[arg-type]
    shown = [text for text in page_list(typeset_page(page, {"ex-1-1": staff(1)}), tmp_path) if text.strip()]
    assert len(shown) == 2
    assert "Line 1" in shown[0]
    assert "Rest often." in shown[0]
    assert "The signs on this page" in shown[1]
    assert shown[1].count("names the finger") == 10


@poppler
def test_a_usual_single_page_is_one_page(tmp_path: Path) -> None:
    """Ten signs of usual size stand under the music."""
    page = SinglePage(exercise(1), source="A book", legend=signs(10), caution="Rest often.")
    shown = [text for text in page_list(typeset_page(page, {"ex-1-1": staff(1)}), tmp_path) if text.strip()]
    assert len(shown) == 1
    assert "The signs on this page" not in shown[0]


def rules_on(pdf: bytes, folder: Path, page: int) -> int:
    """How many long level lines a page draws."""
    with opened(pdf, folder) as pages:
        content = pages.pages[page - 1].Contents.read_bytes().decode("latin-1")
    return len(re.findall(r"\bl\s+S", content))


@poppler
def test_lines_for_notes_fill_a_page_that_is_theirs_alone(tmp_path: Path) -> None:
    """Three lines that go to a new page would leave it empty; where the chapter leaves room they stay three."""
    tall = {name: staff(place, height=600) for place, name in enumerate(["ex-1-1"])}
    chapter = ChapterPages("C", (exercise(1),), practice_lines=3)
    full = BookPages("T", (chapter,), contents=False)
    pdf = typeset(full, tall)
    texts = page_list(pdf, tmp_path)
    (place,) = [number for number, text in enumerate(texts, 1) if "Your own notes" in text]
    assert "Line 1" not in texts[place - 1]
    assert rules_on(pdf, tmp_path, place) > 20
    pdf = typeset(full, {"ex-1-1": staff(1)})
    (place,) = [number for number, text in enumerate(page_list(pdf, tmp_path), 1) if "Your own notes" in text]
    assert rules_on(pdf, tmp_path, place) == 3


@poppler
def test_no_line_for_notes_strays_to_the_next_page(tmp_path: Path) -> None:
    """Of six lines those that fit are ruled; a wish for more than a page is kept."""
    tall = {"ex-1-1": staff(1, height=490)}
    for wanted, last in ((6, False), (40, True)):
        chapter = ChapterPages("C", (exercise(1),), practice_lines=wanted)
        pdf = typeset(BookPages("T", (chapter,), contents=False), tall)
        pages = [
            rules_on(pdf, tmp_path, number)
            for number in range(2, 2 + sum(map(bool, map(str.strip, page_list(pdf, tmp_path)[1:]))))
        ]
        assert 3 <= pages[0] < 6
        assert (sum(pages) == wanted) == last


@poppler
@pytest.mark.parametrize("language", languages())
def test_the_words_of_the_tempo_row_stay_in_their_cell(language: str, tmp_path: Path) -> None:
    """The longest is Andamento."""
    told = exercise(1, practice_bpms=(61, 72, 84))
    pages = BookPages("T", (ChapterPages("C", (told,)),), contents=False, language=language)
    path = tmp_path / "row.pdf"
    path.write_bytes(typeset(pages, drawings(pages)))
    run = subprocess.run(["pdftotext", "-bbox", path, "-"], capture_output=True, check=True)
    edges = dict(
        (word, (float(left), float(right)))
        for left, right, word in re.findall(r'xMin="([\d.]+)"[^>]*xMax="([\d.]+)"[^>]*>([^<]+)<', run.stdout.decode())
    )
    title = words(language).tempo.title
    assert edges[title][1] < edges["61"][0] - 8


NECK = Diagram(6, tuple(Dot(string, fret, fret) for string in range(6, 0, -1) for fret in (1, 2, 3)), lying=True)


@poppler
def test_reason_and_tempos_stand_beside_a_short_diagram(tmp_path: Path) -> None:
    """At the height of the diagram, not below it."""
    told = exercise(1, reason="Becausely.", practice_bpms=(60, 72, 84), diagrams=(NECK,))
    pages = BookPages("T", (ChapterPages("C", (told,)),), contents=False)
    found = words_at(typeset(pages, drawings(pages)), tmp_path, 2)
    assert found["Becausely."][0] > 150
    assert found["Tempo"][0] > 150
    assert found["Becausely."][1] < found["Tempo"][1] < found["III"][1]


@pytest.mark.parametrize("height", [100, 130, 170])
@pytest.mark.parametrize("count", range(4, 12))
def test_the_last_exercise_of_a_chapter_is_not_alone(count: int, height: int, tmp_path: Path) -> None:
    """Where the pages before hold three or more, one of them comes to keep it company; no page is lost by it."""
    pages = book(chapters=1, exercises=count)
    run_on = replace(pages, opening=Opening.RUN_ON)
    held, plain = (_held(version, height, tmp_path) for version in (pages, run_on))
    assert sum(held) == count
    assert len(held) == len(plain)
    assert held[-1] > 1 or held[-2] < 3
    assert plain[-1] > 1 or max(plain) < 3 or held != plain


def _held(pages: BookPages, height: int, folder: Path) -> list[int]:
    """How many exercises each page holds."""
    with opened(typeset(pages, drawings(pages, height)), folder) as pdf:
        return [len(forms) for forms in systems_on(pdf) if forms]


def test_diagrams_count_when_an_exercise_looks_for_two_pages() -> None:
    """Four systems that fit a page do so no more with a diagram and tempos; then it waits for a left-hand page."""
    plain = exercise(1, tuple(f"s{number}" for number in range(4)))
    more = replace(plain, diagrams=(NECK,), practice_bpms=(60, 80), reason=SENTENCE * 3)
    systems = {f"s{number}": staff(number, height=150) for number in range(4)}

    def waits(item: object) -> bool:
        pages = BookPages("T", (ChapterPages("C", (item,)),), facing=True)  # type: ignore[arg-type]
        return bool(book_data(pages, Album(systems, 170))["chapters"][0]["items"][0]["left"])

    assert not waits(plain)
    assert waits(more)


@poppler
def test_a_title_is_not_cut_in_its_last_part(tmp_path: Path) -> None:
    """`two octaves` goes to the next line as a whole."""
    long = exercise(1, title="Melodic minor scale of the raised and altered kind, two octaves")
    pages = BookPages("T", (ChapterPages("C", (long,)),), contents=False)
    found = words_at(typeset(pages, drawings(pages)), tmp_path, 2)
    assert found["two"][1] == found["octaves"][1] > found["Melodic"][1] + 10


@poppler
def test_a_subtitle_of_two_lines_has_no_word_alone(tmp_path: Path) -> None:
    """Its lines are of about one length."""
    subtitle = "Scales, chords, double stops, slurs, shifts, barres, the plucking hand and cadences"
    pages = book(subtitle=subtitle)
    found = words_at(typeset(pages, drawings(pages)), tmp_path, 1)
    tops = [found[word][1] for word in ("chords,", "slurs,", "barres,", "cadences")]
    assert tops[0] == tops[1] < tops[2] == tops[3]
