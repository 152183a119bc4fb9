"""Harmonics on the page: three systems, each told by the legend, in notation, tablature, MusicXML and MIDI."""

import re
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

import pytest

from engraver.outputs.midi import midi
from engraver.outputs.musicxml import musicxml
from engraver.press.explanation import plain_text
from engraver.score.signs import Sign
from tests.books.building import draft_text
from tests.outputs.midi_reading import read_midi
from tests.outputs.musicxml_checks import check_musicxml
from tests.outputs.musicxml_reading import music21_notes, read_notes

BOOK = """\
title: T
style: {{harmonics: {system}, harmonic_numbers: {numbers}, notation: {notation}, strings: {strings}}}
chapters:
  - title: C
    exercises:
      - {{id: x, kind: harmonics, {entry}}}
"""
ENTRY = 'notes: "B4 q, A4, C5 q | B5 q", frets: [12, 7], metre: 3/4'
"""B at fret 12 of string 2, A at fret 7 of string 4, C stopped at fret 5 of string 3, B at fret 7 of string 1."""
SYSTEMS = ("open string and fret number", "touched pitch", "sounding pitch")


@cache
def drafted(system=SYSTEMS[0], entry=ENTRY, numbers="arabic", notation="staff and tablature", strings="changes"):
    folder = Path(mkdtemp(prefix="engraver-test-"))
    text = BOOK.format(system=system, entry=entry, numbers=numbers, notation=notation, strings=strings)
    (draft,) = draft_text(folder, text)
    return draft


def heads(draft):
    return [note for element in draft.score.elements for note in element.notes]


@pytest.mark.parametrize(
    ("system", "printed"),
    [(SYSTEMS[0], "B3 D3 C4 E4"), (SYSTEMS[1], "B4 A3 C4 B4"), (SYSTEMS[2], "B4 A4 C5 B5")],
)
def test_the_head_stands_on_the_pitch_that_the_system_names(system, printed):
    """The string as it lies; the fret that is touched (artificial: stopped); the sound. All sound alike."""
    notes = heads(drafted(system))
    assert " ".join(str(note.pitch) for note in notes) == printed
    assert " ".join(str(note.heard) for note in notes) == "B4 A4 C5 B5"


@pytest.mark.parametrize(
    ("system", "shown"),
    [(SYSTEMS[0], ["12", "7", "17", "7"]), (SYSTEMS[1], ["17"]), (SYSTEMS[2], ["12", "7", "17", "7"])],
)
def test_the_number_says_where_the_string_is_touched(system, shown):
    """A head that stands on the touched place needs none, but for an artificial harmonic."""
    signs = [note.harmonic for note in heads(drafted(system))]
    assert [sign.numeral for sign in signs if sign.show_place] == shown


def test_a_place_is_told_again_only_where_it_changes_or_a_bar_begins():
    """Six strings at fret 12 in two bars of three crotchets: twice the number. With `strings: all` six times."""
    entry = "frets: [12], metre: 3/4"
    assert [note.harmonic.show_place for note in heads(drafted(entry=entry))] == [True, False, False] * 2
    assert all(note.harmonic.show_place for note in heads(drafted(entry=entry, strings="all")))


def test_the_touching_finger_is_printed_once():
    """Until another finger touches; no position is named, as no finger is held."""
    notes = heads(drafted(entry="frets: [12, 7]"))
    assert [note.show_finger for note in notes] == [True] + [False] * 11
    assert all(element.position is None for element in drafted(entry="frets: [12, 7]").score.elements)


def test_after_a_harmonic_digit_and_position_are_told_again():
    """The hand has left its place: the same stopped C before and after a harmonic has its digit twice."""
    draft = drafted(entry='notes: "C5 q, C5, B4, C5", frets: [12]')
    assert [note.show_finger for note in heads(draft)] == [True, False, True, True]
    assert [element.position is not None for element in draft.score.elements] == [True, False, False, True]


@pytest.mark.parametrize(
    ("system", "rings"), [(SYSTEMS[0], [3]), (SYSTEMS[1], [2, 4, 3, 1]), (SYSTEMS[2], [2, 4, 3, 1])]
)
def test_an_open_string_needs_no_circle(system, rings):
    """Its pitch tells it; the touched or sounding pitch does not."""
    assert [note.string for note in heads(drafted(system)) if note.show_string] == rings


def test_numbers_may_be_roman_but_not_between_frets():
    """XII; 3.2 stays."""
    signs = [note.harmonic for note in heads(drafted(entry="frets: [12, 3.2], strings: [6]", numbers="roman"))]
    assert [(sign.numeral, sign.place) for sign in signs] == [("XII", "12"), ("3.2", "3.2")]


@pytest.mark.parametrize(
    ("system", "notation", "told"),
    [
        (SYSTEMS[0], "staff", {Sign.HARMONIC_BY_STRING, Sign.ARTIFICIAL_HARMONIC}),
        (SYSTEMS[1], "staff", {Sign.HARMONIC_BY_PLACE, Sign.ARTIFICIAL_HARMONIC}),
        (SYSTEMS[2], "staff", {Sign.HARMONIC_BY_SOUND, Sign.ARTIFICIAL_BY_SOUND}),
        (SYSTEMS[2], "tablature", {Sign.HARMONIC_IN_TABLATURE, Sign.ARTIFICIAL_IN_TABLATURE}),
    ],
)
def test_the_legend_names_the_system(system, notation, told):
    """One sentence for natural and one for artificial harmonics, of the system in use and no other."""
    signs = {Sign(sign) for sign in drafted(system, notation=notation).plate.signs}
    assert {sign for sign in signs if "harmonic" in sign} == told


def test_the_page_has_diamonds_and_brackets():
    """A diamond for the string, angle brackets for the place, in staff and tablature; a circle only for sounding pitch."""
    diamonds = drafted().source
    assert diamonds.count("\\touched ") == 4
    assert re.findall(r'\\node "(\d+)"', diamonds) == ["12", "7", "17", "7"]
    assert re.findall(r'\\touchedFret "(\d*)" "(\d+)" (\S+)', diamonds) == [
        ("", "12", "b'\\2>4"), ("", "7", "a\\4>4"), ("5", "17", "c'\\3>4"), ("", "7", "b'\\1>4"),
    ]  # fmt: skip
    sounding = drafted(SYSTEMS[2]).source
    assert (sounding.count("\\flageolet"), sounding.count("\\touched ")) == (4, 0)


@pytest.mark.parametrize(
    ("system", "kinds"),
    [
        (SYSTEMS[0], ["base", "base", "base", "base"]),
        (SYSTEMS[1], ["touching", "touching", "base", "touching"]),
        (SYSTEMS[2], ["sounding", "sounding", "sounding", "sounding"]),
    ],
)
def test_musicxml_says_which_pitch_is_written(system, kinds):
    """Element harmonic (MusicXML 4.0): natural or artificial, and the kind of pitch; strings, frets and bars hold."""
    data = musicxml(drafted(system).score, "x")
    assert check_musicxml(data) == []
    marks = [note.element.find("notations/technical/harmonic") for note in read_notes(data)]
    assert [mark[0].tag for mark in marks] == ["natural", "natural", "artificial", "natural"]
    assert [mark[1].tag.removesuffix("-pitch") for mark in marks] == kinds
    heads_of = [note.text("notehead") for note in read_notes(data)]
    assert heads_of == [None if system == SYSTEMS[2] else "diamond"] * 4


@pytest.mark.parametrize("system", SYSTEMS)
def test_another_reader_and_the_midi_file_hear_the_same(system):
    """music21 finds kind and pitch type; with the partial of the string it hears what mido reads in the MIDI file."""
    score = drafted(system).score
    expected = [(0, 71), (1, 69), (2, 72), (3, 83)]
    assert [(onset, number) for onset, _, number in music21_notes(musicxml(score, "x"))] == expected
    assert [(onset, number) for onset, _, number in read_midi(midi(score)).notes] == expected


def test_a_node_between_frets_keeps_its_number_in_musicxml():
    """The fret of the file is a whole number; 2.7 stands beside it."""
    data = musicxml(drafted(entry="frets: [2.7], strings: [3]").score, "x")
    (note,) = read_notes(data)
    assert (note.technical("fret"), note.technical("other-technical")) == ("3", "2.7")


def test_explain_tells_partial_and_cents(tmp_path):
    """Where it is touched, what it sounds, how far it is from the frets."""
    from engraver.build import explain_exercise

    path = tmp_path / "book.yaml"
    entry = 'notes: "B5 q, C5 q", frets: [7]'
    path.write_text(BOOK.format(system=SYSTEMS[0], entry=entry, numbers="arabic", notation="staff", strings="all"))
    told = plain_text(explain_exercise(path, "x", ""))
    assert "Touched at 7 (frets from the nut, 1/3 of the string): string 1 sounds partial 3, B5 (2 cents higher" in told
    assert "Stopped C4, touched by i 12 frets higher and plucked with a: sounds partial 2, C5." in told


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize(
    "entry", [ENTRY, "frets: [12, 7, 5, 9, 3.2]", "manner: artificial, scale: major, tonics: [C3]"]
)
def test_what_is_written_is_read_again(system, entry, tmp_path):
    """A MusicXML file of ours, taken up as an excerpt, has the same harmonics on the same places, in every system."""
    written = drafted(system, entry)
    (tmp_path / "again.musicxml").write_bytes(musicxml(written.score, "x"))
    book = "title: T\nchapters:\n  - title: C\n    exercises:\n      - {id: y, kind: excerpt, file: again.musicxml}\n"
    (read,) = draft_text(tmp_path, book)
    assert [(n.note.pitch, n.note.harmonic, n.string, n.fret, n.left_finger) for n in read.fingered.notes] == [
        (n.note.pitch, n.note.harmonic, n.string, n.fret, n.left_finger) for n in written.fingered.notes
    ]


def test_of_two_nodes_at_one_fret_the_sounding_one_is_read(tmp_path):
    """The seventh partial at 2.7 is no sixth at 3.2, where the file tells what sounds."""
    written = drafted(SYSTEMS[2], "frets: [2.7], strings: [6]")
    (tmp_path / "again.musicxml").write_bytes(musicxml(written.score, "x"))
    book = "title: T\nchapters:\n  - title: C\n    exercises:\n      - {id: y, kind: excerpt, file: again.musicxml}\n"
    (read,) = draft_text(tmp_path, book)
    assert [n.note.harmonic.partial for n in read.fingered.notes] == [7]
