"""From fingered notes to a score: bars, values, ties, beams, signs and marks."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from engraver.fingering.fingered import FingeredPassage
from engraver.fretboard.tuning import Instrument
from engraver.score.accidentals import with_accidentals
from engraver.score.beaming import beamed, with_tuplets
from engraver.score.marks import Marks, MarkStyle, choose_marks
from engraver.score.model import Barline, Element, Measure, Notation, NoteValue, Score, ScoreNote, Voice
from engraver.score.slurs import Slurs, slurs_of
from engraver.score.values import written_rests, written_values
from engraver.theory.rhythm import Metre


@dataclass(frozen=True, slots=True)
class _Part:
    """A written piece of an event inside one bar."""

    onset: Fraction
    value: NoteValue
    notes: tuple[int, ...]
    first: bool
    last: bool


@dataclass(frozen=True, slots=True)
class _Sheet:
    """A fingered passage with what is printed on it."""

    fingered: FingeredPassage
    marks: Marks
    slurs: Slurs


def notate(fingered: FingeredPassage, instrument: Instrument, notation: Notation, style: MarkStyle) -> Score:
    """The score of an exercise: every bar full, notes tied over barlines, marks as the edition prints them."""
    passage = fingered.passage
    sheet = _Sheet(fingered, choose_marks(fingered, style), slurs_of(fingered))
    bars = _bar_count(fingered)
    voices = sorted({note.voice for note in passage.notes})
    parts = {number: _by_bar(_parts(fingered, number), passage.metre.bar_quarters) for number in voices}
    measures = [_measure(sheet, parts, number, bars) for number in range(bars)]
    signed = with_accidentals(measures, passage.key_fifths, style.cautionary)
    return Score(signed, passage.key_fifths, passage.metre, instrument.tuning, instrument.capo, passage.tempo, notation)


def _bar_count(fingered: FingeredPassage) -> int:
    passage = fingered.passage
    end = max(note.onset_quarters + note.duration_quarters for note in passage.notes)
    return -int(-end // passage.metre.bar_quarters)


def _parts(fingered: FingeredPassage, voice: int) -> list[_Part]:
    """The events of one voice as written values, split at barlines and beats."""
    passage = fingered.passage
    bar = passage.metre.bar_quarters
    out: list[_Part] = []
    for indices in _voice_events(fingered, voice):
        note = passage.notes[indices[0]]
        onset, end = note.onset_quarters, note.onset_quarters + note.duration_quarters
        pieces: list[tuple[Fraction, NoteValue]] = []
        while onset < end:
            stop = min(end, (onset // bar + 1) * bar)
            for value in written_values(onset % bar, stop - onset, passage.metre):
                pieces.append((onset, value))
                onset += value.quarters
        for index, (start, value) in enumerate(pieces):
            out.append(_Part(start, value, indices, index == 0, index == len(pieces) - 1))
    return out


def _by_bar(parts: list[_Part], bar: Fraction) -> dict[int, list[_Part]]:
    """The parts of a voice by the number of their bar, from 0."""
    out: dict[int, list[_Part]] = {}
    for part in parts:
        out.setdefault(int(part.onset // bar), []).append(part)
    return out


def _voice_events(fingered: FingeredPassage, voice: int) -> list[tuple[int, ...]]:
    notes = fingered.passage.notes
    own = (tuple(i for i in event if notes[i].voice == voice) for event in fingered.passage.events)
    return [event for event in own if event]


def _measure(sheet: _Sheet, parts: dict[int, dict[int, list[_Part]]], number: int, count: int) -> Measure:
    passage = sheet.fingered.passage
    bar = passage.metre.bar_quarters
    start = number * bar
    voices = []
    for voice, bars in parts.items():
        own = bars.get(number, [])
        if own or voice == min(parts):
            elements = _filled([_element(sheet, part) for part in own], start, passage.metre)
            voices.append(Voice(voice, beamed(with_tuplets(elements), start, passage.metre)))
    last = number == count - 1
    end = (Barline.REPEAT_END if passage.repeated else Barline.FINAL) if last else Barline.PLAIN
    return Measure(number + 1, tuple(voices), end, passage.repeated and number == 0)


def _filled(elements: Sequence[Element], start: Fraction, metre: Metre) -> list[Element]:
    """The elements of a voice with rests where nothing sounds."""
    out: list[Element] = []
    at = start
    for element in [*elements, None]:
        until = element.onset_quarters if element else start + metre.bar_quarters
        for value in written_rests(at - start, until - at, metre) if until > at else ():
            out.append(Element(at, value))
            at += value.quarters
        if element:
            out.append(element)
            at = element.onset_quarters + element.value.quarters
    return out


def _element(sheet: _Sheet, part: _Part) -> Element:
    fingered, marks = sheet.fingered, sheet.marks
    line_ends = marks.string_line_ends
    shown = part.first
    lead = next((i for i in part.notes if i in marks.positions), None)
    return Element(
        part.onset,
        part.value,
        tuple(_score_note(sheet, index, part) for index in part.notes),
        position=fingered.notes[lead].position if shown and lead is not None else None,
        reversal=shown and fingered.reversal in part.notes,
        accent=shown and any(fingered.passage.notes[i].accent for i in part.notes),
        string_line_end=next((line_ends[i] for i in part.notes if i in line_ends), None) if shown else None,
    )


def _score_note(sheet: _Sheet, index: int, part: _Part) -> ScoreNote:
    note, marks = sheet.fingered.notes[index], sheet.marks
    plain = ScoreNote(
        note.note.pitch,
        note.string,
        note.fret,
        note.left_finger,
        note.plucking,
        tie_start=not part.last,
        tie_stop=not part.first,
    )
    if not part.first:
        return plain
    return replace(
        plain,
        show_finger=index in marks.fingers,
        show_string=index in marks.strings,
        show_plucking=index in marks.plucking and note.plucking is not None,
        slur_stop=index in sheet.slurs.stops,
        slur_start=index in sheet.slurs.starts,
    )
