"""From fingered notes to a score: bars, values, ties, beams, signs and marks."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from engraver.fingering.fingered import FingeredPassage
from engraver.fretboard.tuning import Instrument
from engraver.score.accidentals import with_accidentals
from engraver.score.barres import Barre
from engraver.score.beaming import beamed, with_tuplets
from engraver.score.harmonics import HarmonicSystem, harmonic_sign, head_pitch
from engraver.score.marks import Marks, MarkStyle, choose_marks
from engraver.score.model import (
    Barline,
    BarreSign,
    Element,
    GraceChord,
    Measure,
    Notation,
    NoteValue,
    Score,
    ScoreNote,
    Voice,
)
from engraver.score.parts import Bars, Part, by_bar, from_zero, grace_events, parts_of
from engraver.score.slurs import Slurs, slurs_of
from engraver.score.tuplets import with_tuplet_numbers
from engraver.score.values import written_rests
from engraver.theory.passage import Grace, Passage, PassageBar
from engraver.theory.signs import Articulation

_GRACE_BASE = 8


@dataclass(frozen=True, slots=True)
class _Sheet:
    """A fingered passage with what is printed on it."""

    fingered: FingeredPassage
    marks: Marks
    slurs: Slurs
    strings: int
    barre_letter: str
    system: HarmonicSystem
    roman: bool
    graces: Mapping[int, tuple[tuple[int, ...], ...]]


def notate(fingered: FingeredPassage, instrument: Instrument, notation: Notation, style: MarkStyle) -> Score:
    """The score of an exercise: every bar full, notes tied over barlines, marks as the edition prints them."""
    fingered = from_zero(fingered)
    passage = fingered.passage
    sheet = _Sheet(
        fingered,
        choose_marks(fingered, style, instrument.tuning),
        slurs_of(fingered),
        instrument.string_count,
        style.barre_letter,
        style.harmonics,
        style.roman_harmonics,
        grace_events(fingered),
    )
    bars = Bars(passage.all_bars)
    voices = sorted({note.voice for note in passage.notes})
    parts = {number: by_bar(parts_of(fingered, bars, number)) for number in voices}
    measures = [_measure(sheet, parts, bars, number) for number in range(len(bars.all))]
    first = bars.all[0]
    signed = with_accidentals(with_tuplet_numbers(measures), first.key_fifths, style.cautionary)
    return Score(
        signed,
        first.key_fifths,
        first.metre,
        instrument.tuning,
        instrument.capo,
        passage.tempo,
        notation,
        passage.hairpins,
        passage.directions,
    )


def _measure(sheet: _Sheet, parts: dict[int, dict[int, list[Part]]], bars: Bars, number: int) -> Measure:
    passage, bar, grid = sheet.fingered.passage, bars.all[number], bars.grid_starts[number]
    voices = []
    for voice, in_bars in parts.items():
        own = in_bars.get(number, [])
        if own or voice == min(parts):
            elements = _filled([_element(sheet, part) for part in own], bar, grid)
            voices.append(Voice(voice, beamed(with_tuplets(elements), grid, bar.metre)))
    before = bars.all[number - 1] if number else bar
    return Measure(
        number + 1,
        tuple(voices),
        _barline(passage, bar, last=number == len(bars.all) - 1),
        bar.repeat_start or (passage.repeated and number == 0),
        bar.metre if bar.metre != before.metre else None,
        bar.key_fifths if bar.key_fifths != before.key_fifths else None,
        bar.length_quarters if bar.length_quarters != bar.metre.bar_quarters else None,
        bar.endings,
        bar.ways,
    )


def _barline(passage: Passage, bar: PassageBar, last: bool) -> Barline:
    if bar.repeat_end or (last and passage.repeated):
        return Barline.REPEAT_END
    return Barline.FINAL if last else Barline.DOUBLE if bar.double else Barline.PLAIN


def _filled(elements: Sequence[Element], bar: PassageBar, grid: Fraction) -> list[Element]:
    """The elements of a voice with rests where nothing sounds; `grid` is where the beats are counted from."""
    out: list[Element] = []
    at = bar.onset_quarters
    for element in [*elements, None]:
        until = element.onset_quarters if element else bar.end_quarters
        for value in written_rests(at - grid, until - at, bar.metre) if until > at else ():
            out.append(Element(at, value))
            at += value.quarters
        if element:
            out.append(element)
            at = element.onset_quarters + element.value.quarters
    return out


def _element(sheet: _Sheet, part: Part) -> Element:
    fingered, marks = sheet.fingered, sheet.marks
    line_ends = marks.string_line_ends
    shown = part.first
    notes = fingered.passage.notes
    graces = sheet.graces.get(part.notes[0], ()) if shown else ()
    every = (*(i for chord in graces for i in chord), *part.notes)
    lead = next((i for i in every if i in marks.positions), None)
    return Element(
        part.onset,
        part.value,
        tuple(_score_note(sheet, index, part) for index in part.notes),
        position=fingered.notes[lead].position if shown and lead is not None else None,
        reversal=shown and fingered.reversal in part.notes,
        planted=next((marks.planted[i] for i in part.notes if i in marks.planted), ()) if shown else (),
        accent=shown and any(notes[i].accent for i in part.notes),
        string_line_end=next((line_ends[i] for i in part.notes if i in line_ends), None) if shown else None,
        barre=next((_sign(sheet, marks.barres[i]) for i in every if i in marks.barres), None) if shown else None,
        dynamic=next((sign for i in part.notes if (sign := notes[i].dynamic)), None) if shown else None,
        articulations=_touches({touch for i in part.notes for touch in notes[i].articulations}, part),
        graces=tuple(_grace_chord(sheet, chord, graces, part) for chord in graces),
    )


def _grace_chord(sheet: _Sheet, chord: tuple[int, ...], graces: tuple[tuple[int, ...], ...], part: Part) -> GraceChord:
    """Small notes, a quaver where one stands alone, each stopped one with its digit.

    They bear a letter where the note after them is not plucked.
    """
    notes = sheet.fingered.passage.notes
    plucked = any(sheet.fingered.notes[i].plucking for i in part.notes)
    small = Part(part.bar, notes[chord[0]].onset_quarters, part.value, chord, first=True, last=True)
    heads = tuple(replace(_score_note(sheet, i, small), show_string=False) for i in chord)
    if sheet.marks.fingers:
        heads = tuple(replace(head, show_finger=head.show_finger or head.left_finger > 0) for head in heads)
    if plucked:
        heads = tuple(replace(head, show_plucking=False) for head in heads)
    value = NoteValue(_GRACE_BASE if len(graces) == 1 else 2 * _GRACE_BASE)
    return GraceChord(small.onset, heads, value, notes[chord[0]].grace is Grace.SHORT)


def _touches(touches: set[Articulation], part: Part) -> tuple[Articulation, ...]:
    """The signs of touch in their order: of tied heads the last has the fermata, the first all others."""
    kept = {touch for touch in touches if (part.last if touch is Articulation.FERMATA else part.first)}
    return tuple(touch for touch in Articulation if touch in kept) if kept else ()


def _sign(sheet: _Sheet, barre: Barre) -> BarreSign:
    return BarreSign(barre.fret, barre.strings, sheet.strings, barre.until_quarters, barre.hinge, sheet.barre_letter)


def _score_note(sheet: _Sheet, index: int, part: Part) -> ScoreNote:
    note, marks = sheet.fingered.notes[index], sheet.marks
    first = part.first
    sign = harmonic_sign(note, sheet.system, sheet.roman)
    return ScoreNote(
        head_pitch(note, sheet.system),
        note.string,
        note.fret,
        note.left_finger,
        note.plucking,
        tie_start=not part.last,
        tie_stop=not first,
        show_finger=first and index in marks.fingers,
        show_string=first and index in marks.strings,
        show_plucking=first and index in marks.plucking and note.plucking is not None,
        slur_stop=first and index in sheet.slurs.stops,
        slur_start=first and index in sheet.slurs.starts,
        guide=first and index in marks.guides,
        harmonic=replace(sign, show_place=first and index in marks.touched_places) if sign else None,
    )
