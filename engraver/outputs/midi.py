"""MIDI: a score as it sounds, to play along with.

Source: Standard MIDI Files 1.0 (format 0) and the General MIDI program list. Evenness is what a technical exercise
trains, so every note has the same velocity (chosen by us).
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from io import BytesIO
from typing import TYPE_CHECKING

from engraver.score.model import Barline, Element, Measure, Score
from engraver.theory.pitch import PitchName

if TYPE_CHECKING:
    import mido

TICKS_PER_QUARTER = 480
_NYLON_GUITAR = 24  # General MIDI program, counted from 0
_VELOCITY = 80
_CLOCKS_PER_QUARTER = 24
_MICROSECONDS_PER_MINUTE = 60_000_000


@dataclass(frozen=True, slots=True)
class _Sounding:
    """A note as heard: its MIDI number, when it begins and when it ends, in quarter notes."""

    number: int
    onset_quarters: Fraction
    end_quarters: Fraction


@dataclass(frozen=True, slots=True)
class _Bar:
    """A measure with its elements in order of onset, and where it begins and ends, in quarter notes."""

    measure: Measure
    elements: tuple[Element, ...]
    start: Fraction
    end: Fraction


def midi(score: Score) -> bytes:
    """The score as a one-track MIDI file: repeats played out, ties joined, the capo's pitch, the slowest tempo."""
    import mido

    order = _played_order(_bars(score.measures))
    end = sum((bar.end - bar.start for bar in order), Fraction(0))
    notes = _not_overlapping(_sounding(order, score.capo))
    track = mido.MidiTrack([*_opening(score), *_note_messages(notes, end)])
    file = mido.MidiFile(type=0, ticks_per_beat=TICKS_PER_QUARTER, tracks=[track])
    buffer = BytesIO()
    file.save(file=buffer)
    return buffer.getvalue()


def _opening(score: Score) -> "Iterable[mido.Message | mido.MetaMessage]":
    """Tempo, metre, key and instrument, before the first note."""
    import mido

    if score.tempo:
        quarters_a_minute = score.tempo.slowest_bpm * score.tempo.beat_quarters
        yield mido.MetaMessage("set_tempo", tempo=round(_MICROSECONDS_PER_MINUTE / quarters_a_minute))
    yield mido.MetaMessage(
        "time_signature",
        numerator=score.metre.beats,
        denominator=score.metre.unit,
        clocks_per_click=round(score.metre.beat_quarters * _CLOCKS_PER_QUARTER),
    )
    # The tonic of the major key with n sharps lies n steps up the line of fifths from C.
    yield mido.MetaMessage("key_signature", key=str(PitchName(score.key_fifths)))
    yield mido.Message("program_change", program=_NYLON_GUITAR)


def _bars(measures: tuple[Measure, ...]) -> tuple[_Bar, ...]:
    """The measures with their place in time; each begins where the one before it ends."""
    start, bars = Fraction(0), []
    for measure in measures:
        elements = sorted((e for voice in measure.voices for e in voice.elements), key=lambda e: e.onset_quarters)
        end = max((e.onset_quarters + e.value.quarters for e in elements), default=start)
        bars.append(_Bar(measure, tuple(elements), start, end))
        start = end
    return tuple(bars)


def _played_order(bars: tuple[_Bar, ...]) -> tuple[_Bar, ...]:
    """The bars as they are played, every repeated section twice."""
    order: list[_Bar] = []
    begin = 0
    for index, bar in enumerate(bars):
        if bar.measure.repeat_start:
            begin = index
        order.append(bar)
        if bar.measure.barline is Barline.REPEAT_END:
            order.extend(bars[begin : index + 1])
            begin = index + 1
    return tuple(order)


def _sounding(order: tuple[_Bar, ...], capo: int) -> Iterable[_Sounding]:
    """Every note as heard, tied notes as one; a tie joins notes of one pitch on one string."""
    held: dict[tuple[int, int], _Sounding] = {}
    now = Fraction(0)
    for bar in order:
        for element in bar.elements:
            onset = now + element.onset_quarters - bar.start
            for note in element.notes:
                number = note.pitch.sounding_midi + capo
                begun = held.pop((number, note.string), None) if note.tie_stop else None
                heard = _Sounding(number, begun.onset_quarters if begun else onset, onset + element.value.quarters)
                if note.tie_start:
                    held[number, note.string] = heard
                else:
                    yield heard
        now += bar.end - bar.start
    yield from held.values()


def _not_overlapping(notes: Iterable[_Sounding]) -> tuple[_Sounding, ...]:
    """The notes in order, no two of one pitch at once: a unison sounds as one, a string struck again ends the first."""
    latest: dict[int, int] = {}
    out: list[_Sounding] = []
    for note in sorted(notes, key=lambda n: (n.onset_quarters, n.number)):
        before = latest.get(note.number)
        if before is not None and out[before].end_quarters > note.onset_quarters:
            note = replace(note, end_quarters=max(note.end_quarters, out[before].end_quarters))
            out[before] = replace(out[before], end_quarters=note.onset_quarters)
        latest[note.number] = len(out)
        out.append(note)
    return tuple(note for note in out if note.end_quarters > note.onset_quarters)


def _note_messages(notes: tuple[_Sounding, ...], end: Fraction) -> "Iterable[mido.Message | mido.MetaMessage]":
    """Note on and note off with the ticks since the message before, then the end of the last bar."""
    import mido

    changes = [(_tick(note.onset_quarters), True, note.number) for note in notes]
    changes += [(_tick(note.end_quarters), False, note.number) for note in notes]
    now = 0
    for tick, sounds, number in sorted(changes):  # at one tick, notes stop before others begin
        kind, velocity = ("note_on", _VELOCITY) if sounds else ("note_off", 0)
        yield mido.Message(kind, note=number, velocity=velocity, time=tick - now)
        now = tick
    yield mido.MetaMessage("end_of_track", time=_tick(end) - now)


def _tick(quarters: Fraction) -> int:
    return round(quarters * TICKS_PER_QUARTER)
