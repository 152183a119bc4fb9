"""The notes and rests of a MusicXML measure: pitch, length, marks of both hands, in the order of the schema.

Source: MusicXML 4.0 schema, types note, notations and technical. Printed or hidden, the finger, string, fret and
plucking letter of every note are written: they are facts of the exercise (chosen by us).
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from engraver.errors import OutputError
from engraver.fretboard.harmonics import node_of
from engraver.outputs.musicxml_marks import NoteKey, SpanEnd
from engraver.outputs.musicxml_tree import Xml, tag
from engraver.score.harmonics import HarmonicSign, HarmonicSystem
from engraver.score.model import Beam, Element, GraceChord, NoteValue, ScoreNote
from engraver.theory.signs import Articulation

_TYPES = {
    1: "whole", 2: "half", 4: "quarter", 8: "eighth", 16: "16th", 32: "32nd", 64: "64th", 128: "128th",
}  # fmt: skip
_ACCIDENTALS = {-2: "flat-flat", -1: "flat", 0: "natural", 1: "sharp", 2: "double-sharp"}
GUIDE = "–"  # noqa: RUF001 - the dash of a guide finger, before the finger; MusicXML 4.0 has no element for it
_ARTICULATIONS = {
    Articulation.STACCATO: "staccato", Articulation.STACCATISSIMO: "staccatissimo", Articulation.TENUTO: "tenuto",
    Articulation.MARCATO: "strong-accent",
}  # fmt: skip
_LAST_SPAN_NUMBER = 16  # MusicXML 4.0 schema, type number-level


@dataclass(frozen=True, slots=True)
class Staff:
    """A staff of the file: its number from the top, tablature or notation, and whether it stands alone."""

    number: int
    tablature: bool
    alone: bool

    @property
    def in_full(self) -> bool:
        """True where rhythm and fingers are written; a tablature under a notation staff repeats neither."""
        return self.alone or not self.tablature

    @property
    def label(self) -> int | None:
        """The number to write in the file: none where the staff stands alone."""
        return None if self.alone else self.number


@dataclass(frozen=True, slots=True)
class VoiceLine:
    """One voice on one staff: the number it is written under, the stem's direction, and what all its notes share.

    `barres` gives the beginning and end, in quarters, of each barre that lasts.
    """

    staff: Staff
    number: int
    stem: str | None
    divisions: int
    string_count: int
    slurs: dict[NoteKey, tuple[SpanEnd, ...]]
    barres: Mapping[Fraction, Fraction]

    def duration(self, quarters: Fraction) -> Xml:
        """A length in the file's divisions of a quarter note."""
        return tag("duration", str(quarters * self.divisions))


def note_type(base: int) -> str:
    """MusicXML's word for a note value: 8 gives eighth. Raises OutputError for a value without a word."""
    if base not in _TYPES:
        raise OutputError(f"MusicXML has no word for the note value 1/{base}")
    return _TYPES[base]


def element_xml(line: VoiceLine, element: Element, beams: tuple[str, ...], fills_bar: bool) -> Iterable[Xml]:
    """The rest, the note, or the notes of the chord, from low to high."""
    if element.is_rest:
        yield _rest(line, element, fills_bar)
    for place, grace in enumerate(element.graces):
        small = Element(grace.onset_quarters, grace.value, grace.notes)
        for index, note in enumerate(grace.notes):
            yield _note(line, small, note, _grace_beams(place, len(element.graces)), index == 0, grace)
    for index, note in enumerate(element.notes):
        yield _note(line, element, note, beams if index == 0 else (), index == 0)


def _rest(line: VoiceLine, element: Element, fills_bar: bool) -> Xml:
    """A rest; a tablature that repeats no rhythm keeps it unseen, so that the measure still adds up."""
    return tag(
        "note",
        tag("rest", measure="yes" if fills_bar else None),
        line.duration(element.value.quarters),
        tag("voice", line.number),
        *_value(element.value),
        _time_modification(element.value),
        *_staff(line.staff),
        _rest_notations(line, element),
        print_object=None if line.staff.in_full else "no",
    )


def _grace_beams(place: int, count: int) -> tuple[str, ...]:
    """Two beams over several small notes, none over a single one."""
    if count == 1:
        return ()
    return ("begin" if place == 0 else "end" if place == count - 1 else "continue",) * 2


def _note(
    line: VoiceLine,
    element: Element,
    note: ScoreNote,
    beams: tuple[str, ...],
    first: bool,
    grace: GraceChord | None = None,
) -> Xml:
    in_full = line.staff.in_full
    stem = line.stem if in_full else "none"
    return tag(
        "note",
        tag("grace", slash="yes" if grace.short else "no") if grace else None,
        None if first else tag("chord"),
        _pitch(note),
        None if grace else line.duration(element.value.quarters),
        *(tag("tie", type=kind) for kind in _tie_ends(note)),
        tag("voice", line.number),
        *_value(element.value),
        None if line.staff.tablature else _accidental(note),
        _time_modification(element.value),
        tag("stem", stem) if stem else None,
        None if line.staff.tablature else _head(note),
        *_staff(line.staff),
        *(tag("beam", beam, number=level) for level, beam in enumerate(beams, 1) if in_full),
        _note_notations(line, element, note, first),
    )


def _pitch(note: ScoreNote) -> Xml:
    name = note.pitch.name
    alter = tag("alter", name.alter) if name.alter else None
    return tag("pitch", tag("step", name.letter), alter, tag("octave", note.pitch.octave))


def _value(value: NoteValue) -> Iterable[Xml]:
    yield tag("type", note_type(value.base))
    yield from (tag("dot") for _ in range(value.dots))


def _time_modification(value: NoteValue) -> Xml | None:
    if value.actual == value.normal:
        return None
    return tag("time-modification", tag("actual-notes", value.actual), tag("normal-notes", value.normal))


def _accidental(note: ScoreNote) -> Xml | None:
    if not (note.accidental or note.cautionary):
        return None
    reminder = "yes" if note.cautionary else None
    return tag("accidental", _ACCIDENTALS[note.pitch.name.alter], cautionary=reminder, parentheses=reminder)


def _head(note: ScoreNote) -> Xml | None:
    return tag("notehead", "diamond") if note.harmonic and note.harmonic.diamond else None


def _staff(staff: Staff) -> Iterable[Xml]:
    if staff.label is not None:
        yield tag("staff", staff.label)


def _tie_ends(note: ScoreNote) -> Iterable[str]:
    """The stop comes first: a tie that ends here was begun before the one that begins here."""
    if note.tie_stop:
        yield "stop"
    if note.tie_start:
        yield "start"


def _rest_notations(line: VoiceLine, element: Element) -> Xml | None:
    tuplets = _tuplets(line, element)
    return tag("notations", *tuplets) if tuplets else None


def _note_notations(line: VoiceLine, element: Element, note: ScoreNote, first: bool) -> Xml:
    """Ties, slurs, the tuplet bracket (on the first note of a chord only) and the marks of both hands."""
    tied = (tag("tied", type=kind) for kind in _tie_ends(note))
    spans = line.slurs.get((element.onset_quarters, note.string), ())
    slurs = (_span(line, end) for end in spans if end.name == "slur")
    strokes = (_span(line, end) for end in spans if end.name != "slur")
    tuplets = _tuplets(line, element) if first else ()
    touches = _touches(element, first) if line.staff.in_full else ()
    return tag("notations", *tied, *slurs, *tuplets, tag("technical", *_hands(line, note), *strokes), *touches)


def _touches(element: Element, first: bool) -> Iterable[Xml]:
    """Accent and articulations on the first note of a chord, the sign of a rolled chord on all its notes."""
    names = ["accent"] if element.accent else []
    names += [_ARTICULATIONS[touch] for touch in element.articulations if touch in _ARTICULATIONS]
    if names and first:
        yield tag("articulations", *(tag(name) for name in names))
    if Articulation.FERMATA in element.articulations and first:
        yield tag("fermata", type="upright")
    if Articulation.ROLLED in element.articulations:
        yield tag("arpeggiate")


def _tuplets(line: VoiceLine, element: Element) -> tuple[Xml, ...]:
    """The start or stop of a tuplet; a beamed group needs its figure but no bracket."""
    if not line.staff.in_full:
        return ()
    bracket = "yes" if element.beam is Beam.NONE and element.show_tuplet else "no"
    number = None if element.show_tuplet else "none"
    start = tag("tuplet", type="start", bracket=bracket, show_number=number) if element.tuplet_start else None
    stop = tag("tuplet", type="stop") if element.tuplet_stop else None
    return tuple(end for end in (start, stop) if end)


def _span(line: VoiceLine, end: SpanEnd) -> Xml:
    """A slur's end; the tablature's numbers follow the notation's, so that no two slurs of a part share one."""
    number = end.number if line.staff.number == 1 else end.number + line.string_count
    return tag(end.name, type=end.type, number=(number - 1) % _LAST_SPAN_NUMBER + 1)


def _hands(line: VoiceLine, note: ScoreNote) -> Iterable[Xml]:
    """Fretting finger, string, fret, plucking letter; a tablature below a notation staff keeps string and fret."""
    if line.staff.in_full:
        if note.guide:
            yield tag("other-technical", GUIDE)
        yield tag("fingering", note.left_finger)
    yield tag("string", note.string)
    yield tag("fret", note.fret)
    if line.staff.in_full:
        if note.plucking:
            yield tag("pluck", note.plucking.value)
        if note.fret == 0 and not note.harmonic:
            yield tag("open-string")
    if note.harmonic:
        yield _harmonic(note.harmonic)
        if between := _between_frets(note.harmonic):
            yield tag("other-technical", between)


def _harmonic(sign: HarmonicSign) -> Xml:
    """Natural or artificial, and which of its pitches the note's own is; the little circle only where it is printed."""
    kind = tag("artificial" if sign.artificial else "natural")
    printed = "no" if sign.diamond else None
    return tag("harmonic", kind, tag(_harmonic_pitch(sign)), print_object=printed)


def _between_frets(sign: HarmonicSign) -> str | None:
    """The number of a node that lies between two frets, since the file's own fret is a whole number."""
    printed = node_of(sign.harmonic).printed
    return None if sign.artificial or printed.isdigit() else printed


def _harmonic_pitch(sign: HarmonicSign) -> str:
    if sign.system is HarmonicSystem.SOUNDING:
        return "sounding-pitch"
    touched = sign.system is HarmonicSystem.TOUCHED and not sign.artificial
    return "touching-pitch" if touched else "base-pitch"
