"""Shifts along the strings: from position to position, led by a guide finger or not, or a scale on one string."""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from engraver.errors import OutOfRange
from engraver.exercises.drills import (
    Place,
    Touch,
    drill_passage,
    lay_groups,
    next_bar,
    on_neck,
    placed,
    rested,
    there_and_back,
)
from engraver.exercises.lines import line_passage
from engraver.fretboard.tuning import Instrument
from engraver.spec.drills import ShiftsSpec
from engraver.theory.passage import Passage
from engraver.theory.pitch import OCTAVE, PitchName, pitch_at_or_above
from engraver.theory.scale import scale


def compose_shifts(spec: ShiftsSpec, instrument: Instrument) -> Passage:
    """The positions of the spec on each string in turn, or the scale on its string.

    Raises OutOfRange for a string or fret that the instrument lacks, or a scale that the string does not hold.
    """
    if spec.scale is not None:
        return _scale_on_string(spec, spec.scale, instrument)
    touches: list[Touch] = []
    start = Fraction(0)
    for number, string in enumerate(spec.strings):
        row = [placed(instrument, string, position, finger) for position, finger in fingers_by_position(spec)]
        touches += rested(lay_groups([row], spec, start, number), spec.metre)
        start = next_bar(touches[-1].onset + touches[-1].length, spec.metre)
    return drill_passage(touches, spec, instrument)


def fingers_by_position(spec: ShiftsSpec) -> tuple[tuple[int, int], ...]:
    """(position, finger) of every note on one string, in playing order."""
    positions = there_and_back(spec.positions, spec.and_back)
    if spec.manner == "leap":
        return tuple((position, spec.row[n % len(spec.row)]) for n, position in enumerate(positions))
    return tuple(
        (position, finger) for n, position in enumerate(positions) for finger in _in_position(spec, n, len(positions))
    )


def _in_position(spec: ShiftsSpec, number: int, count: int) -> Sequence[int]:
    """The fingers of one position; a guide finger ends each but the last and begins each but the first."""
    if spec.manner == "in turn":
        return spec.row
    guide = spec.guide or spec.row[-1]
    others = [finger for finger in spec.row if finger != guide]
    before, after = [guide] * (number > 0), [guide] * (number < count - 1)
    return [*before, *others, *after] if others else [guide]


def _scale_on_string(spec: ShiftsSpec, form_name: str, instrument: Instrument) -> Passage:
    """One octave of the scale on one string, from the lowest tonic of the string, up and (unless unwanted) down.

    The fingers are those of the row in turn if the entry names them, else they are left to the fingering.
    """
    string = spec.strings[0]
    on_neck(instrument, Place(string, 0, 0))
    form = scale(form_name, spec.tonics[0].name)
    lowest = pitch_at_or_above(spec.tonics[0].name, instrument.tuning.open_midis[string - 1])
    highest = lowest.up(OCTAVE).sounding_midi
    if highest - instrument.tuning.open_midis[string - 1] > instrument.highest_fret:
        fret = lowest.sounding_midi - instrument.tuning.open_midis[string - 1]
        raise OutOfRange(
            f"an octave from {lowest} (fret {fret}) does not fit on string {string}",
            hint=_strings_that_hold(spec.tonics[0].name, instrument),
        )
    low = lowest.sounding_midi
    up, down = form.line_up(low, highest), form.line_down(low, highest)
    pitches = (*up, *down[1:]) if spec.and_back else up
    passage = line_passage(pitches, spec, form.key_fifths, len(up) - 1 if spec.and_back else None)
    fingers = _fingers_of_line(spec, len(up), len(pitches))
    fingers = [finger for finger in fingers for _ in range(len(passage.notes) // len(pitches))]
    notes = tuple(
        replace(note, string=string, finger=0 if _is_open(note.pitch.sounding_midi, string, instrument) else finger)
        if finger is not None
        else replace(note, string=string)
        for note, finger in zip(passage.notes, fingers, strict=True)
    )
    return replace(passage, notes=notes)


def _strings_that_hold(tonic: PitchName, instrument: Instrument) -> str:
    """Where an octave of the scale fits, for the hint."""
    fits = [
        str(string)
        for string, open_midi in enumerate(instrument.tuning.open_midis, 1)
        if (tonic.pitch_class - open_midi) % 12 + 12 <= instrument.highest_fret
    ]
    return f"it fits on string {', '.join(fits)}" if fits else "choose a guitar with more frets"


def _fingers_of_line(spec: ShiftsSpec, up: int, count: int) -> list[int | None]:
    """The row's fingers in turn on the way up and the same fingers on the same notes on the way down."""
    if spec.fingers is None:
        return [None] * count
    rising: list[int | None] = [spec.fingers[n % len(spec.fingers)] for n in range(up)]
    return [*rising, *rising[-2::-1]][:count]


def _is_open(midi: int, string: int, instrument: Instrument) -> bool:
    return midi == instrument.tuning.open_midis[string - 1]
