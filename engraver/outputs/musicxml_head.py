"""What stands at the head of MusicXML: key, metre, clefs, strings of the tablature, tuning and tempo.

Source: MusicXML 4.0 schema and its documentation, for the order of elements and the meaning of each.
"""

from collections.abc import Iterable
from fractions import Fraction

from engraver.errors import OutputError
from engraver.outputs.musicxml_notes import Staff, note_type
from engraver.outputs.musicxml_tree import Xml, tag
from engraver.score.model import Measure, Notation, NoteValue, Score
from engraver.theory.pitch import SpelledPitch
from engraver.theory.rhythm import Metre, TempoRange


def attributes(score: Score, staves: tuple[Staff, ...], divisions: int) -> Xml:
    """All that is said before the first note: divisions, key, metre, clefs, strings, capo."""
    return tag(
        "attributes",
        tag("divisions", divisions),
        *(_key(score.key_fifths, staff) for staff in staves),
        _time(score.metre),
        tag("staves", len(staves)) if len(staves) > 1 else None,
        *(_clef(staff) for staff in staves),
        *(_strings(score, staff) for staff in staves if staff.tablature),
        tag("transpose", tag("chromatic", score.capo)) if score.capo else None,
    )


def changes(measure: Measure, staves: tuple[Staff, ...]) -> Xml | None:
    """A new key signature or metre at the beginning of a measure."""
    keys = () if measure.key_fifths is None else tuple(_key(measure.key_fifths, staff) for staff in staves)
    time = _time(measure.metre) if measure.metre else None
    return tag("attributes", *keys, time) if keys or time else None


def _key(fifths: int, staff: Staff) -> Xml:
    unseen = "no" if staff.tablature else None
    return tag("key", tag("fifths", fifths), number=staff.label, print_object=unseen)


def _time(metre: Metre) -> Xml:
    return tag("time", tag("beats", metre.beats), tag("beat-type", metre.unit))


def _clef(staff: Staff) -> Xml:
    if staff.tablature:
        return tag("clef", tag("sign", "TAB"), tag("line", 5), number=staff.label)
    return tag("clef", tag("sign", "G"), tag("line", 2), tag("clef-octave-change", -1), number=staff.label)


def _strings(score: Score, staff: Staff) -> Xml:
    """The lines of the tablature with their open strings as tuned without the capo; line 1 is the lowest string."""
    pitches = tuple(reversed(score.tuning.open_strings))
    tunings = (tag("staff-tuning", *_open_string(pitch), line=line) for line, pitch in enumerate(pitches, 1))
    capo = tag("capo", score.capo) if score.capo else None
    lines = tag("staff-lines", len(pitches))
    return tag("staff-details", lines, *tunings, capo, number=staff.label, show_frets="numbers")


def _open_string(pitch: SpelledPitch) -> Iterable[Xml]:
    yield tag("tuning-step", pitch.name.letter)
    if pitch.name.alter:
        yield tag("tuning-alter", pitch.name.alter)
    yield tag("tuning-octave", pitch.octave)


def opening(score: Score) -> Iterable[Xml]:
    """What stands above the first bar: the tuning where no tablature tells it, and the tempo."""
    if score.notation is Notation.STAFF and not score.tuning.is_usual:
        strings = enumerate(score.tuning.open_strings, 1)
        accords = (tag("accord", *_open_string(pitch), string=string) for string, pitch in strings)
        yield tag("direction", tag("direction-type", tag("scordatura", *accords)), placement="above")
    if score.tempo:
        yield _tempo(score.tempo)


def _tempo(tempo: TempoRange) -> Xml:
    """The metronome mark of the slower end, at which the file plays, and after it the faster one in words.

    A range inside the mark is allowed, but readers want a number there. Source: chosen by us.
    """
    base, dots = _beat_value(tempo.beat_quarters)
    mark = tag(
        "metronome",
        tag("beat-unit", note_type(base)),
        *(tag("beat-unit-dot") for _ in range(dots)),
        tag("per-minute", tempo.slowest_bpm),
        parentheses="no",
    )
    faster = tag("words", f"\u2013{tempo.fastest_bpm}") if tempo.fastest_bpm > tempo.slowest_bpm else None
    shown = (tag("direction-type", part) for part in (mark, faster) if part is not None)
    quarters_a_minute = float(tempo.slowest_bpm * tempo.beat_quarters)
    sound = tag("sound", tempo=f"{quarters_a_minute:g}")
    return tag("direction", *shown, sound, placement="above")


def _beat_value(quarters: Fraction) -> tuple[int, int]:
    """The note value (base, dots) that lasts a beat: 3/2 quarters give a dotted quarter."""
    for base in (1, 2, 4, 8, 16, 32):
        for dots in (0, 1):
            if NoteValue(base, dots).quarters == quarters:
                return base, dots
    raise OutputError(f"no single note lasts a beat of {quarters} quarter notes")
