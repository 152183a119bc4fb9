"""MusicXML 4.0: a score as a file for notation and practice programs, with every finger, string and fret.

One part, a notation staff (treble, sounding an octave lower) and a tablature staff, or one of them. Pitches are
written as the guitarist reads them, in sounding octaves; with a capo, `transpose` says how much higher they sound.
Source: MusicXML 4.0 schema and its documentation, for the order of elements and the meaning of each.
"""

from collections.abc import Iterable
from fractions import Fraction
from math import lcm

from engraver.errors import OutputError
from engraver.fretboard.numerals import position_numeral
from engraver.outputs.musicxml_marks import (
    SpanPoint,
    barre_ends,
    beam_levels,
    slur_ends,
    span_points,
    voice_numbers,
)
from engraver.outputs.musicxml_notes import Staff, VoiceLine, element_xml, note_type
from engraver.outputs.musicxml_tree import Xml, file_bytes, tag
from engraver.score.model import Barline, BarreSign, Element, Measure, Notation, NoteValue, Score, Voice
from engraver.score.stems import Stems, stems_of
from engraver.theory.pitch import SpelledPitch
from engraver.theory.rhythm import Metre, TempoRange
from engraver.theory.signs import Way

_SOFTWARE = "exercise-engraver"
_PART, _INSTRUMENT = "P1", "P1-I1"
_NYLON_GUITAR = 25  # General MIDI program, counted from 1
_TABLATURE_VOICES = 4  # voices 1 to 3 on the notation staff, 5 to 7 on the tablature
_STEMS = {
    Stems.EITHER: None, Stems.UP: "up", Stems.DOWN: "down", Stems.INNER_UP: "up", Stems.INNER_DOWN: "down",
}  # fmt: skip
_SOUNDS = {
    Way.FINE: ("fine", "yes"),
    **dict.fromkeys((Way.DA_CAPO, Way.DA_CAPO_AL_FINE, Way.DA_CAPO_AL_CODA), ("dacapo", "yes")),
    **dict.fromkeys((Way.DAL_SEGNO, Way.DAL_SEGNO_AL_FINE, Way.DAL_SEGNO_AL_CODA), ("dalsegno", "segno")),
    Way.TO_CODA: ("tocoda", "coda"),
}
_REVERSAL = "↔"  # chosen by us
_BAR_STYLES = {Barline.DOUBLE: "light-light", Barline.FINAL: "light-heavy", Barline.REPEAT_END: "light-heavy"}


def musicxml(score: Score, title: str) -> bytes:
    """The score as an uncompressed MusicXML 4.0 file, the same bytes for the same score.

    Raises OutputError when the title holds characters that XML cannot carry, or when the score contradicts itself.
    """
    return file_bytes(
        tag(
            "score-partwise",
            tag("movement-title", title) if title else None,
            _identification(),
            _part_list(),
            tag("part", *_measures(score), id=_PART),
            version="4.0",
        )
    )


def _identification() -> Xml:
    """Who wrote the file; no date, so that the same book gives the same bytes."""
    supports = (tag("supports", element=name, type="yes") for name in ("accidental", "beam"))
    return tag("identification", tag("encoding", tag("software", _SOFTWARE), *supports))


def _part_list() -> Xml:
    instrument = tag(
        "score-instrument",
        tag("instrument-name", "Classical guitar"),
        tag("instrument-sound", "pluck.guitar.nylon-string"),
        id=_INSTRUMENT,
    )
    midi = tag("midi-instrument", tag("midi-channel", 1), tag("midi-program", _NYLON_GUITAR), id=_INSTRUMENT)
    name = tag("part-name", "Guitar", print_object="no")
    return tag("part-list", tag("score-part", name, instrument, midi, id=_PART))


def _staves(notation: Notation) -> tuple[Staff, ...]:
    if notation is Notation.BOTH:
        return Staff(1, False, False), Staff(2, True, False)
    return (Staff(1, notation is Notation.TABLATURE, True),)


def _divisions(score: Score) -> int:
    """The least number of divisions of a quarter note that holds every onset and length of the score."""
    times = [time for e in score.elements for time in (e.onset_quarters, e.value.quarters)]
    bars = [m.metre.bar_quarters.denominator for m in score.measures if m.metre]
    return lcm(score.metre.bar_quarters.denominator, *bars, *(time.denominator for time in times))


def _measures(score: Score) -> Iterable[Xml]:
    staves, divisions, slurs = _staves(score.notation), _divisions(score), slur_ends(score)
    barres = {number: barre_ends(score, number) for number in voice_numbers(score)}

    def line(staff: Staff, measure: Measure, voice: Voice) -> VoiceLine:
        number = voice.number + (_TABLATURE_VOICES if staff.number > 1 else 0)
        stem = _STEMS[stems_of(score, measure, voice.number)] if score.has_two_voices else None
        return VoiceLine(staff, number, stem, divisions, len(score.tuning.open_strings), slurs, barres[voice.number])

    start = Fraction(0)
    points = span_points(score)
    for index, measure in enumerate(score.measures):
        end = max((_end(voice) for voice in measure.voices), default=start)
        upbeat = index == 0 and len(score.measures) > 1 and end - start < score.metre.bar_quarters
        last = index == len(score.measures) - 1
        irregular = upbeat or measure.length_quarters is not None
        yield tag(
            "measure",
            _opening_barline(measure, score.measures[index - 1].endings if index else ()),
            _attributes(score, staves, divisions) if index == 0 else _changes(measure, staves),
            *(_opening(score) if index == 0 else ()),
            *(_way(way, staves[0]) for way in measure.ways if way.is_place),
            *_voices(
                [(line(staff, measure, voice), voice) for staff in staves for voice in measure.voices],
                start,
                end,
                [p for p in points if start <= p.quarters < end or (last and p.quarters >= end)],
            ),
            *(_way(way, staves[0]) for way in measure.ways if not way.is_place),
            _closing_barline(measure, () if last else score.measures[index + 1].endings),
            number=measure.number,
            implicit="yes" if irregular else None,
        )
        start = end


def _end(voice: Voice) -> Fraction:
    return max((e.onset_quarters + e.value.quarters for e in voice.elements), default=Fraction(0))


def _attributes(score: Score, staves: tuple[Staff, ...], divisions: int) -> Xml:
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


def _changes(measure: Measure, staves: tuple[Staff, ...]) -> Xml | None:
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


def _opening(score: Score) -> Iterable[Xml]:
    """What stands above the first bar: the tuning where no tablature tells it, and the tempo."""
    if score.notation is Notation.STAFF and not score.tuning.is_usual:
        strings = enumerate(score.tuning.open_strings, 1)
        accords = (tag("accord", *_open_string(pitch), string=string) for string, pitch in strings)
        yield tag("direction", tag("direction-type", tag("scordatura", *accords)), placement="above")
    if score.tempo:
        yield _tempo(score.tempo)


def _tempo(tempo: TempoRange) -> Xml:
    """The metronome mark with both ends of the range; the file plays at the slower."""
    base, dots = _beat_value(tempo.beat_quarters)
    ends = sorted({tempo.slowest_bpm, tempo.fastest_bpm})
    mark = tag(
        "metronome",
        tag("beat-unit", note_type(base)),
        *(tag("beat-unit-dot") for _ in range(dots)),
        tag("per-minute", "–".join(str(end) for end in ends)),  # noqa: RUF001 - an en dash joins a range
        parentheses="no",
    )
    quarters_a_minute = float(tempo.slowest_bpm * tempo.beat_quarters)
    sound = tag("sound", tempo=f"{quarters_a_minute:g}")
    return tag("direction", tag("direction-type", mark), sound, placement="above")


def _beat_value(quarters: Fraction) -> tuple[int, int]:
    """The note value (base, dots) that lasts a beat: 3/2 quarters give a dotted quarter."""
    for base in (1, 2, 4, 8, 16, 32):
        for dots in (0, 1):
            if NoteValue(base, dots).quarters == quarters:
                return base, dots
    raise OutputError(f"no single note lasts a beat of {quarters} quarter notes")


def _voices(
    lines: list[tuple[VoiceLine, Voice]], start: Fraction, end: Fraction, points: list[SpanPoint]
) -> Iterable[Xml]:
    """Voice after voice, the file's clock turned back to the bar line between them."""
    for index, (line, voice) in enumerate(lines):
        if index:
            yield tag("backup", line.duration(end - start))
        yield from _voice(line, voice, start, end, points if index == 0 else [])


def _voice(line: VoiceLine, voice: Voice, start: Fraction, end: Fraction, points: list[SpanPoint]) -> Iterable[Xml]:
    """The voice's elements in order; silence that is not written as a rest is stepped over.

    `points` are the ends of hairpins in the measure; one that falls into a note stands before it with an offset.
    """
    now, beams = start, beam_levels(voice.elements)
    for element, levels in zip(voice.elements, beams, strict=True):
        yield from _step(line, now, element.onset_quarters)
        yield from _directions(line, element)
        until = element.onset_quarters + element.value.quarters
        for point in (p for p in points if element.onset_quarters <= p.quarters < until):
            yield _hairpin(line, point, point.quarters - element.onset_quarters)
        yield from element_xml(line, element, levels, element.value.quarters == end - start)
        if line.staff.in_full and element.onset_quarters in line.barres.values():
            yield _direction(line, tag("bracket", type="stop", number=1, line_end="down"))
        now = element.onset_quarters + element.value.quarters
    yield from _step(line, now, end)
    for point in (p for p in points if p.quarters >= end):
        yield _hairpin(line, point, Fraction(0))


def _step(line: VoiceLine, now: Fraction, then: Fraction) -> Iterable[Xml]:
    if then < now:
        raise OutputError(f"two notes of one voice overlap at {then} quarter notes from the start")
    if then > now:
        staff = None if line.staff.label is None else tag("staff", line.staff.label)
        yield tag("forward", line.duration(then - now), tag("voice", line.number), staff)


def _directions(line: VoiceLine, element: Element) -> Iterable[Xml]:
    """Words above the notes (position numeral, barre, reversed plucking pattern), below them planted fingers, loudness.

    Source: MusicXML 4.0 has no element for planting, so it is words, the letters in square brackets; chosen by us.
    """
    if not line.staff.in_full:
        return
    if element.barre is not None:
        yield _barre(line, element.barre, element.onset_quarters in line.barres)
    if element.position is not None:
        yield _words(line, position_numeral(element.position))
    if element.reversal:
        yield _words(line, _REVERSAL)
    if element.planted:
        yield _direction(line, tag("words", f"[{' '.join(element.planted)}]"), placement="below")
    if element.dynamic is not None:
        yield _direction(line, tag("dynamics", tag(element.dynamic.value)), placement="below")


def _barre(line: VoiceLine, barre: BarreSign, lasts: bool) -> Xml:
    """Letter, share of the strings and Roman fret, with a bracket while it lasts, dashed for a hinge.

    Source: MusicXML 4.0 has a barre of its own only in chord diagrams, so over notes it is words and a bracket.
    """
    parts = (barre.letter, barre.fraction, position_numeral(barre.fret))
    words = tag("words", " ".join(part for part in parts if part))
    kind = "dashed" if barre.hinge else "solid"
    line_of_it = tag("bracket", type="start", number=1, line_end="none", line_type=kind) if lasts else None
    return _direction(line, words, line_of_it)


def _hairpin(line: VoiceLine, point: SpanPoint, offset: Fraction) -> Xml:
    """Words, or the beginning or end of a hairpin: a wedge, or its own words with or without dashes."""
    parts = tuple(tag(name, text, **dict(attributes)) for name, text, attributes in point.elements)
    return _direction(line, *parts, placement=point.placement, offset=offset)


def _words(line: VoiceLine, text: str) -> Xml:
    return _direction(line, tag("words", text))


def _direction(line: VoiceLine, *parts: Xml | None, placement: str = "above", offset: Fraction = Fraction(0)) -> Xml:
    """Something above or below the notes; each part has a direction-type of its own."""
    staff = None if line.staff.label is None else tag("staff", line.staff.label)
    types = (tag("direction-type", part) for part in parts if part is not None)
    moved = tag("offset", str(offset * line.divisions)) if offset else None
    return tag("direction", *types, moved, tag("voice", line.number), staff, placement=placement)


def _way(way: Way, staff: Staff) -> Xml:
    """A sign or words that send the player elsewhere, with what they mean for a program that plays."""
    name, value = (way.value, way.value) if way.is_place else _SOUNDS[way]
    shown = tag(way.value) if way.is_place else tag("words", way.value, font_style="italic")
    label = None if staff.label is None else tag("staff", staff.label)
    return tag("direction", tag("direction-type", shown), label, tag("sound", **{name: value}), placement="above")


def _opening_barline(measure: Measure, before: tuple[int, ...]) -> Xml | None:
    """The line before a measure where a repeat or an ending begins; `before` is the ending of the measure before."""
    begins = bool(measure.endings) and measure.endings != before
    if not measure.repeat_start and not begins:
        return None
    style = tag("bar-style", "heavy-light") if measure.repeat_start else None
    repeat = tag("repeat", direction="forward") if measure.repeat_start else None
    return tag("barline", style, _ending(measure, "start") if begins else None, repeat, location="left")


def _closing_barline(measure: Measure, after: tuple[int, ...]) -> Xml | None:
    """The line after a measure; the bracket of an ending that has no repeat sign stays open."""
    ends = bool(measure.endings) and measure.endings != after
    if measure.barline is Barline.PLAIN and not ends:
        return None
    back = measure.barline is Barline.REPEAT_END
    style = None if measure.barline is Barline.PLAIN else tag("bar-style", _BAR_STYLES[measure.barline])
    ending = _ending(measure, "stop" if back else "discontinue") if ends else None
    return tag("barline", style, ending, tag("repeat", direction="backward") if back else None, location="right")


def _ending(measure: Measure, kind: str) -> Xml:
    return tag("ending", number=", ".join(str(number) for number in measure.endings), type=kind)
