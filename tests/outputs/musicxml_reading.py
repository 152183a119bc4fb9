"""Reads MusicXML back, once element by element, once through music21; it knows nothing of the writer."""

from dataclasses import dataclass
from fractions import Fraction
from math import gcd, log2
from typing import TYPE_CHECKING

from lxml import etree

if TYPE_CHECKING:
    from music21.note import GeneralNote

_STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


@dataclass(frozen=True)
class ReadNote:
    """A note or rest of a file: where it stands, how long it lasts (quarter notes), what it carries."""

    measure: str
    staff: int
    voice: str
    onset: Fraction
    duration: Fraction
    midi: int | None
    element: etree._Element

    def text(self, path: str) -> str | None:
        return self.element.findtext(path)

    def technical(self, name: str) -> str | None:
        return self.text(f"notations/technical/{name}")

    def types(self, path: str) -> list[str | None]:
        return [found.get("type") for found in self.element.findall(path)]


@dataclass(frozen=True)
class ReadMeasure:
    """A measure of a file: its bar length, its notes, where the file's clock stood at its end and at its furthest."""

    number: str
    upbeat: bool
    bar: Fraction
    notes: tuple[ReadNote, ...]
    voice_sums: dict[str, Fraction]
    lowest_clock: Fraction
    last_clock: Fraction


def midi_of(pitch: etree._Element, step: str = "step", alter: str = "alter", octave: str = "octave") -> int:
    letter = pitch.findtext(step)
    assert letter is not None
    return 12 * (int(pitch.findtext(octave) or 0) + 1) + _STEPS[letter] + int(pitch.findtext(alter) or 0)


def read_measures(data: bytes) -> list[ReadMeasure]:
    """The measures of the first part, every voice timed by the file's own clock of notes, backups and forwards."""
    root = etree.fromstring(data)
    divisions, bar, start, out = 1, Fraction(4), Fraction(0), []
    for measure in root.find("part").iterfind("measure"):
        divisions = int(measure.findtext("attributes/divisions") or divisions)
        if measure.find("attributes/time") is not None:
            time = measure.find("attributes/time")
            bar = Fraction(4 * int(time.findtext("beats")), int(time.findtext("beat-type")))
        read = _read_measure(measure, divisions, bar, start, not out)
        out.append(read)
        start += max((n.onset + n.duration - start for n in read.notes), default=bar)
    return out


def _read_measure(measure: etree._Element, divisions: int, bar: Fraction, start: Fraction, first: bool) -> ReadMeasure:
    clock = lowest = onset = Fraction(0)
    notes, sums = [], {}
    for item in measure:
        if item.tag not in ("note", "backup", "forward") or item.find("grace") is not None:
            continue
        duration = Fraction(int(item.findtext("duration")), divisions)
        if item.tag == "backup":
            clock -= duration
            lowest = min(lowest, clock)
            continue
        voice = item.findtext("voice")
        if item.find("chord") is None:
            onset = clock
            clock += duration
            sums[voice] = sums.get(voice, Fraction(0)) + duration
        if item.tag == "note":
            pitch = item.find("pitch")
            midi = None if pitch is None else midi_of(pitch)
            staff = int(item.findtext("staff") or 1)
            notes.append(ReadNote(measure.get("number"), staff, voice, start + onset, duration, midi, item))
    upbeat = first and measure.get("implicit") == "yes" and measure.getnext() is not None
    return ReadMeasure(measure.get("number"), upbeat, bar, tuple(notes), sums, lowest, clock)


def harmonic_of(note: ReadNote, opens: dict[int, int]) -> int | None:
    """The MIDI number that a harmonic sounds, by its string, its fret and the physics of the string; None for others.

    A string touched a k-th from its end sounds k times its frequency; the nearest such point to the fret is meant.
    """
    harmonic = note.element.find("notations/technical/harmonic")
    if harmonic is None:
        return None
    lying, fret = opens[int(note.technical("string") or 0)], int(note.technical("fret") or 0)
    if harmonic.find("artificial") is not None:
        return lying + fret + 12
    exact = float(note.technical("other-technical") or fret)
    points = {n / (n - k): n for n in range(2, 8) for k in range(1, n) if gcd(n, k) == 1}
    nearest = min(points, key=lambda rest: abs(12 * log2(rest) - exact))
    return round(lying + 12 * log2(points[nearest]))


def read_notes(data: bytes, staff: int = 1) -> list[ReadNote]:
    """The notes (no rests) of one staff, in the order of the file."""
    return [n for m in read_measures(data) for n in m.notes if n.midi is not None and n.staff == staff]


def music21_notes(data: bytes) -> list[tuple[Fraction, Fraction, int]]:
    """What music21 hears on the first staff: (onset, duration, MIDI number), ties joined and repeats played out."""
    from music21 import converter

    score = converter.parseData(data, format="musicxml")
    part = score.parts[0].toSoundingPitch()
    if any(measure.leftBarline or measure.rightBarline for measure in part.getElementsByClass("Measure")):
        part = part.expandRepeats()
    heard = []
    for element in part.stripTies().flatten().notes:
        onset, duration = Fraction(element.offset), Fraction(element.duration.quarterLength)
        heard += [(onset, duration, _as_heard(element, index)) for index in range(len(element.pitches))]
    return sorted(heard)


def _as_heard(element: "GeneralNote", index: int) -> int:
    """The MIDI number of a note of music21; of a harmonic by its string and fret, unless its pitch is the sounding one."""
    from music21 import articulations

    midi = element.pitches[index].midi
    marks = {type(mark): mark for mark in element.articulations}
    mark = marks.get(articulations.StringHarmonic)
    if mark is None or mark.pitchType == "sounding":
        return midi
    if mark.harmonicType == "artificial":
        return midi + 12
    fret = marks[articulations.FretIndication].number
    lying = midi if mark.pitchType == "base" else midi - fret
    return lying + {12: 12, 7: 19, 19: 19, 5: 24, 24: 24, 4: 28, 9: 28, 16: 28, 3: 31}[fret]


def sound_of(
    notes: list[tuple[Fraction, Fraction, int]],
) -> tuple[set[tuple[Fraction, int]], dict[int, list[Fraction]]]:
    """What an ear can tell of (onset, duration, MIDI number): each stroke, and when each pitch sounds and is silent.

    Two notes of one pitch at once sound as one, so that files which keep or join unisons compare equal.
    """
    turns: dict[int, list[Fraction]] = {}
    for onset, duration, number in sorted(notes):
        line = turns.setdefault(number, [])
        if line and onset <= line[-1]:
            line[-1] = max(line[-1], onset + duration)
        else:
            line += [onset, onset + duration]
    return {(onset, number) for onset, _, number in notes}, turns
