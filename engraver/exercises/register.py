"""Where on the instrument an exercise lies: the lowest note, the top, and what to do when the neck is too short."""

from dataclasses import dataclass

from engraver.errors import OutOfRange
from engraver.fretboard.limits import LeftHandLimits, OpenStrings
from engraver.fretboard.tuning import Instrument
from engraver.theory.pitch import Midi, PitchName, SpelledPitch, pitch_at_or_above


@dataclass(frozen=True, slots=True)
class Register:
    """The lowest note of a line and the top it may reach."""

    lowest: SpelledPitch
    highest: Midi


def lowest_on(name: PitchName, instrument: Instrument, limits: LeftHandLimits) -> SpelledPitch:
    """The lowest pitch with this name that the start string and finger (or the open-string policy) allow.

    A finger cannot stop a string below its own number: finger 2 at fret 2 stands in first position.
    """
    string = limits.start_string
    if string is not None and string > instrument.string_count:
        raise OutOfRange(f"there is no string {string}", hint=f"the instrument has {instrument.string_count} strings")
    if limits.position is not None and string is None:
        return pitch_at_or_above(name, Midi(instrument.lowest + limits.position))
    fret = limits.start_finger
    if fret is None:
        fret = 1 if limits.open_strings is OpenStrings.AVOID or limits.fingers_per_string else 0
    open_midi = instrument.tuning.open_midis[string - 1] if string else instrument.lowest
    return pitch_at_or_above(name, Midi(open_midi + fret))


def register(
    name: PitchName, octave: int | None, octaves: int, instrument: Instrument, limits: LeftHandLimits
) -> Register:
    """The register of a line of so many octaves on a tonic.

    Raises OutOfRange naming what the neck holds when the line does not fit.
    """
    lowest = SpelledPitch(name, octave) if octave is not None else lowest_on(name, instrument, limits)
    if lowest.sounding_midi < instrument.lowest:
        nearest = pitch_at_or_above(name, instrument.lowest)
        raise OutOfRange(
            f"{lowest} lies below the instrument, whose lowest note is {_pitch(instrument.lowest)}",
            hint=f"write {nearest} or a lower tuning",
        )
    highest = Midi(lowest.sounding_midi + 12 * octaves)
    if highest > instrument.highest:
        raise OutOfRange(
            f"{octaves_in_words(octaves)} from {lowest} reach past the last fret ({_pitch(instrument.highest)})",
            hint=_nearest(name, octaves, instrument, lowest),
        )
    return Register(lowest, highest)


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
