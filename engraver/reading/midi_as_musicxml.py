"""The MusicXML of a MIDI file: bars, voices in which no two notes overlap, ties over bar lines."""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from engraver.errors import EngraverError, Place
from engraver.reading.midi_files import MidiMusic, PlayedNote, Track, named, read_midi
from engraver.theory.pitch import SpelledPitch
from engraver.theory.rhythm import Metre

if TYPE_CHECKING:
    from lxml.etree import _Element

_DIVISIONS = 240
"""Parts of a quarter note in the file: sixteenths, twenty-fourths and twentieths are whole numbers of them."""
_TYPES = {
    Fraction(4): "whole",
    Fraction(2): "half",
    Fraction(1): "quarter",
    Fraction(1, 2): "eighth",
    Fraction(1, 4): "16th",
    Fraction(1, 8): "32nd",
}


@dataclass(frozen=True, slots=True)
class _Bar:
    """A bar of the file, with its key and metre."""

    onset: Fraction
    end: Fraction
    metre: Metre
    key: int | None


@dataclass(frozen=True, slots=True)
class _Chord:
    """Notes that begin and end together."""

    onset: Fraction
    end: Fraction
    pitches: tuple[SpelledPitch, ...]


def musicxml_of_midi(data: bytes, file: str) -> bytes:
    """The MusicXML of a MIDI file. Raises EngraverError as `read_midi` does, and for a file without notes."""
    from lxml import etree

    music = read_midi(data, file)
    if not music.tracks:
        raise EngraverError("the file has no notes", Place(file), "check that it is the file you mean")
    root = etree.Element("score-partwise", version="4.0")
    listed = etree.SubElement(root, "part-list")
    bars = _bars(music)
    for number, (track, pitches) in enumerate(zip(music.tracks, named(music), strict=True), start=1):
        _list_part(listed, track, number)
        part = etree.SubElement(root, "part", id=f"P{number}")
        voices = _voices(_chords(track.notes, pitches))
        for index in range(len(bars)):
            _write_bar(part, music, bars, index, voices, lead=number == 1)
    written = etree.tostring(root, encoding="UTF-8", xml_declaration=True, pretty_print=True)
    assert isinstance(written, bytes)
    return written


def _list_part(listed: "_Element", track: Track, number: int) -> None:
    from lxml import etree

    part = etree.SubElement(listed, "score-part", id=f"P{number}")
    printable = "".join(letter for letter in track.name if letter.isprintable())
    etree.SubElement(part, "part-name").text = printable or f"Track {number}"
    instrument = etree.SubElement(part, "score-instrument", id=f"P{number}-I1")
    etree.SubElement(instrument, "instrument-name").text = printable or f"Track {number}"
    sound = etree.SubElement(part, "midi-instrument", id=f"P{number}-I1")
    etree.SubElement(sound, "midi-program").text = str(track.program + 1)


def _bars(music: MidiMusic) -> list[_Bar]:
    """Bars from the beginning to the last note; a change of metre within a bar ends it."""
    end = max(note.end_quarters for track in music.tracks for note in track.notes)
    changes = sorted(onset for onset, _ in music.metres)
    bars: list[_Bar] = []
    now = Fraction(0)
    while now < end:
        metre = music.metre_at(now)
        stop = now + metre.bar_quarters
        stop = min([change for change in changes if now < change < stop], default=stop)
        bars.append(_Bar(now, stop, metre, music.key_at(now)))
        now = stop
    return bars


def _chords(notes: Sequence[PlayedNote], pitches: Sequence[SpelledPitch]) -> list[_Chord]:
    """Notes that begin and end together as chords, in order of time."""
    groups: dict[tuple[Fraction, Fraction], list[SpelledPitch]] = {}
    for note, pitch in zip(notes, pitches, strict=True):
        groups.setdefault((note.onset_quarters, note.end_quarters), []).append(pitch)
    return [_Chord(onset, end, tuple(found)) for (onset, end), found in sorted(groups.items())]


def _voices(chords: Iterable[_Chord]) -> list[list[_Chord]]:
    """The chords in as few voices as keep them from overlapping; the highest of a moment comes first."""
    voices: list[list[_Chord]] = []
    ordered = sorted(chords, key=lambda c: (c.onset, -max(p.sounding_midi for p in c.pitches), c.end))
    for chord in ordered:
        free = next((voice for voice in voices if voice[-1].end <= chord.onset), None)
        if free is None:
            voices.append([chord])
        else:
            free.append(chord)
    return voices


def _write_bar(
    part: "_Element", music: MidiMusic, bars: list[_Bar], index: int, voices: list[list[_Chord]], lead: bool
) -> None:
    from lxml import etree

    bar = bars[index]
    measure = etree.SubElement(part, "measure", number=str(index + 1))
    _write_attributes(measure, bar, bars[index - 1] if index else None)
    if lead and not index and music.quarters_a_minute:
        etree.SubElement(measure, "sound", tempo=f"{float(music.quarters_a_minute):g}")
    for number, voice in enumerate(voices, start=1):
        here = _overlapping(voice, bar)
        if number > 1 and not here:
            continue
        if number > 1:
            _clock(measure, "backup", bar.end - bar.onset)
        now = bar.onset
        for chord in here:
            start, stop = max(chord.onset, bar.onset), min(chord.end, bar.end)
            _silence(measure, start - now, number)
            _write_chord(measure, chord, start, stop, number)
            now = stop
        _silence(measure, bar.end - now, number)


def _overlapping(voice: list[_Chord], bar: _Bar) -> list[_Chord]:
    """The chords of a voice that sound in a bar."""
    first = bisect_right(voice, bar.onset, key=lambda chord: chord.end)
    return voice[first : bisect_left(voice, bar.end, key=lambda chord: chord.onset)]


def _write_attributes(measure: "_Element", bar: _Bar, before: _Bar | None) -> None:
    from lxml import etree

    new_key = bar.key is not None and (before is None or bar.key != before.key)
    new_metre = before is None or bar.metre != before.metre
    if not new_key and not new_metre:
        return
    attributes = etree.SubElement(measure, "attributes")
    if before is None:
        etree.SubElement(attributes, "divisions").text = str(_DIVISIONS)
    if new_key:
        etree.SubElement(etree.SubElement(attributes, "key"), "fifths").text = str(bar.key)
    if new_metre:
        time = etree.SubElement(attributes, "time")
        etree.SubElement(time, "beats").text = str(bar.metre.beats)
        etree.SubElement(time, "beat-type").text = str(bar.metre.unit)


def _clock(measure: "_Element", name: str, quarters: Fraction) -> None:
    from lxml import etree

    etree.SubElement(etree.SubElement(measure, name), "duration").text = str(quarters * _DIVISIONS)


def _silence(measure: "_Element", quarters: Fraction, voice: int) -> None:
    """A rest in the first voice, a step of the clock in the others."""
    from lxml import etree

    if quarters <= 0:
        return
    if voice > 1:
        _clock(measure, "forward", quarters)
        return
    note = etree.SubElement(measure, "note")
    etree.SubElement(note, "rest")
    _length(note, quarters, voice, ())


def _write_chord(measure: "_Element", chord: _Chord, start: Fraction, stop: Fraction, voice: int) -> None:
    """One bar's share of a chord, tied to what went before and comes after."""
    from lxml import etree

    ties = [*(["stop"] if start > chord.onset else []), *(["start"] if stop < chord.end else [])]
    for place, pitch in enumerate(chord.pitches):
        note = etree.SubElement(measure, "note")
        if place:
            etree.SubElement(note, "chord")
        sound = etree.SubElement(note, "pitch")
        etree.SubElement(sound, "step").text = pitch.name.letter
        if pitch.name.alter:
            etree.SubElement(sound, "alter").text = str(pitch.name.alter)
        etree.SubElement(sound, "octave").text = str(pitch.octave)
        _length(note, stop - start, voice, ties)


def _length(note: "_Element", quarters: Fraction, voice: int, ties: Sequence[str]) -> None:
    from lxml import etree

    etree.SubElement(note, "duration").text = str(quarters * _DIVISIONS)
    for kind in ties:
        etree.SubElement(note, "tie", type=kind)
    etree.SubElement(note, "voice").text = str(voice)
    for dots, share in ((0, Fraction(1)), (1, Fraction(3, 2))):
        if (name := _TYPES.get(quarters / share)) is not None:
            etree.SubElement(note, "type").text = name
            for _ in range(dots):
                etree.SubElement(note, "dot")
    if ties:
        notations = etree.SubElement(note, "notations")
        for kind in ties:
            etree.SubElement(notations, "tied", type=kind)
