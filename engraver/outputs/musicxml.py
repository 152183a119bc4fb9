"""MusicXML 4.0: a score as a file for notation and practice programs, with every finger, string and fret.

One part, a notation staff (treble, sounding an octave lower) and a tablature staff, or one of them. Pitches are
written as the guitarist reads them, in sounding octaves; with a capo, `transpose` says how much higher they sound.
Source: MusicXML 4.0 schema and its documentation, for the order of elements and the meaning of each.
"""

from collections.abc import Iterable
from fractions import Fraction
from math import lcm

from engraver.errors import OutputError
from engraver.outputs.musicxml_bars import closing_barline, opening_barline, way
from engraver.outputs.musicxml_directions import direction, directions, hairpin
from engraver.outputs.musicxml_head import attributes, changes, opening
from engraver.outputs.musicxml_marks import (
    SpanPoint,
    barre_ends,
    beam_levels,
    slur_ends,
    span_points,
    voice_numbers,
)
from engraver.outputs.musicxml_notes import Staff, VoiceLine, element_xml
from engraver.outputs.musicxml_tree import Xml, file_bytes, tag
from engraver.score.model import Measure, Notation, Score, Voice
from engraver.score.stems import Stems, stems_of

_SOFTWARE = "exercise-engraver"
_PART, _INSTRUMENT = "P1", "P1-I1"
_NYLON_GUITAR = 25  # General MIDI program, counted from 1
_TABLATURE_VOICES = 4  # voices 1 to 3 on the notation staff, 5 to 7 on the tablature
_STEMS = {
    Stems.EITHER: None, Stems.UP: "up", Stems.DOWN: "down", Stems.INNER_UP: "up", Stems.INNER_DOWN: "down",
}  # fmt: skip


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
            opening_barline(measure, score.measures[index - 1].endings if index else ()),
            attributes(score, staves, divisions) if index == 0 else changes(measure, staves),
            *(opening(score) if index == 0 else ()),
            *(way(each, staves[0]) for each in measure.ways if each.is_place),
            *_voices(
                [(line(staff, measure, voice), voice) for staff in staves for voice in measure.voices],
                start,
                end,
                [p for p in points if start <= p.quarters < end or (last and p.quarters >= end)],
            ),
            *(way(each, staves[0]) for each in measure.ways if not each.is_place),
            closing_barline(measure, () if last else score.measures[index + 1].endings),
            number=measure.number,
            implicit="yes" if irregular else None,
        )
        start = end


def _end(voice: Voice) -> Fraction:
    return max((e.onset_quarters + e.value.quarters for e in voice.elements), default=Fraction(0))


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
        yield from directions(line, element)
        until = element.onset_quarters + element.value.quarters
        for point in (p for p in points if element.onset_quarters <= p.quarters < until):
            yield hairpin(line, point, point.quarters - element.onset_quarters)
        yield from element_xml(line, element, levels, element.value.quarters == end - start)
        if line.staff.in_full and element.onset_quarters in line.barres.values():
            yield direction(line, tag("bracket", type="stop", number=1, line_end="down"))
        now = element.onset_quarters + element.value.quarters
    yield from _step(line, now, end)
    for point in (p for p in points if p.quarters >= end):
        yield hairpin(line, point, Fraction(0))


def _step(line: VoiceLine, now: Fraction, then: Fraction) -> Iterable[Xml]:
    if then < now:
        raise OutputError(f"two notes of one voice overlap at {then} quarter notes from the start")
    if then > now:
        staff = None if line.staff.label is None else tag("staff", line.staff.label)
        yield tag("forward", line.duration(then - now), tag("voice", line.number), staff)
