"""MIDI: a score as it sounds, to play along with.

Source: Standard MIDI Files 1.0 (format 0) and the General MIDI program list. Evenness is what a technical exercise
trains, so every note has the same velocity where the score has no sign of loudness, and a fermata does not stop the
time; notes under a dot sound half their value, and
grace notes take their time, an eighth of a crotchet each, from the note after them (chosen by us).
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from io import BytesIO
from itertools import pairwise
from typing import TYPE_CHECKING

from engraver.outputs.midi_loudness import Loudness
from engraver.outputs.midi_order import played_order
from engraver.score.model import Element, Measure, Score
from engraver.theory.pitch import PitchName
from engraver.theory.rhythm import Metre
from engraver.theory.signs import Articulation

if TYPE_CHECKING:
    import mido

TICKS_PER_QUARTER = 480
_GRACE_QUARTERS = Fraction(1, 8)
_SHORT = {Articulation.STACCATO, Articulation.STACCATISSIMO}
_NYLON_GUITAR = 24  # General MIDI program, counted from 0
_CLOCKS_PER_QUARTER = 24
_MICROSECONDS_PER_MINUTE = 60_000_000


@dataclass(frozen=True, slots=True)
class _Sounding:
    """A note as heard: its MIDI number, when it begins and when it ends, in quarter notes, and its velocity."""

    number: int
    onset_quarters: Fraction
    end_quarters: Fraction
    velocity: int


@dataclass(frozen=True, slots=True)
class _Bar:
    """A measure with its elements in order of onset, where it begins and ends, in quarter notes, its metre and key."""

    measure: Measure
    elements: tuple[Element, ...]
    start: Fraction
    end: Fraction
    metre: Metre
    key_fifths: int


def midi(score: Score) -> bytes:
    """The score as a one-track MIDI file: repeats played out, ties joined, the capo's pitch, the slowest tempo."""
    import mido

    bars = _bars(score)
    order = tuple(bars[number] for number in played_order(score.measures))
    end = sum((bar.end - bar.start for bar in order), Fraction(0))
    notes = _not_overlapping(_sounding(order, score))
    track = mido.MidiTrack([*_opening(score), *_messages(notes, _changes(order), end)])
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
    yield _time_signature(score.metre)
    yield _key_signature(score.key_fifths)
    yield mido.Message("program_change", program=_NYLON_GUITAR)


def _time_signature(metre: Metre) -> "mido.MetaMessage":
    import mido

    clocks = round(metre.beat_quarters * _CLOCKS_PER_QUARTER)
    return mido.MetaMessage("time_signature", numerator=metre.beats, denominator=metre.unit, clocks_per_click=clocks)


def _key_signature(fifths: int) -> "mido.MetaMessage":
    """The signature by the major key that has it: with n sharps it lies n steps up the line of fifths from C."""
    import mido

    return mido.MetaMessage("key_signature", key=str(PitchName(fifths)))


def _bars(score: Score) -> tuple[_Bar, ...]:
    """The measures with their place in time; each begins where the one before it ends."""
    start, bars, metre, key = Fraction(0), [], score.metre, score.key_fifths
    for measure in score.measures:
        metre = measure.metre or metre
        key = key if measure.key_fifths is None else measure.key_fifths
        elements = sorted((e for voice in measure.voices for e in voice.elements), key=lambda e: e.onset_quarters)
        end = max((e.onset_quarters + e.value.quarters for e in elements), default=start)
        bars.append(_Bar(measure, tuple(elements), start, end, metre, key))
        start = end
    return tuple(bars)


def _changes(order: tuple[_Bar, ...]) -> "Iterable[tuple[int, mido.MetaMessage]]":
    """Every change of metre and key as the bars are played, with its tick."""
    now = Fraction(0)
    for before, bar in pairwise(order):
        now += before.end - before.start
        if bar.metre != before.metre:
            yield _tick(now), _time_signature(bar.metre)
        if bar.key_fifths != before.key_fifths:
            yield _tick(now), _key_signature(bar.key_fifths)


def _sounding(order: tuple[_Bar, ...], score: Score) -> Iterable[_Sounding]:
    """Every note as heard, tied notes as one; a tie joins notes of one pitch on one string."""
    held: dict[tuple[int, int], _Sounding] = {}
    now, loudness = Fraction(0), Loudness(score)
    for bar in order:
        velocities = loudness.velocities(bar.elements)
        for element in bar.elements:
            onset = now + element.onset_quarters - bar.start
            velocity, delay = velocities[element.onset_quarters], _delay(element)
            for number, grace in enumerate(element.graces):
                begins = onset + number * delay / len(element.graces)
                ends = onset + (number + 1) * delay / len(element.graces)
                for note in grace.notes:
                    yield _Sounding(note.heard.sounding_midi + score.capo, begins, ends, velocity)
            for note in element.notes:
                number = note.heard.sounding_midi + score.capo
                begun = held.pop((number, note.string), None) if note.tie_stop else None
                heard = begun or _Sounding(number, onset + delay, onset, velocity)
                heard = replace(heard, end_quarters=onset + _sounds(element))
                if note.tie_start:
                    held[number, note.string] = heard
                else:
                    yield heard
        now += bar.end - bar.start
    yield from held.values()


def _delay(element: Element) -> Fraction:
    """What grace notes take from their note: a fixed length each, at most half of it."""
    return min(len(element.graces) * _GRACE_QUARTERS, element.value.quarters / 2)


def _sounds(element: Element) -> Fraction:
    """How long an element sounds: half its value where it is played short."""
    return element.value.quarters / (2 if _SHORT & set(element.articulations) else 1)


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


def _messages(
    notes: tuple[_Sounding, ...], changes: "Iterable[tuple[int, mido.MetaMessage]]", end: Fraction
) -> "Iterable[mido.Message | mido.MetaMessage]":
    """Note on and note off and changes with the ticks since the message before, then the end of the last bar."""
    import mido

    # At one tick notes stop, then metre and key change, then notes begin.
    stops = [(_tick(note.end_quarters), 0, note.number, _note_off(note)) for note in notes]
    turns = [(tick, 1, number, message) for number, (tick, message) in enumerate(changes)]
    starts = [(_tick(note.onset_quarters), 2, note.number, _note_on(note)) for note in notes]
    now = 0
    for tick, _, _, message in sorted([*stops, *turns, *starts], key=lambda row: row[:3]):
        yield message.copy(time=tick - now)
        now = tick
    yield mido.MetaMessage("end_of_track", time=_tick(end) - now)


def _note_on(note: _Sounding) -> "mido.Message":
    import mido

    return mido.Message("note_on", note=note.number, velocity=note.velocity)


def _note_off(note: _Sounding) -> "mido.Message":
    import mido

    return mido.Message("note_off", note=note.number, velocity=0)


def _tick(quarters: Fraction) -> int:
    return round(quarters * TICKS_PER_QUARTER)
