"""What a build makes anew and what it keeps, and that nothing is half-written."""

import json

import pikepdf
import pytest

from engraver.build import build_book, build_page, check_book
from engraver.errors import EngraverError, OutputError, SpecError, SpecErrors
from engraver.press.request import Request
from engraver.press.single import PageWishes

BOOK = """\
title: A book
editions: {student: {}, teacher: {style: {fingers: all}}}
chapters:
  - title: Scales
    exercises:
      - {id: g, kind: scale, scale: major, tonics: [G], tempo: {from: 60, to: 80}}
      - {id: a, kind: scale, scale: major, tonics: [A], left_hand: {open_strings: avoid}}
      - {id: rest, kind: text, text: Rest.}
"""


@pytest.fixture
def book(tmp_path):
    path = tmp_path / "book.yaml"
    path.write_text(BOOK, "utf-8")
    return path


def build(book, **more):
    return build_book(book, Request(out=book.parent / "out", **more))


def pages_text(path):
    with pikepdf.open(path) as pdf:
        return len(pdf.pages)


def test_a_second_build_does_nothing(book, monkeypatch):
    """Nothing is read when neither book nor files have changed."""
    first = build(book)[0]
    monkeypatch.setattr("engraver.spec.reader.read_book", lambda path: pytest.fail("the book was read"))
    second = build(book)[0]
    assert (first.engraved, second.engraved, second.reused, second.reason) == (2, 0, 2, "nothing changed")
    assert second.pages == first.pages == pages_text(first.folder / "book.pdf")


def test_an_edit_engraves_one_exercise(book):
    """The other plate is reused, the PDF is new."""
    first = build(book)[0]
    before = (first.folder / "book.pdf").read_bytes()
    book.write_text(BOOK.replace("tonics: [A]", "tonics: [B]"), "utf-8")
    second = build(book)[0]
    assert (second.engraved, second.reused) == (1, 1)
    assert (second.folder / "book.pdf").read_bytes() != before


def test_a_comment_in_the_book_engraves_nothing(book):
    """The book is read again, its exercises are the same."""
    build(book)
    book.write_text("# a note to myself\n" + BOOK, "utf-8")
    assert build(book)[0].engraved == 0


def test_a_damaged_file_is_made_again(book):
    """Someone cut the PDF; a kept picture is lost."""
    first = build(book)[0]
    whole = (first.folder / "book.pdf").read_bytes()
    (first.folder / "book.pdf").write_bytes(whole[:100])
    for kept in (book.parent / "out" / ".kept").rglob("*.plate"):
        kept.unlink()
    build(book)
    assert (first.folder / "book.pdf").read_bytes() == whole


def test_editions_lie_in_folders_of_their_own(book):
    """`all` builds both; their plates differ where the style does."""
    reports = build(book, editions=("all",))
    assert [(r.edition, r.folder.name) for r in reports] == [("student", "student"), ("teacher", "teacher")]
    assert (reports[0].folder / "book.pdf").read_bytes() != (reports[1].folder / "book.pdf").read_bytes()
    with pytest.raises(SpecError, match="no edition 'pupil'"):
        build(book, editions=("pupil",))


def test_files_that_are_no_longer_made_disappear(book):
    """An exercise was taken out of the book, so its MusicXML goes too; foreign files stay."""
    folder = build(book, formats=("musicxml",))[0].folder
    (folder / "mine.txt").write_text("keep")
    book.write_text("\n".join(line for line in BOOK.splitlines() if "id: a," not in line) + "\n", "utf-8")
    build(book, formats=("musicxml",))
    assert sorted(path.name for path in (folder / "musicxml").iterdir()) == ["g.musicxml"]
    assert (folder / "mine.txt").exists()


def test_a_book_with_an_impossible_exercise_writes_nothing(book):
    """Every exercise that cannot be made is told with its place, and the build before stays whole."""
    folder = build(book)[0].folder
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    bad = BOOK.replace("tonics: [G]", "tonics: [G], octaves: 4").replace("tonics: [A]", "tonics: [D2]")
    book.write_text(bad, "utf-8")
    with pytest.raises(SpecErrors) as caught:
        build(book)
    lines = str(caught.value).splitlines()
    assert [line.split("book.yaml:")[1].split(": ")[0] for line in lines] == ["6:53", "7:53"]
    assert "exercise 'g': four octaves from G2 reach past the last fret" in lines[0]
    assert "exercise 'a': D2 lies below the instrument, whose lowest note is E2; write D3" in lines[1]
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before


@pytest.mark.parametrize(("entry", "message"), [
    ("left_hand: {pins: {1: {string: 1}}}", "note 1"),
    ("left_hand: {pins: {99: {string: 1}}}", "99"),
    ("left_hand: {position: 12}", ""),
])  # fmt: skip
def test_impossible_wishes_name_the_note(book, entry, message):
    """A pin where the pitch is not, a pin after the last note, a position out of the line's way."""
    book.write_text(BOOK.replace("tonics: [G],", f"tonics: [G2], {entry},"), "utf-8")
    with pytest.raises(EngraverError) as caught:
        build(book)
    assert "book.yaml:6:9: exercise 'g':" in str(caught.value)
    assert message in str(caught.value)
    assert not (book.parent / "out" / "book").exists()


def test_the_manifest_says_what_was_built_from_what(book):
    """Hashes of inputs and outputs, numbers and titles; no path of this machine, no time."""
    folder = build(book, formats=("midi",))[0].folder
    text = (folder / "manifest.json").read_text("utf-8")
    manifest = json.loads(text)
    assert set(manifest["files"]) == {"book.pdf", "midi/g.mid", "midi/a.mid"}
    assert set(manifest["inputs"]) == {"book.yaml"}
    assert manifest["exercises"]["g"]["title"] == "G major, one octave"
    assert str(book.parent) not in text


def test_a_page_of_ones_own(book):
    """One sheet for another guitar, another hand, another key."""
    out = book.parent / "out"
    plain = build_page(book, "g", PageWishes(), out)
    other = build_page(book, "g", PageWishes(scale_length_mm=530, reach_mm=70, notation="tablature", key="A"), out)
    assert (plain.name, other.name) == ("g.pdf", "g-in-a.pdf")
    assert pages_text(plain) == pages_text(other) == 1


@pytest.mark.parametrize(("wishes", "message"), [
    (PageWishes(notation="tabs"), "'tabs' is not a notation we print"), (PageWishes(reach_mm=5), "a reach of 5 mm is not possible"),
    (PageWishes(key="H"), "'H' is not a note name"), (PageWishes(edition="x"), "no edition 'x'"),
])  # fmt: skip
def test_wishes_that_cannot_be_are_told(book, wishes, message):
    """What was wished, and what can be."""
    with pytest.raises(EngraverError, match=message):
        build_page(book, "g", wishes, book.parent / "out")


def test_a_page_of_an_unknown_exercise_names_the_nearest(book):
    """And a text has nothing to play."""
    with pytest.raises(SpecError, match="no exercise 'gg'"):
        build_page(book, "gg", PageWishes(), book.parent / "out")
    with pytest.raises(SpecError, match="is a text"):
        build_page(book, "rest", PageWishes(), book.parent / "out")


def test_a_folder_that_cannot_be_written_is_told_as_such(book):
    """A file stands in the way of the folder: for a book, for a page, and nothing is a mistake of the program."""
    blocked = book.parent / "blocked"
    blocked.write_text("", "utf-8")
    with pytest.raises(OutputError, match=r"blocked' cannot be written .*; choose another folder with --out"):
        build_book(book, Request(out=blocked))
    with pytest.raises(OutputError, match="cannot be written"):
        build_page(book, "g", PageWishes(), blocked)


def test_a_page_in_a_key_named_in_german_tells_the_english_name(book):
    """What the book's errors tell, the command tells too."""
    with pytest.raises(EngraverError, match="'As' is not a note name; note names are English: write 'A flat'"):
        build_page(book, "g", PageWishes(key="As"), book.parent / "out")


def test_check_counts_exercises(book):
    """Texts are not exercises."""
    assert check_book(book)[0] == 2


def test_reminders_are_a_setting(book):
    """Signs in parentheses after chromatic notes can be left away."""
    from engraver.build import draft_exercises
    from engraver.press.settings import settings_of
    from engraver.spec.reader import read_book

    line = "{id: g, kind: chromatic, tonics: [A], octaves: 1}"
    for style, expected in (("style: {}", True), ("style: {reminders: false}", False)):
        book.write_text(f"title: T\n{style}\nchapters:\n  - title: C\n    exercises:\n      - {line}\n", "utf-8")
        read = read_book(book)
        (draft,) = draft_exercises(read, list(read.exercises), settings_of(read.edition))
        assert any(n.cautionary for e in draft.score.elements for n in e.notes) is expected
