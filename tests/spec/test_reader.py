"""A book is read whole, or every error in it is told with its line and column in a teacher's words."""

import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from ruamel.yaml import YAML

from engraver.errors import EngraverError, SpecError
from engraver.spec.heads import KINDS
from engraver.spec.played import MOST_TONICS
from engraver.spec.reader import read_book
from engraver.theory.pitch import PitchName
from tests import strategies

GOOD = """\
title: A book
chapters:
  - title: Scales
    defaults: {octaves: 2, left_hand: {open_strings: avoid}}
    exercises:
      - {id: majors, kind: scale, scale: major, tonics: [G, E flat, C#], left_hand: {start: {string: 6}}}
      - {id: note, kind: text, text: Rest now.}
      - {id: one, kind: scale, scale: major, tonics: [G], octaves: 1}
"""


def read(tmp_path: Path, text: str):
    path = tmp_path / "book.yaml"
    path.write_text(text, "utf-8")
    return read_book(path)


def errors_of(tmp_path: Path, text: str) -> list[str]:
    """The printed lines, with the folder taken away."""
    with pytest.raises(EngraverError) as caught:
        read(tmp_path, text)
    return [line.replace(f"{tmp_path}/", "") for line in str(caught.value).splitlines()]


def one_error(tmp_path: Path, text: str) -> str:
    lines = errors_of(tmp_path, text)
    assert len(lines) == 1, lines
    return lines[0]


def book(entry: str, head: str = "title: T") -> str:
    return f"{head}\nchapters:\n  - title: C\n    exercises:\n      - {entry}\n"


def test_an_entry_with_several_tonics_becomes_one_exercise_each(tmp_path):
    """Ids gain the tonic; a single tonic leaves the id alone; texts have no number."""
    found = read(tmp_path, GOOD)
    assert [(e.id, e.number) for e in found.exercises] == [
        ("majors-g", 1), ("majors-e-flat", 2), ("majors-c-sharp", 3), ("note", None), ("one", 4),
    ]  # fmt: skip


def test_nearer_defaults_win_and_hands_are_merged(tmp_path):
    """Chapter defaults hold under the entry; the entry's start joins the chapter's open-string policy."""
    found = read(tmp_path, GOOD)
    majors, one = found.exercises[0].spec, found.exercises[-1].spec
    assert (majors.octaves, one.octaves) == (2, 1)
    assert majors.left_hand.open_strings == "avoid"
    assert majors.left_hand.start.string == 6


def test_every_exercise_knows_its_place(tmp_path):
    """Line and column of the entry and of its tonic."""
    found = read(tmp_path, GOOD)
    assert (found.exercises[1].place.line, found.exercises[1].place.column) == (6, 9)
    assert (found.exercises[1].tonic_place.line, found.exercises[1].tonic_place.column) == (6, 61)


def test_editions_change_only_what_they_name(tmp_path):
    """A large-print edition keeps the book's paper."""
    text = GOOD.replace(
        "title: A book",
        "title: A book\nstyle: {paper: letter}\neditions: {plain: {}, large: {style: {staff_size_pt: 28}}}",
    )
    found = read(tmp_path, text)
    large = found.for_edition("large").edition
    assert (large.style.paper, large.style.staff_size_pt) == ("letter", 28)
    assert found.edition.name == "plain"
    with pytest.raises(SpecError, match="no edition 'larg'"):
        found.for_edition("larg")


def test_an_edition_in_large_print_takes_the_sizes_of_large_print(tmp_path):
    """The staff size that the book says for its other editions does not make large print small; the edition's own holds."""
    text = GOOD.replace(
        "title: A book",
        "title: A book\nstyle: {staff_size_pt: 18, landscape: false}\neditions: {plain: {}, large: {style: {large_print: true}}, "
        "own: {style: {large_print: true, staff_size_pt: 32}}}",
    )
    found = read(tmp_path, text)
    sizes = [(edition.style.staff_size_pt, edition.style.landscape) for edition in found.editions]
    assert sizes == [(18, False), (28, True), (32, True)]


def test_a_book_in_large_print_keeps_its_own_sizes_in_every_edition(tmp_path):
    """A staff size that stands beside `large_print` in the book's own style is meant."""
    text = GOOD.replace(
        "title: A book",
        "title: A book\nstyle: {staff_size_pt: 36, large_print: true}\neditions: {one: {style: {large_print: true}}}",
    )
    assert read(tmp_path, text).edition.style.staff_size_pt == 36


def test_editions_are_named_in_the_letters_of_any_language(tmp_path):
    """Accents and other alphabets are allowed; a slash, which would name a folder within a folder, is not."""
    named = GOOD.replace("title: A book", "title: A book\neditions: {Prüfung: {}, élève: {}}")
    assert [edition.name for edition in read(tmp_path, named).editions] == ["Prüfung", "élève"]
    slashed = GOOD.replace("title: A book", "title: A book\neditions: {a/b: {}}")
    assert one_error(tmp_path, slashed) == "book.yaml:2:17: the name is 'a/b'; use letters, digits, spaces and hyphens"


def test_a_sheet_that_is_none_is_told_once(tmp_path):
    """Of names and measures of a sheet, both are offered in one line."""
    line = one_error(tmp_path, GOOD.replace("title: A book", "title: A book\nstyle: {paper: a3}"))
    assert line == "book.yaml:2:16: 'paper' is 'a3'; write one of: a4, letter, or {width_mm: 230, height_mm: 310}"


@pytest.mark.parametrize(("entry", "expected"), [
    ("{id: a, kind: scale, scale: major, tonics: [G], octave: 2}", "5:57: there is no field 'octave' here; did you mean 'octaves'?"),
    ("{id: a, kind: scael, scale: major, tonics: [G]}", "5:23: 'scael' is not a kind of exercise; did you mean 'scale'?"),
    ("{id: a, scale: major, tonics: [G]}", "5:9: the exercise has no kind; write one of: "),
    ("{id: a, kind: scale, scale: majr, tonics: [G]}", "5:37: 'majr' is not a scale we know; did you mean 'major'?"),
    ("{id: a, kind: scale, scale: major, tonics: [J]}", "5:53: 'J' is not a note name; write a letter A to G"),
    ("{id: a, kind: scale, scale: major, tonics: [H]}", "5:53: 'H' is not a note name; note names are English: write 'B'"),
    ("{id: a, kind: scale, scale: major, tonics: G}", "5:52: 'tonics' is 'G'; write a list in brackets: [G]"),
    ("{id: a, kind: scale, scale: major}", "5:9: 'tonics' is missing; add 'tonics: …'"),
    ("{id: a, kind: scale, scale: major, tonics: []}", "5:52: 'tonics' holds 0 values; write at least 1"),
    ("{id: a, kind: scale, scale: major, tonics: [G], octaves: 9}", "5:66: 'octaves' is '9'; write a number up to 4"),
    ("{id: a, kind: scale, scale: major, tonics: [G], metre: 5/5}", "5:64: '5/5' is not a metre; write beats and note value"),
    ("{id: a, kind: scale, scale: major, tonics: [G], rhythm: quaver}", "5:65: 'quaver' is not a rhythm we know; did you mean 'quavers'?"),
    ("{id: a, kind: scale, scale: major, tonics: [G], tempo: {from: 90, to: 60}}", "5:64: the tempo falls from 90 to 60"),
    ("{id: A b, kind: text, text: x}", "5:14: 'id' is 'A b'; write small letters, digits and hyphens"),
    ("{id: a, kind: arpeggio, chord: major}", "5:9: the arpeggio has neither 'tonics' nor 'key'"),
    ("{id: a, kind: arpeggio, chord: dominant seventh, key: H minor}", "5:63: 'H' is not a note name"),
    ("{id: a, kind: right hand}", "5:9: the right-hand study has no formula"),
    ("{id: a, kind: right hand, progression: [C, G9], right_hand: {formula: [p]}}", "5:52: 'G9' is not a chord symbol we know"),
    ("{id: a, kind: right hand, right_hand: {formula: [p, z]}}", "5:61: 'z' is not a plucking letter; write p, i, m, a or c"),
    ("{id: a, kind: scale, scale: major, tonics: [G], left_hand: {pins: {0: {string: 1}}}}", "5:79: 'pins' is '0'; write a number from 1"),
    ("{id: a, kind: scale, scale: major, tonics: [G], left_hand: {start: {strng: 1}}}", "5:77: there is no field 'strng' here; did you mean 'string'?"),
    ("[1, 2]", "5:9: an exercise is a group of fields"),
    ("{id: a, knd: scale, scale: major, tonics: [G]}", "5:17: there is no field 'knd' here; did you mean 'kind'?"),
    ("{id: a, kind: scale, scale: major, tonics: [Cis]}", "5:53: 'Cis' is not a note name; note names are English: write 'C sharp'"),
    ("{id: a, kind: scale, scale: major, tonics: [fa dièse]}", "5:53: 'fa dièse' is not a note name; note names are English: write 'F sharp'"),
    ("{id: a, kind: scale, scale: major, tonics: [A minor]}", "5:53: 'A minor' is not a note name; write the note alone: 'A'"),
    ("{id: a, kind: arpeggio, chord: major, key: sol mineur}", "5:52: 'sol mineur' is not a note name; note names are English: write 'G minor'"),
    ("{id: a, kind: scale, scale: major, tonics: [G], direction: up/down}", "5:68: 'direction' is 'up/down'; write one of: up, down, up and down, down and up"),
    ("{id: a, kind: scale, scale: major, tonics: [G], tempo: 60}", "5:64: 'tempo' is '60'; write a group of fields: {from: 60, to: 80}"),
    ("{id: a, kind: right hand, right_hand: {formula: p i m a}}", "5:57: 'formula' is 'p i m a'; write a list in brackets: [p, i, m, a]"),
])  # fmt: skip
def test_errors_say_where_what_and_what_instead(tmp_path, entry, expected):
    """file:line:column, what was found, what to write instead."""
    assert one_error(tmp_path, book(entry)).startswith("book.yaml:" + expected)


@pytest.mark.parametrize(("text", "expected"), [
    ("", "1:1: the book is empty; write at least 'title:' and 'chapters:'"),
    ("# nothing\n", "1:1: the book is empty"),
    ("- a\n- b\n", "1:1: a book begins with its title"),
    ("title: T\n", "1:1: 'chapters' is missing"),
    ("title: T\nchapters: []\n", "2:11: 'chapters' holds 0 values"),
    ("title: [\n", "2:1: this is not readable YAML"),
    ("title: T\n\tchapters: 1\n", "2:1: this is not readable YAML: a tab stands here; indent with spaces, never with tabs"),
    ("title: Term: one\n", "1:12: this is not readable YAML: a colon stands where none can; put words that hold a colon in quotes"),
    ("title: %x\n", "1:8: this is not readable YAML: words cannot begin with '%'; put them in quotes"),
    ("title: 'T\nchapters: []\n", "1:8: this is not readable YAML: the quotation mark that opens here is never closed"),
    ("chapters:\n  - title: A\n   text: x\n", "3:4: this is not readable YAML: the line does not line up with the others of its group"),
    ("chapters:\n  - {title: A\n  - {title: B}\n", "3:5: this is not readable YAML: a bracket opens in line 2 and is not closed before this; close it with '}'"),
    ("title: T\nchapters:\n", "2:10: 'chapters' is empty; write a list under it"),
    ("title: T\ntitle: U\nchapters: []\n", "2:1: 'title' is written twice here"),
    ("a: &a [x, x]\nb: &b [*a, *a]\n", "1:1: "),
])  # fmt: skip
def test_broken_books_are_told_as_such(tmp_path, text, expected):
    """Empty, broken or chapterless files: one clear line, no traceback."""
    assert errors_of(tmp_path, text)[0].startswith("book.yaml:" + expected)


def test_a_missing_file_and_a_folder_are_told_as_such(tmp_path):
    """The file's name, and what to check."""
    with pytest.raises(SpecError, match=r"nowhere.yaml:1:1: there is no such file; check the name"):
        read_book(tmp_path / "nowhere.yaml")
    with pytest.raises(SpecError, match="this is a folder"):
        read_book(tmp_path)


def test_text_that_is_not_utf8_is_told_with_its_line(tmp_path):
    """A Latin-1 file from an old editor."""
    path = tmp_path / "old.yaml"
    path.write_bytes("title: T\nsubtitle: Für Anfänger\n".encode("latin-1"))
    with pytest.raises(SpecError, match=r"old.yaml:2:1: the file is not UTF-8"):
        read_book(path)


def test_all_errors_of_a_book_come_in_one_run_in_reading_order(tmp_path):
    """Head, style, defaults and entries are all read before anything is told."""
    text = """\
titel: T
title: T
instrument: {frets: 99}
style: {fingers: some}
chapters:
  - title: C
    defaults: {octavs: 2}
    exercises:
      - {id: a, kind: scale, scale: majr, tonics: [G]}
      - {id: b, kind: nothing}
"""
    lines = errors_of(tmp_path, text)
    places = [tuple(map(int, re.match(r"book.yaml:(\d+):(\d+):", line).groups())) for line in lines]
    assert places == sorted(places)
    assert [line for line, _ in places] == [1, 3, 4, 7, 9, 10]


def test_ten_thousand_tonics_are_refused_with_the_limit(tmp_path):
    """A slip of the pen must not engrave for an hour."""
    tonics = ", ".join(["C", "D", "E", "F"] * 2500)
    line = one_error(tmp_path, book(f"{{id: a, kind: scale, scale: major, tonics: [{tonics}]}}"))
    assert line == f"book.yaml:5:52: 'tonics' holds 10,000 values; write at most {MOST_TONICS}"


def test_repeated_ids_and_tonics_are_told_with_the_first_place(tmp_path):
    """Files are named by id, so each must be its own."""
    line = one_error(tmp_path, book("{id: a, kind: scale, scale: major, tonics: [C, D, C]}"))
    assert line.startswith("book.yaml:5:59: the id 'a-c' is used twice (first in line 5)")


def test_a_book_of_nested_aliases_does_not_explode(tmp_path):
    """Anchors that double at every line are stopped by the count of values, in bounded time."""
    levels = "\n".join(f"  - &l{n} [*l{n - 1}, *l{n - 1}, *l{n - 1}, *l{n - 1}]" for n in range(1, 20))
    line = errors_of(tmp_path, f"title: T\nchapters:\n  - &l0 [a, b]\n{levels}\n")[0]
    assert "too many values" in line


@pytest.mark.parametrize("text", ["a: " + "[" * 200_000, "- " * 100_000 + "x", "a: " + "{b: " * 50_000])
def test_text_nested_without_end_is_refused_not_crashed_on(tmp_path, text):
    """Brackets or dashes by the ten thousand: one line, no crash."""
    assert len(errors_of(tmp_path, text)) == 1


def test_numbers_are_accepted_where_words_are_meant(tmp_path):
    """A title of figures is a title."""
    assert read(tmp_path, GOOD.replace("A book", "1812")).edition.title == "1812"


def test_defaults_that_a_kind_lacks_do_not_trouble_it(tmp_path):
    """`octaves` for a chapter with a text in it."""
    assert read(tmp_path, GOOD).exercises[3].spec.text == "Rest now."


def test_a_defaulted_error_stands_where_the_default_stands(tmp_path):
    """Not at the entry, which does not contain it."""
    text = GOOD.replace("octaves: 2", "octaves: two")
    assert errors_of(tmp_path, text) == ["book.yaml:4:25: 'octaves' is 'two'; write a whole number"]


@pytest.mark.parametrize("kind", KINDS)
@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(fields=strategies.yaml_values)
def test_whatever_stands_in_an_entry_the_answer_is_a_book_or_sentences(tmp_path, kind, fields):
    """Every refusal of the models has a teacher's sentence (the mapping is total), and nothing else is raised."""
    names = list(KINDS[kind].model_fields)
    entry = {"id": "a", "kind": kind, **{name: fields for name in names if name not in ("id", "kind")}}
    content = {
        "title": "T",
        "style": fields,
        "instrument": fields,
        "chapters": [{"title": "C", "defaults": fields, "exercises": [entry]}],
    }
    path = tmp_path / "any.yaml"
    with path.open("w", encoding="utf-8") as file:
        YAML(typ="safe", pure=True).dump(content, file)
    lines = []
    try:
        read_book(path)
    except SpecError as error:
        lines = str(error).splitlines()
    assert all(re.match(r".*any.yaml:\d+:\d+: .+", line) for line in lines)


def test_tonics_keep_their_octave(tmp_path):
    """`E2` is a pitch, `E` a name."""
    found = read(tmp_path, book("{id: a, kind: scale, scale: major, tonics: [E2, B flat]}"))
    tonics = [e.spec.tonics[0] for e in found.exercises]
    assert [(t.name, t.octave) for t in tonics] == [(PitchName.parse("E"), 2), (PitchName.parse("Bb"), None)]
