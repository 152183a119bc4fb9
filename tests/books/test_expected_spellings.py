"""Expected spellings of scales, arpeggios and double stops, from a book's text to the pitch names in the MusicXML.

The expected answers follow the degree rule and are kept beside the project, not in it; each says whether music21
confirms it. The test is skipped where they are not at hand.
"""

import json
from pathlib import Path
from tempfile import mkdtemp

import pytest

from engraver.build import build_book
from engraver.press.request import Request
from tests.conftest import GOLD
from tests.outputs.musicxml_reading import read_notes

SPELLINGS = GOLD / "exercise_spellings.json"
SCALES = {
    "scale_major": "major", "scale_natural_minor": "natural minor", "scale_melodic_minor": "melodic minor",
    "scale_harmonic_minor": "harmonic minor", "pentatonic_major": "major pentatonic", "pentatonic_minor": "minor pentatonic",
    "scale_whole_tone": "whole tone", "octatonic_whole_half": "octatonic whole-half", "octatonic_half_whole": "octatonic half-whole",
}  # fmt: skip
CHROMATIC = {
    "chromatic_harmonic": "harmonic",
    "chromatic_melodic": "melodic",
    "chromatic_sharp_flat": "sharps up, flats down",
}
CHORDS = {
    "maj": "major", "min": "minor", "dim": "diminished", "aug": "augmented", "dom7": "dominant seventh", "maj7": "major seventh",
    "min7": "minor seventh", "halfdim7": "half-diminished seventh", "dim7_strict": "diminished seventh",
    "dim7_practical": "diminished seventh, spelling: practical",
}  # fmt: skip
IN_KEY = {
    "dominant7_major_key": "dominant seventh",
    "leading_dim7_minor_key": "diminished seventh",
    "dominant7_minor_key": "dominant seventh",
}


def entry(number: int, answer: dict) -> str:
    """The entry of a book that asks for this answer."""
    family, tonic = answer["family"], answer["tonic"]
    if family in SCALES or family.startswith("mode_"):
        what = f"kind: scale, scale: {SCALES.get(family, family.removeprefix('mode_'))}, tonics: [{tonic}]"
    elif family in CHROMATIC:
        what = f"kind: chromatic, convention: '{CHROMATIC[family]}', tonics: [{tonic}]"
    elif family.startswith("arpeggio_"):
        what = f"kind: arpeggio, chord: {CHORDS[family.removeprefix('arpeggio_')]}, tonics: [{tonic}]"
    elif family in IN_KEY:
        mode = "minor" if "minor" in family else "major"
        what = f"kind: arpeggio, chord: {IN_KEY[family]}, key: {tonic} {mode}, direction: up"
    else:
        interval, scale = family.split("_", 1)
        what = f"kind: double stops, interval: {interval}, scale: {scale.replace('_', ' ')}, tonics: [{tonic}], direction: up"
    return f"      - {{id: x{number}, {what.replace('#', ' sharp')}}}"


@pytest.fixture(scope="module")
def found() -> list[tuple[dict, list[list[str]]]]:
    """Each answer with the note names at each onset of its MusicXML file, low to high."""
    answers = json.loads(SPELLINGS.read_text("utf-8"))
    folder = Path(mkdtemp(prefix="engraver-test-"))
    entries = "\n".join(entry(number, answer) for number, answer in enumerate(answers))
    (folder / "spellings.yaml").write_text(f"title: T\nchapters:\n  - title: C\n    exercises:\n{entries}\n", "utf-8")
    (report,) = build_book(folder / "spellings.yaml", Request(formats=("musicxml",), out=folder, pdf=False))
    return [
        (answer, names(report.folder / "musicxml" / f"x{number}.musicxml")) for number, answer in enumerate(answers)
    ]


def names(path: Path) -> list[list[str]]:
    events: dict[object, list[tuple[int, str]]] = {}
    for note in read_notes(path.read_bytes()):
        if "stop" not in note.types("tie"):
            signs = {-2: "bb", -1: "b", 0: "", 1: "#", 2: "##"}[int(note.text("pitch/alter") or 0)]
            events.setdefault(note.onset, []).append((note.midi, note.text("pitch/step") + signs))
    return [[name for _, name in sorted(events[onset])] for onset in sorted(events)]


@pytest.mark.skipif(not SPELLINGS.exists(), reason="the expected spellings are not at hand")
def test_every_expected_spelling_comes_out(found):
    """All of them, note for note."""
    wrong = []
    for answer, events in found:
        expected = answer.get("dyads") or [[pitch] for pitch in answer["notes"]]
        if events != [[pitch.rstrip("0123456789") for pitch in event] for event in expected]:
            wrong.append((answer["id"], events, expected))
    assert len(found) == len(json.loads(SPELLINGS.read_text("utf-8")))
    assert wrong == []
