"""The book's wishes for the fretting hand, note by note, and the errors of wishes that cannot be met."""

from dataclasses import dataclass, replace

from engraver.errors import OutOfRange, Unplayable
from engraver.fretboard.harmonics import touching_fingers
from engraver.fretboard.limits import LeftHandLimits, OpenStrings, Pin
from engraver.fretboard.neck import spots
from engraver.fretboard.tuning import Instrument
from engraver.theory.passage import HarmonicKind, Passage
from engraver.theory.pitch import Midi


@dataclass(frozen=True, slots=True)
class Wish:
    """What one note may use; empty `strings` or `fingers` mean: any."""

    strings: tuple[int, ...] = ()
    fingers: tuple[int, ...] = ()
    open_allowed: bool = True


def note_words(passage: Passage, index: int) -> str:
    """The note as a teacher would point at it: ``note 5 (F#3) in bar 2``."""
    note = passage.notes[index]
    return f"note {index + 1} ({note.pitch}) in bar {passage.bar_number(note.onset_quarters)}"


def check_range(passage: Passage, instrument: Instrument) -> None:
    """Raises OutOfRange for the first note the instrument does not have, with the nearest remedy."""
    midis = [note.pitch.sounding_midi for note in passage.notes]
    missing = {midi for midi in set(midis) if not spots(instrument, midi)}
    for index, midi in enumerate(midis):
        if midi not in missing:
            continue
        what = note_words(passage, index)
        if midi < instrument.lowest:
            lowest = instrument.tuning.open_strings[-1]
            raise OutOfRange(
                f"{what} lies below the lowest string, {lowest}", hint=_remedy_below(instrument.lowest - midi)
            )
        if midi > instrument.highest:
            raise OutOfRange(
                f"{what} lies above the last fret of string 1 (fret {instrument.highest_fret})",
                hint=_remedy_above(instrument, midi - instrument.highest),
            )
        raise OutOfRange(f"{what} lies between the strings of this tuning", hint="choose another tuning or octave")


def _remedy_below(missing: int) -> str:
    """What helps a note that lies too low by so many semitones."""
    octaves = -(-missing // 12)
    up = "an octave" if octaves == 1 else f"{octaves} octaves"
    tune = f", or tune the lowest string down by {missing} semitone{'s' if missing > 1 else ''}" if missing <= 4 else ""
    return f"write the passage {up} higher{tune}"


def _remedy_above(instrument: Instrument, missing: int) -> str:
    """What helps a note that lies too high by so many semitones."""
    octaves = -(-missing // 12)
    down = "an octave" if octaves == 1 else f"{octaves} octaves"
    capo = ", or take the capo off" if 0 < missing <= instrument.capo else ""
    return f"write the passage {down} lower{capo}"


def wishes_of(passage: Passage, instrument: Instrument, limits: LeftHandLimits) -> tuple[Wish, ...]:
    """One wish per note. Raises Unplayable when a start, pin or string demand cannot be met."""
    wishes = [
        Wish((note.string,) if note.string else limits.strings, _touching(passage, index))
        for index, note in enumerate(passage.notes)
    ]
    _check_strings_exist(passage, instrument, limits)
    if passage.notes and limits.start_string:
        wishes[0] = replace(wishes[0], strings=(limits.start_string,))
    if passage.notes and limits.start_finger is not None:
        wishes[0] = replace(wishes[0], fingers=(limits.start_finger,))
    for pin in limits.pins:
        _check_pin(passage, instrument, pin)
        old = wishes[pin.note]
        wishes[pin.note] = replace(
            old,
            strings=(pin.string,) if pin.string else old.strings,
            fingers=(pin.finger,) if pin.finger is not None else old.fingers,
        )
    for index, wish in enumerate(wishes):
        if limits.strings and wish.strings == limits.strings:
            _demand_allowed(passage, instrument, index, limits.strings)
    for index in range(len(wishes)):
        wishes[index] = _with_open_policy(passage, instrument, limits, wishes[index], index)
    return tuple(wishes)


def _touching(passage: Passage, index: int) -> tuple[int, ...]:
    """The fingers for a note: any but on a natural harmonic, which one of two touches; a whole chord takes any."""
    note = passage.notes[index]
    if note.harmonic is None or note.harmonic.kind is not HarmonicKind.NATURAL:
        return ()
    together = sum(other.onset_quarters == note.onset_quarters for other in passage.notes)
    return touching_fingers() if together <= len(touching_fingers()) else ()


def _check_strings_exist(passage: Passage, instrument: Instrument, limits: LeftHandLimits) -> None:
    """Raises Unplayable when a string number or the first note's string is not on this instrument."""
    asked = [*limits.strings, *(pin.string for pin in limits.pins if pin.string)]
    asked += [limits.start_string] if limits.start_string else []
    for string in asked:
        if not 1 <= string <= instrument.string_count:
            raise Unplayable(
                f"string {string} does not exist on this guitar",
                hint=f"strings run from 1 to {instrument.string_count}",
            )
    if passage.notes and limits.start_string:
        _demand_string(passage, instrument, 0, limits.start_string)


def _demand_string(passage: Passage, instrument: Instrument, index: int, string: int) -> None:
    """Raises Unplayable when the note is not on the string."""
    found = [s.string for s in spots(instrument, passage.notes[index].pitch.sounding_midi)]
    if string not in found:
        raise Unplayable(
            f"{note_words(passage, index)} cannot be played on string {string}",
            hint=f"it lies on string {_listed(found)}",
        )


def _demand_allowed(passage: Passage, instrument: Instrument, index: int, allowed: tuple[int, ...]) -> None:
    """Raises Unplayable when the note lies on none of the strings that the book allows."""
    found = [s.string for s in spots(instrument, passage.notes[index].pitch.sounding_midi)]
    if not set(found) & set(allowed):
        raise Unplayable(
            f"{note_words(passage, index)} lies on none of the strings allowed ({_listed(sorted(allowed))})",
            hint=f"it lies on string {_listed(found)}; allow that, or choose another octave",
        )


def _listed(numbers: list[int]) -> str:
    """``1``, ``1 or 2``, ``1, 2 or 3``."""
    words = [str(n) for n in numbers]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"


def _check_pin(passage: Passage, instrument: Instrument, pin: Pin) -> None:
    """Raises Unplayable when a pin names no note, a string without the note, or a finger that cannot take it."""
    if not 0 <= pin.note < len(passage.notes):
        raise Unplayable(
            f"a pin names note {pin.note + 1}, but the exercise has {len(passage.notes)} notes",
            hint=f"pin a note from 1 to {len(passage.notes)}",
        )
    if pin.string:
        _demand_string(passage, instrument, pin.note, pin.string)
    if pin.finger is None:
        return
    if not 0 <= pin.finger <= 4:
        raise Unplayable(
            f"{note_words(passage, pin.note)}: there is no finger {pin.finger}", hint="fingers run from 0 (open) to 4"
        )
    frets = [
        s.fret for s in spots(instrument, passage.notes[pin.note].pitch.sounding_midi) if pin.string in (None, s.string)
    ]
    if pin.finger == 0 and 0 not in frets:
        raise Unplayable(
            f"{note_words(passage, pin.note)} is pinned to finger 0, but no open string sounds it there",
            hint="give a finger from 1 to 4",
        )
    if pin.finger > 0 and max(frets) == 0:
        raise Unplayable(
            f"{note_words(passage, pin.note)} is pinned to finger {pin.finger}, but it is an open string there",
            hint="give finger 0 or another string",
        )


def _with_open_policy(passage: Passage, instrument: Instrument, limits: LeftHandLimits, wish: Wish, index: int) -> Wish:
    """Where open strings are avoided, a note that can be fretted must be; a pinned 0 stays open."""
    if limits.open_strings is not OpenStrings.AVOID or 0 in wish.fingers:
        return wish
    fretted = [
        s
        for s in spots(instrument, Midi(passage.notes[index].pitch.sounding_midi))
        if s.fret and (not wish.strings or s.string in wish.strings)
    ]
    return replace(wish, open_allowed=not fretted)
