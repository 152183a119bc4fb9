"""Excerpts: the bars asked for, moved as asked, with the editor's marks, in the book as in the file."""

from fractions import Fraction
from pathlib import Path

import pytest

from engraver.build import build_book
from engraver.errors import EngraverError, OutOfRange, SpecError, SpecErrors
from engraver.exercises.compose import compose
from engraver.exercises.excerpts import credit_line
from engraver.fingering.finger import finger
from engraver.outputs.musicxml import musicxml
from engraver.press.request import Request
from engraver.score.marks import MarkStyle
from engraver.score.model import Notation, Score
from engraver.score.notate import notate
from engraver.spec.excerpt import ExcerptSpec
from engraver.spec.house import InstrumentSpec
from engraver.theory.passage import Passage
from tests.books.building import draft_text, drafted
from tests.conftest import ROOT
from tests.outputs.musicxml_checks import check_musicxml
from tests.outputs.musicxml_schema import schema_problems
from tests.reading.music_xml import Written, line, score_xml

GUITAR = InstrumentSpec().instrument()
WALTZ = ROOT / "books" / "excerpts" / "lantern-waltz.musicxml"


def spec_of(folder: Path, data: bytes | None = None, **fields: object) -> ExcerptSpec:
    if data is not None:
        (folder / "x.musicxml").write_bytes(data)
        fields["file"] = "x.musicxml"
    found = ExcerptSpec.model_validate({"id": "x", "kind": "excerpt", **fields}).located(folder)
    assert isinstance(found, ExcerptSpec)
    return found


def composed(folder: Path, data: bytes | None = None, **fields: object) -> Passage:
    return compose(spec_of(folder, data, **fields), GUITAR)


def names(passage: Passage) -> list[str]:
    return [str(note.pitch) for note in passage.notes]


def score_of(passage: Passage) -> Score:
    return notate(finger(passage, GUITAR), GUITAR, Notation.BOTH, MarkStyle())


TWO_BARS = score_xml(line("E4 F4 G4 A4 B4 C5 D5 E5 E4 F4"), fifths=0)


def test_bars_are_cut_by_their_printed_numbers(tmp_path):
    """Both ends included; the rest of the last bar is silent."""
    assert names(composed(tmp_path, TWO_BARS, bars=[2, 3])) == ["B4", "C5", "D5", "E5", "E4", "F4"]
    assert len(composed(tmp_path, TWO_BARS, bars=[3, 3]).bars) == 1


def test_a_note_that_rings_beyond_the_last_bar_ends_with_it(tmp_path):
    """And one that hangs on a tie from before is left out with a warning."""
    data = score_xml([Written(64, "E", Fraction(2), Fraction(8)), *line("C4 D4 - - - - - - - - F4")])
    first = composed(tmp_path, data, bars=[1, 1])
    assert [note.duration_quarters for note in first.notes] == [1, 1, 2]
    later = composed(tmp_path, data, bars=[2, 3])
    assert names(later) == ["F4"]
    assert "1 notes tied or held from before bar 2 are left out" in later.remarks[0]


@pytest.mark.parametrize(
    ("fields", "first", "key"),
    [
        ({"transpose": "up a major second"}, "F#4", 2),
        ({"transpose": "down a minor third"}, "C#4", 3),
        ({"transpose": 1}, "F4", -5),
        ({"octave": -1}, "E3", 0),
        ({"key": "E minor"}, "E4", 1),
    ],
)
def test_an_excerpt_is_moved_with_its_signature(tmp_path, fields, first, key):
    """By a spelled interval, by semitones to the simplest signature, by octaves, or under another key."""
    passage = composed(tmp_path, TWO_BARS, **fields)
    assert names(passage)[0] == first
    assert (passage.key_fifths, passage.bars[0].key_fifths) == (key, key)


def test_the_editors_marks_are_pins(tmp_path):
    """Unless told otherwise, or moved, when a place on the neck means nothing any more."""
    marked = Written(64, "E", Fraction(0), Fraction(1), 1, (("fingering", "4"), ("string", "3"), ("pluck", "a")))
    data = score_xml([marked, *line("- F4 G4 A4")])
    place = finger(composed(tmp_path, data), GUITAR).notes[0]
    assert (place.string, place.fret, place.left_finger, place.plucking) == (3, 9, 4, "a")
    free = composed(tmp_path, data, keep_marks=False).notes[0]
    assert (free.string, free.finger, free.plucking) == (None, None, None)
    moved = composed(tmp_path, data, transpose="+2").notes[0]
    assert (moved.string, moved.finger, moved.plucking) == (None, None, "a")


LOUD = "<direction><direction-type><dynamics><{}/></dynamics></direction-type></direction>"


def loud(data: bytes, *signs: tuple[str, str]) -> bytes:
    """The file with a sign before the first of the given tags; of two the later call stands nearer."""
    text = data.decode()
    for before, sign in signs:
        text = text.replace(before, LOUD.format(sign) + before, 1)
    return text.encode()


def dynamics(passage: Passage) -> list[tuple[Fraction, str, int]]:
    return [(note.onset_quarters, note.dynamic, note.voice) for note in passage.notes if note.dynamic]


def test_signs_of_loudness_are_kept(tmp_path):
    """In the bars cut out, also in another key; unless told otherwise."""
    file = {"file": WALTZ.name}
    assert dynamics(compose(spec_of(WALTZ.parent, **file), GUITAR)) == [(3, "mf", 1), (15, "p", 1)]
    moved = compose(spec_of(WALTZ.parent, **file, bars=[5, 8], transpose="+2"), GUITAR)
    assert dynamics(moved) == [(0, "p", 1)]
    assert dynamics(compose(spec_of(WALTZ.parent, **file, keep_marks=False), GUITAR)) == []


def test_a_sign_of_loudness_waits_for_a_note(tmp_path):
    """Under a rest it belongs to the next note, unless that has its own; over a chord, to one note of the upper voice."""
    rest = score_xml(line("- E4 F4 G4"))
    assert dynamics(composed(tmp_path, loud(rest, ("<forward>", "pp")))) == [(1, "pp", 1)]
    both = loud(rest, ("<forward>", "pp"), ("<note>", "ff"))
    assert dynamics(composed(tmp_path, both)) == [(1, "ff", 1)]
    upper = line("E4 F4 G4 A4")
    lower = [Written(n.midi - 12, n.name, n.onset, n.duration, 2) for n in upper]
    two = loud(score_xml([*upper, *lower]), ("<note>", "mp"))
    assert dynamics(composed(tmp_path, two)) == [(0, "mp", 1)]
    assert dynamics(composed(tmp_path, two, voices="bottom")) == [(0, "mp", 1)]


def test_a_sign_of_loudness_that_we_lack_is_told(tmp_path):
    """And left out."""
    passage = composed(tmp_path, loud(TWO_BARS, ("<note>", "sffz")))
    assert dynamics(passage) == []
    assert passage.remarks == ("signs of loudness that we do not print are left out: sffz",)


def test_loudness_is_written_in_the_book(tmp_path):
    """One sign an onset, the upper voice's first."""
    notes = {"upper": "E4 q !f F4 h.", "lower": "E3 q !p F3 q !sf G3 h"}
    assert dynamics(composed(tmp_path, notes=notes)) == [(0, "f", 1), (1, "sf", 1)]


def test_voices_are_kept_or_the_outer_one_taken(tmp_path):
    """At most two are printed, the higher above."""
    upper = line("E4 F4 G4 A4")
    lower = [Written(n.midi - 12, n.name, n.onset, n.duration, 2) for n in upper]
    data = score_xml([*upper, *lower])
    kept = composed(tmp_path, data)
    assert {(str(n.pitch), n.voice) for n in kept.notes} >= {("E4", 1), ("E3", 2)}
    assert names(composed(tmp_path, data, voices="top")) == ["E4", "F4", "G4", "A4"]
    assert names(composed(tmp_path, data, voices="bottom")) == ["E3", "F3", "G3", "A3"]


def test_notes_of_one_voice_never_overlap_in_print(tmp_path):
    """The hand holds them as long as they sound."""
    data = score_xml([Written(48, "C", Fraction(0), Fraction(4)), *line("E4 F4 G4 A4")])
    score = score_of(composed(tmp_path, data))
    for measure in score.measures:
        for voice in measure.voices:
            ends = [e.onset_quarters + e.value.quarters for e in voice.elements]
            assert [e.onset_quarters for e in voice.elements[1:]] == ends[:-1]
    assert composed(tmp_path, data).notes[0].end_quarters == 4


def test_music_is_named_by_context_when_asked(tmp_path):
    """An A flat before A in A minor."""
    data = score_xml(line("A3 B3 C4 D4 E4 F4 Ab4 A4 E4 C4 A3 E3"))
    assert "Ab4" in names(composed(tmp_path, data))
    assert "G#4" in names(composed(tmp_path, data, respell=True))


def test_notes_are_written_in_the_book(tmp_path):
    """In one voice or two; without a key the signature that fits."""
    passage = composed(tmp_path, notes={"upper": "F#4 q G4 A4 | D4 h.", "lower": "D3 h. | D3"}, metre="3/4")
    assert names(passage) == ["D3", "F#4", "G4", "A4", "D3", "D4"]
    assert (passage.key_fifths, len(passage.bars)) == (1, 2)


def test_an_upbeat_stays_before_the_bar_line():
    """The sample waltz begins with a crotchet; its key and numbers are the piece's own."""
    spec = ExcerptSpec.model_validate({"id": "x", "kind": "excerpt", "file": WALTZ.name}).located(WALTZ.parent)
    score = score_of(compose(spec, GUITAR))
    assert [m.length_quarters for m in score.measures] == [1, *[None] * 7, 2]
    assert schema_problems(musicxml(score, "Waltz")) == []
    opening = spec.model_copy(update={"bars": (0, 7)})
    assert check_musicxml(musicxml(score_of(compose(opening, GUITAR)), "Waltz")) == []


def test_a_change_of_metre_and_key_is_kept(tmp_path):
    """In the middle of the excerpt, in every format."""
    data = score_xml(line("E4 F4 G4 A4 B4 C5 D5 E5")).decode()
    change = (
        "<attributes><key><fifths>2</fifths></key><time><beats>2</beats><beat-type>2</beat-type></time></attributes>"
    )
    data = data.replace('<measure number="2">', f'<measure number="2">{change}')
    score = score_of(composed(tmp_path, data.encode()))
    assert (str(score.measures[1].metre), score.measures[1].key_fifths) == ("2/2", 2)
    assert check_musicxml(musicxml(score, "x")) == []


@pytest.mark.parametrize(
    ("fields", "error", "said"),
    [
        ({"bars": [2, 9]}, SpecError, "there is no bar 9 in the music; its bars are numbered 1 to 3"),
        ({"part": 4}, SpecError, "has no part 4; its parts are 1 (Guitar)"),
        ({"part": "Lute"}, SpecError, "has no part Lute"),
        ({"octave": 2}, OutOfRange, "the note E6 in bar 1 lies above the last fret"),
        ({"transpose": "-25"}, OutOfRange, "lies below the lowest string, E2"),
    ],
)
def test_what_the_music_lacks_is_told(tmp_path, fields, error, said):
    """With what there is."""
    with pytest.raises(error) as caught:
        composed(tmp_path, TWO_BARS, **fields)
    assert said in str(caught.value)


def test_a_rhythm_that_cannot_be_printed_is_told(tmp_path):
    """Sevenths of a crotchet have no note value here."""
    data = score_xml([Written(64, "E", Fraction(0), Fraction(1, 7)), Written(65, "F", Fraction(1, 7), Fraction(6, 7))])
    with pytest.raises(SpecError, match="bar 1 has a rhythm that we cannot print"):
        composed(tmp_path, data)


BOOK = "title: T\nchapters:\n  - title: C\n    exercises:\n"


@pytest.mark.parametrize(
    ("entry", "said"),
    [
        ("file: none.musicxml", ":6:15: 'none.musicxml': there is no such file"),
        ("file: /etc/hostname", "does not start from the book's folder"),
        ("file: tune.pdf", "has no ending that we read"),
        ("bars: [1, 2]", "the excerpt has neither 'file' nor 'notes'"),
        ("notes: E4 q, H4", "bar 1: 'H4' is not a pitch"),
        ("transpose: sideways\n        notes: E4", "'sideways' is not a transposition"),
        ("bars: [4, 2]\n        notes: E4", "the bars run from 4 back to 2"),
        ("digest: x\n        notes: E4", "digest"),
    ],
)
def test_mistakes_in_the_book_are_told_with_their_place(tmp_path, entry, said):
    """Line and column of the entry or its field."""
    with pytest.raises(SpecErrors) as caught:
        draft_text(
            tmp_path,
            f"{BOOK}      - {{id: x, kind: text, text: y}}\n      - id: e\n        kind: excerpt\n        {entry}\n",
        )
    assert said.replace(":6:15:", ":8:15:") in str(caught.value)
    assert "book.yaml:" in str(caught.value)


def test_a_piece_that_cannot_be_made_points_at_its_entry(tmp_path):
    """Bars beyond the end."""
    (tmp_path / "x.musicxml").write_bytes(TWO_BARS)
    with pytest.raises(SpecErrors, match=r"book\.yaml:5:9: exercise 'e': there is no bar 7"):
        draft_text(tmp_path, f"{BOOK}      - {{id: e, kind: excerpt, file: x.musicxml, bars: [7, 8]}}\n")


def test_source_and_licence_are_printed_below(tmp_path):
    """The book's words first, else what the file says of itself."""
    head = "<movement-title>Tune</movement-title><identification><creator type='composer'>Nobody</creator><rights>Free</rights></identification>"
    data = score_xml(line("E4 F4"), head=head)
    assert credit_line(spec_of(tmp_path, data)) == "Tune, Nobody. Free."
    assert credit_line(spec_of(tmp_path, data, source="My shelf.", licence="CC0")) == "My shelf. CC0."
    (tmp_path / "x.musicxml").write_bytes(data)
    (draft,) = draft_text(tmp_path, f"{BOOK}      - {{id: e, kind: excerpt, file: x.musicxml}}\n")
    assert draft.plate.reason == "Tune, Nobody. Free."
    assert draft.plate.title == "Passage: Tune"


def test_a_grace_note_before_nothing_is_left_out_with_a_warning(tmp_path):
    """A build tells what it does not print."""
    grace = "<note><grace/><pitch><step>D</step><octave>4</octave></pitch></note>"
    data = score_xml(line("E4 F4")).decode().replace("</note><forward>", f"</note>{grace}<forward>", 1)
    assert grace in data
    (tmp_path / "x.musicxml").write_text(data)
    (draft,) = draft_text(tmp_path, f"{BOOK}      - {{id: e, kind: excerpt, file: x.musicxml}}\n")
    assert draft.plate.warnings == ("1 grace note before no note left out",)


def test_another_file_is_another_book(tmp_path):
    """Nothing changed is said only while the excerpt's file has not changed either."""
    (tmp_path / "x.musicxml").write_bytes(TWO_BARS)
    book = tmp_path / "book.yaml"
    book.write_text(f"{BOOK}      - {{id: e, kind: excerpt, file: x.musicxml}}\n")
    request = Request(formats=("musicxml",), out=tmp_path / "out", workers=1, pdf=False)
    first, second = build_book(book, request)[0], build_book(book, request)[0]
    assert (first.reason, second.reason) == ("built", "nothing changed")
    (tmp_path / "x.musicxml").write_bytes(TWO_BARS.replace(b"<step>A</step>", b"<step>C</step>"))
    third = build_book(book, request)[0]
    assert (third.reason, third.engraved) == ("built", 1)


def _facts(score: Score) -> list[tuple[object, ...]]:
    return [
        (e.onset_quarters, e.value, v.number, e.accent, e.dynamic, n.pitch, n.string, n.fret, n.left_finger, n.plucking, n.tie_start, n.slur_start, n.slur_stop)
        for m in score.measures for v in m.voices for e in v.elements for n in e.notes
    ]  # fmt: skip


@pytest.mark.parametrize("book", ["lamplight-term", "first-lines"])
def test_our_own_musicxml_comes_back_as_it_went(tmp_path, book):
    """Every exercise of the sample books, read as an excerpt: same notes, fingers, strings, letters, slurs, bars."""
    drafts = drafted(ROOT / "books" / f"{book}.yaml")
    assert len(drafts) > 5
    for draft in drafts:
        spec = spec_of(tmp_path, musicxml(draft.score, draft.plate.title))
        score = score_of(compose(spec, GUITAR))
        assert _facts(score) == _facts(draft.score), draft.exercise.id
        assert (score.key_fifths, score.metre) == (draft.score.key_fifths, draft.score.metre)
        assert len(score.measures) == len(draft.score.measures)


def test_a_file_that_turns_bad_is_told(tmp_path):
    """Even when the book is right."""
    with pytest.raises(EngraverError, match="not readable XML"):
        composed(tmp_path, TWO_BARS[:300])


def test_which_of_several_parts_is_taken_is_told(tmp_path):
    """Unless one is named, or only one is for guitar."""
    one = TWO_BARS.decode()
    label = '<score-part id="P1"><part-name>Guitar</part-name></score-part>'
    part = one[one.index("<part id") : one.index("</score-partwise>")]
    two = one.replace(label, label + label.replace("P1", "P2")).replace(part, part + part.replace("P1", "P2"))
    told = "part 1 of 2 is taken; another one is asked for with 'part'"
    assert composed(tmp_path, two.encode()).remarks == (told,)
    assert composed(tmp_path, two.encode(), part=2).remarks == ()
    lute = two.replace("P2</part-name>", "").replace(label.replace("P1", "P2"), label.replace("P1", "P2").replace("Guitar", "Flute"))
    assert composed(tmp_path, lute.encode()).remarks == ()
