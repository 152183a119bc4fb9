"""The sample books, whole: what is written agrees with what was fingered, and outside readers agree with both."""

import json
from collections import Counter
from itertools import pairwise

import pikepdf
import pytest

from engraver.spec.reader import read_book
from engraver.theory.pitch import SpelledPitch
from tests.books.building import built, drafted
from tests.conftest import BOOKS
from tests.fingering.playable import faults
from tests.outputs.midi_reading import read_midi
from tests.outputs.musicxml_checks import check_musicxml
from tests.outputs.musicxml_reading import harmonic_of, music21_notes, read_notes, sound_of

pytestmark = pytest.mark.parametrize(
    "path", [pytest.param(path, id=path.stem, marks=pytest.mark.xdist_group(path.stem)) for path in BOOKS]
)


STANDARD_OPENS = {1: 64, 2: 59, 3: 55, 4: 50, 5: 45, 6: 40}
"""E A D G B E, as MIDI numbers: the tuning of every sample book."""


def written(path, name):
    """(exercise id, bytes) of a format, in the book's order."""
    folder = built(path).folder / name
    endings = {"musicxml": ".musicxml", "midi": ".mid", "lilypond": ".ly"}
    return [
        (draft.exercise.id, (folder / f"{draft.exercise.id}{endings[name]}").read_bytes()) for draft in drafted(path)
    ]


def heads(draft):
    """Every note of a score, ties joined, in order of time and pitch.

    Each is (pitch of the head, quarters, string, fret, finger, letter, onset, pitch that is heard).
    """
    out, open_ties = [], {}
    for measure in draft.score.measures:
        for voice in measure.voices:
            for element in voice.elements:
                for note in element.notes:
                    key = (voice.number, note.pitch, note.string)
                    if note.tie_stop:
                        open_ties[key][1] += element.value.quarters
                        continue
                    letter = note.plucking.value if note.plucking else None
                    row = [
                        str(note.pitch),
                        element.value.quarters,
                        note.string,
                        note.fret,
                        note.left_finger,
                        letter,
                        element.onset_quarters,
                        str(note.heard),
                    ]
                    open_ties[key] = row
                    out.append(row)
    return sorted(map(tuple, out), key=lambda row: (row[6], row[0], row[2]))


def test_every_exercise_has_every_file(path):
    """One MusicXML, one MIDI, one source for each, named by its id, all listed in the manifest."""
    manifest = json.loads((built(path).folder / "manifest.json").read_text("utf-8"))
    ids = [draft.exercise.id for draft in drafted(path)]
    for name, ending in (("musicxml", ".musicxml"), ("midi", ".mid"), ("lilypond", ".ly")):
        assert {f"{name}/{exercise}{ending}" for exercise in ids} <= set(manifest["files"])
    assert list(manifest["exercises"]) == sorted(ids)


def test_every_note_can_be_played(path):
    """A judge written against the rules, not the engine: places, fingers, reach in mm, no string used twice."""
    edition = read_book(path).edition
    for draft in drafted(path):
        assert faults(draft.fingered, edition.instrument, edition.player) == [], draft.exercise.id


def test_alternation_never_repeats_a_finger(path):
    """Where a book asks for alternation no finger plucks twice in a row."""
    for draft in drafted(path):
        asked = draft.exercise.hands[1].alternate
        letters = [note.plucking for note in draft.fingered.notes if note.plucking]
        if len(asked) > 1 and len(letters) == len(draft.fingered.notes) == len(draft.fingered.passage.events):
            assert all(one != other for one, other in pairwise(letters)), draft.exercise.id


def test_every_musicxml_is_valid_and_adds_up(path):
    """Schema of MusicXML 4.0 (W3C, 2021), bars, ties, beams, strings and frets against pitches."""
    for exercise, data in written(path, "musicxml"):
        assert check_musicxml(data) == [], exercise


def test_musicxml_carries_what_was_fingered(path):
    """Pitch, length, string, fret, finger and letter of every note are those of the score the page was engraved from."""
    for draft, (_, data) in zip(drafted(path), written(path, "musicxml"), strict=True):
        found, open_ties = [], {}
        elements = [element for element in draft.score.elements if element.notes]
        pitches = {(element.onset_quarters, note.string): note.heard for element in elements for note in element.notes}
        for note in sorted(read_notes(data), key=lambda note: note.onset):
            if note.midi is None:
                continue
            spot = tuple(int(note.technical(name)) for name in ("string", "fret", "fingering"))
            key = (note.voice, note.midi, spot[0])
            if "stop" in note.types("tie"):
                open_ties[key][1] += note.duration
            else:
                name = (
                    note.text("pitch/step")
                    + {-2: "bb", -1: "b", 0: "", 1: "#", 2: "##"}[int(note.text("pitch/alter") or 0)]
                )
                sound = harmonic_of(note, STANDARD_OPENS)
                heard = str(pitches[note.onset, spot[0]]) if sound else name + note.text("pitch/octave")
                assert sound in (None, pitches[note.onset, spot[0]].sounding_midi)
                row = [
                    name + note.text("pitch/octave"),
                    note.duration,
                    *spot,
                    note.technical("pluck"),
                    note.onset,
                    heard,
                ]
                open_ties[key] = row
                found.append(row)
        assert sorted(map(tuple, found), key=lambda row: (row[6], row[0], row[2])) == heads(draft), draft.exercise.id


def test_two_libraries_hear_the_music_of_the_page(path):
    """Sounding pitches and lengths: music21 reads the MusicXML, mido the MIDI, and both agree with the score."""
    for draft, (_, data), (_, midi) in zip(
        drafted(path), written(path, "musicxml"), written(path, "midi"), strict=True
    ):
        expected = {(row[6], SpelledPitch.parse(row[7]).sounding_midi) for row in heads(draft)}
        if draft.fingered.passage.repeated:
            length = len(draft.score.measures) * draft.score.metre.bar_quarters
            expected |= {(onset + length, midi) for onset, midi in expected}
        heard, played = music21_notes(data), read_midi(midi).notes
        if not any(bar.repeat_end for bar in draft.fingered.passage.bars):
            assert {(onset, number) for onset, length, number in heard if length} == expected, draft.exercise.id
        if any(element.articulations or element.graces for element in draft.score.elements):  # lengths are our choice
            assert Counter(n for _, _, n in played) == Counter(n for _, _, n in heard), draft.exercise.id
        else:
            assert sound_of(played) == sound_of(heard), draft.exercise.id
        assert read_midi(midi).programs == [24]


def test_the_pdf_is_accessible(path):
    """Tagged PDF/UA-1 with title, language, bookmarks, embedded fonts, and an alternative text for each exercise."""
    with pikepdf.open(built(path).folder / "book.pdf") as pdf:
        book = read_book(path)
        assert pdf.Root.MarkInfo.Marked
        assert str(pdf.Root.Lang).startswith(book.edition.language)
        with pdf.open_metadata() as metadata:
            assert metadata["dc:title"] == book.edition.title
            assert metadata["pdfuaid:part"] == "1"
        with pdf.open_outline() as outline:
            titles = [entry.title for entry in walk(outline.root)]
        for chapter in book.chapters:
            assert any(chapter.title in title for title in titles)
        fonts = [o for o in pdf.objects if isinstance(o, pikepdf.Dictionary) and o.get("/Type") == "/FontDescriptor"]
        assert fonts
        assert all(any(key in font for key in ("/FontFile", "/FontFile2", "/FontFile3")) for font in fonts)
        alternatives = [str(o.Alt) for o in pdf.objects if isinstance(o, pikepdf.Dictionary) and "/Alt" in o]
        for draft in drafted(path):
            assert draft.plate.alt in alternatives


def walk(entries):
    for entry in entries:
        yield entry
        yield from walk(entry.children)


def test_building_again_changes_no_byte(path):
    """Another folder, another run, the same files."""
    first = built(path).folder
    again = built.__wrapped__(path).folder
    names = sorted(json.loads((first / "manifest.json").read_text("utf-8"))["files"])
    for name in names:
        assert (first / name).read_bytes() == (again / name).read_bytes(), name
