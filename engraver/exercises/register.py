"""Where on the instrument an exercise lies: the lowest note, the top, and what to do when the neck is too short."""

from dataclasses import dataclass

from engraver.errors import OutOfRange, SpecError
from engraver.fretboard.limits import LeftHandLimits, OpenStrings
from engraver.fretboard.tuning import Instrument
from engraver.spec.played import LineSpec, PositionsSpec
from engraver.theory.pitch import Midi, PitchName, SpelledPitch, pitch_at_or_above

HAND_FRETS = 4
"""Frets under the hand in a position: one finger per fret (common practice)."""


@dataclass(frozen=True, slots=True)
class Register:
    """The lowest note of a line and the top it may reach."""

    lowest: SpelledPitch
    highest: Midi


def named_range(spec: LineSpec, instrument: Instrument) -> tuple[Midi, Midi] | None:
    """The range that a book names instead of octaves: two pitches, `position` or `neck`; None when it names none.

    `position` is every note under the hand in `left_hand: position` (with the open strings in first position),
    `{positions: [2, 9]}` from the lowest note of the one to the highest of the other, `neck` every note there is.
    Raises OutOfRange for pitches outside the instrument, SpecError for `position` without a position and for a range
    that falls.
    """
    if spec.range is None:
        return None
    if spec.range == "neck":
        return instrument.lowest, instrument.highest
    if spec.range == "position":
        position = spec.left_hand.position
        if position is None:
            raise SpecError("the range is a position, but none is given", hint="write left_hand: {position: 5}")
        return _under_the_hand(position, position, instrument)
    if isinstance(spec.range, PositionsSpec):
        lowest, highest = spec.range.positions
        if highest < lowest:
            raise SpecError(f"the positions fall from {lowest} to {highest}", hint="put the lower position first")
        return _under_the_hand(lowest, highest, instrument)
    low, high = (pitch.sounding_midi for pitch in spec.range)
    for pitch in spec.range:
        if not instrument.lowest <= pitch.sounding_midi <= instrument.highest:
            bounds = f"{_pitch(instrument.lowest)} to {_pitch(instrument.highest)}"
            raise OutOfRange(f"{pitch} lies outside the instrument", hint=f"write pitches from {bounds}")
    if high <= low:
        raise SpecError(f"the range falls from {spec.range[0]} to {spec.range[1]}", hint="put the lower pitch first")
    return low, high


def _under_the_hand(lowest: int, highest: int, instrument: Instrument) -> tuple[Midi, Midi]:
    """From the lowest note of one position to the highest of another; first position has the open strings too."""
    opens = instrument.tuning.open_midis
    low = min(opens) + (lowest if lowest > 1 else 0)
    return Midi(low), Midi(min(max(opens) + highest + HAND_FRETS - 1, instrument.highest))


def register(
    name: PitchName, octave: int | None, octaves: int, instrument: Instrument, limits: LeftHandLimits
) -> Register:
    """The register of a line of so many octaves on a tonic: the lowest that the limits allow.

    Raises OutOfRange naming what the neck holds when the line does not fit.
    """
    if octave is not None:
        starts = [SpelledPitch(name, octave)]
    else:
        starts = [_lowest_on(name, instrument, limits, fret) for fret in _first_frets(limits)]
    for lowest in starts:
        highest = Midi(lowest.sounding_midi + 12 * octaves)
        if instrument.lowest <= lowest.sounding_midi and highest <= instrument.highest:
            return Register(lowest, highest)
    raise _out_of_range(name, starts[-1], octaves, instrument)


def _first_frets(limits: LeftHandLimits) -> tuple[int, ...]:
    """The lowest frets for the first note, most wanted first.

    A finger cannot stop a string below its own number: finger 2 at fret 2 stands in first position. Where open strings
    are avoided a stopped first note is wanted, but an open one is taken when the line does not fit otherwise.
    """
    if limits.start_finger is not None:
        return (limits.start_finger,)
    if limits.fingers_per_string:
        return (1,)
    if limits.position is not None and limits.start_string is None:
        return (limits.position, 0) if limits.position > 1 else (0,)
    return (1, 0) if limits.open_strings is OpenStrings.AVOID else (0,)


def _lowest_on(name: PitchName, instrument: Instrument, limits: LeftHandLimits, fret: int) -> SpelledPitch:
    string = limits.start_string
    if string is not None and string > instrument.string_count:
        raise OutOfRange(f"there is no string {string}", hint=f"the instrument has {instrument.string_count} strings")
    open_midi = instrument.tuning.open_midis[string - 1] if string else instrument.lowest
    return pitch_at_or_above(name, Midi(open_midi + fret))


def _out_of_range(name: PitchName, lowest: SpelledPitch, octaves: int, instrument: Instrument) -> OutOfRange:
    if lowest.sounding_midi < instrument.lowest:
        nearest = pitch_at_or_above(name, instrument.lowest)
        return OutOfRange(
            f"{lowest} lies below the instrument, whose lowest note is {_pitch(instrument.lowest)}",
            hint=f"write {nearest} or a lower tuning",
        )
    reach = "reaches" if octaves == 1 else "reach"
    return OutOfRange(
        f"{octaves_in_words(octaves)} from {lowest} {reach} past the last fret ({_pitch(instrument.highest)})",
        hint=_nearest(name, octaves, instrument, lowest),
    )


def _nearest(name: PitchName, octaves: int, instrument: Instrument, lowest: SpelledPitch) -> str:
    """The nearest thing that is possible: the same tonic lower, or fewer octaves."""
    lower = pitch_at_or_above(name, instrument.lowest)
    if lower.sounding_midi < lowest.sounding_midi and lower.sounding_midi + 12 * octaves <= instrument.highest:
        return f"start from {lower}"
    fits = (instrument.highest - lowest.sounding_midi) // 12
    return f"write octaves: {fits}" if fits >= 1 else "start lower"


def octaves_in_words(count: int) -> str:
    """The count in words: `one octave`, `two octaves`."""
    return f"{('one', 'two', 'three', 'four')[count - 1]} octave{'s' if count > 1 else ''}"


def _pitch(midi: Midi) -> str:
    names = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
    return str(pitch_at_or_above(PitchName.parse(names[midi % 12]), midi))
