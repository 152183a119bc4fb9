"""Where an excerpt's notes come from: a part of a file, or the text in the book; both as timed notes in their bars."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from pathlib import Path

from engraver.errors import SpecError
from engraver.exercises.excerpt_harmonics import harmonic_of
from engraver.fretboard.neck import spots
from engraver.fretboard.tuning import Instrument
from engraver.reading.files import music_in
from engraver.reading.guitar import Reading, guitar_parts, reading_of
from engraver.reading.hairpins import hairpins_of
from engraver.reading.music import NO_MARKS, EditorMarks, ReadBar, ReadMusic, ReadPart, ReadSpanEnd, SpanKind
from engraver.reading.playing import GRACE_QUARTERS, Stroke, strokes_of
from engraver.spec.excerpt import ExcerptSpec
from engraver.theory.passage import Dynamic, Grace, Hairpin, Harmonic, PassageBar
from engraver.theory.pitch import SpelledPitch
from engraver.theory.signs import Articulation, Direction
from engraver.theory.spelling import respell

_NO_NAMES = (".mid", ".midi")
"""Files that tell which key is pressed and when, not which note and which tempo is meant."""
_MOST_NAMED = 6


@dataclass(frozen=True, slots=True)
class SourceNote:
    """A note of the source: `voice` sorts its voices, `bar` counts from 0.

    A grace note has the onset of the note it belongs to, and `before` counts how many places it stands before it.
    """

    pitch: SpelledPitch
    onset_quarters: Fraction
    duration_quarters: Fraction
    voice: tuple[int, str]
    bar: int
    marks: EditorMarks = NO_MARKS
    slurred: bool = False
    accent: bool = False
    articulations: tuple[Articulation, ...] = ()
    grace: Grace | None = None
    before: int = 0
    harmonic: Harmonic | None = None


Loudness = tuple[Fraction, Dynamic]
"""A sign of loudness with its onset in quarters."""


@dataclass(frozen=True, slots=True)
class Source:
    """All notes, bars and signs of the source with its first tempo, and what had to be left out of it."""

    notes: tuple[SourceNote, ...]
    bars: tuple[PassageBar, ...]
    remarks: tuple[str, ...] = ()
    dynamics: tuple[Loudness, ...] = ()
    hairpins: tuple[Hairpin, ...] = ()
    directions: tuple[Direction, ...] = ()
    quarters_a_minute: Fraction | None = None


def source_of(spec: ExcerptSpec, instrument: Instrument) -> Source:
    """The music that an excerpt is cut from.

    Raises EngraverError for a file that cannot be read, SpecError for a part that it lacks.
    """
    if spec.file is None:
        return _written(spec)
    music = file_music(spec)
    source = _from_part(spec, _part(spec, music), instrument)
    if spec.keep_marks and spec.path.suffix.lower() not in _NO_NAMES:
        source = replace(source, quarters_a_minute=music.beats_a_minute)
    others = guitar_parts(music)
    if spec.part is not None or len(others) == 1:
        return source
    number = music.parts.index(others[0]) + 1
    remark = f"part {number} of {len(music.parts)} is taken; another one is asked for with 'part'"
    return replace(source, remarks=(*source.remarks, remark))


def file_music(spec: ExcerptSpec) -> ReadMusic:
    """The music of the excerpt's file, read once for all excerpts from it."""
    return _read(spec.path, spec.digest)


@lru_cache(maxsize=8)
def _read(path: Path, digest: str) -> ReadMusic:
    """The music of a file whose content has this hash."""
    return music_in(path)


def _part(spec: ExcerptSpec, music: ReadMusic) -> ReadPart:
    if spec.part is None:
        return guitar_parts(music)[0]
    names = [part.name for part in music.parts]
    if isinstance(spec.part, int) and spec.part <= len(music.parts):
        return music.parts[spec.part - 1]
    if spec.part in names:
        return music.parts[names.index(str(spec.part))]
    known = ", ".join(f"{number} ({name})" for number, name in enumerate(names, start=1))
    raise SpecError(f"'{spec.file}' has no part {spec.part}", hint=f"its parts are {known}")


def _from_part(spec: ExcerptSpec, part: ReadPart, instrument: Instrument) -> Source:
    struck = strokes_of(part)
    every = _led(struck)
    left_out = len(struck) - len(every)
    remarks = [f"{left_out} grace note{'s' if left_out > 1 else ''} before no note left out"] if left_out else []
    reading = reading_of(part, [stroke for stroke in every if not stroke.marks.harmonic], instrument)
    made = [_source_note(stroke, reading, spec.keep_marks) for stroke in every]
    notes = tuple(note for note in made if note)
    if len(notes) < len(made):
        remarks.append(f"{len(made) - len(notes)} harmonics are left out, since the file does not tell what sounds")
    shift = part.transposition.fifths + reading.shift.fifths
    keys = [None if bar.key_fifths is None else _nearest_signature(bar.key_fifths + shift) for bar in part.bars]
    named = _respelled(notes, keys) if _wants_names(spec) else notes
    usual = _fitting_signature(named) if None in keys else 0
    bars = tuple(
        _bar(bar, usual if key is None else key, spec.keep_marks) for bar, key in zip(part.bars, keys, strict=True)
    )
    if reading.remark:
        remarks.append(reading.remark)
    dynamics, unusual = _dynamics(part) if spec.keep_marks else ((), ())
    return Source(named, bars, (*remarks, *unusual), dynamics, *_spans(part, spec.keep_marks))


def _source_note(stroke: Stroke, reading: Reading, keep: bool) -> SourceNote | None:
    """The note of a stroke; None for a harmonic of which the file does not tell enough."""
    pitch, harmonic = reading.pitch(stroke), None
    marks = stroke.marks
    if marks.harmonic:
        found = harmonic_of(marks, pitch, reading.instrument)
        if found is None:
            return None
        harmonic, pitch, string = found
        marks = replace(marks, string=string, fret=None)
    else:
        marks = _with_string(stroke, pitch, reading.instrument)
    return SourceNote(
        pitch,
        stroke.lead.onset_quarters,
        stroke.duration_quarters,
        (stroke.lead.staff, stroke.lead.voice.rjust(4)),
        stroke.lead.bar,
        marks,
        stroke.slurred,
        any(head.accent for head in stroke.heads),
        _touches(stroke) if keep else (),
        _grace(stroke),
        int((stroke.lead.onset_quarters - stroke.onset_quarters) / GRACE_QUARTERS) if stroke.lead.grace else 0,
        harmonic,
    )


def _led(strokes: Sequence[Stroke]) -> list[Stroke]:
    """The strokes without grace notes that stand before nothing of their voice."""
    struck = {(s.lead.staff, s.lead.voice, s.lead.onset_quarters) for s in strokes if not s.lead.grace}
    return [s for s in strokes if not s.lead.grace or (s.lead.staff, s.lead.voice, s.lead.onset_quarters) in struck]


def _grace(stroke: Stroke) -> Grace | None:
    if not stroke.lead.grace:
        return None
    return Grace.SHORT if stroke.lead.stroke_through else Grace.LEANING


def _spans(part: ReadPart, keep: bool) -> tuple[tuple[Hairpin, ...], tuple[Direction, ...]]:
    return (part.hairpins, part.directions) if keep else ((), ())


def _bar(bar: ReadBar, key_fifths: int, keep: bool) -> PassageBar:
    plain = PassageBar(bar.onset_quarters, bar.length_quarters, bar.metre, key_fifths, bar.number)
    if not keep:
        return plain
    plain = replace(plain, repeat_start=bar.repeat_start, repeat_end=bar.repeat_end, double=bar.double)
    return replace(plain, endings=bar.endings, ways=bar.ways)


def _touches(stroke: Stroke) -> tuple[Articulation, ...]:
    """The signs of all the heads of a stroke, with those tied to them."""
    heads = (*stroke.heads, *stroke.continued)
    return tuple(touch for touch in Articulation if any(touch in head.articulations for head in heads))


def _dynamics(part: ReadPart) -> tuple[tuple[Loudness, ...], tuple[str, ...]]:
    """The signs of loudness in order, one an onset, and a remark on unusual signs."""
    usual = {sign.value: sign for sign in Dynamic}
    found: dict[Fraction, Dynamic] = {}
    strange = [read.sign for read in part.dynamics if read.sign not in usual]
    for read in part.dynamics:
        if read.sign in usual:
            found.setdefault(read.onset_quarters, usual[read.sign])
    names = ", ".join(sorted(set(strange))[:_MOST_NAMED])
    remarks = (f"signs of loudness that we do not print are left out: {names}",) if strange else ()
    return tuple(sorted(found.items())), remarks


def _with_string(stroke: Stroke, pitch: SpelledPitch, instrument: Instrument) -> EditorMarks:
    """The stroke's marks; a fret tells a missing string, and marks that the neck refuses are left out."""
    marks = stroke.marks
    places = spots(instrument, pitch.sounding_midi)
    if marks.string is None and marks.fret is not None:
        marks = replace(marks, string=next((spot.string for spot in places if spot.fret == marks.fret), None))
    fitting = [spot for spot in places if marks.string in (None, spot.string)]
    if not fitting:
        return replace(marks, string=None, finger=None)
    open_only, no_open = all(s.fret == 0 for s in fitting), all(s.fret > 0 for s in fitting)
    if marks.finger is not None and (no_open if marks.finger == 0 else open_only):
        return replace(marks, finger=None)
    return marks


def _wants_names(spec: ExcerptSpec) -> bool:
    return spec.path.suffix.lower() in _NO_NAMES if spec.respell is None else spec.respell


def _respelled(notes: tuple[SourceNote, ...], keys: Sequence[int | None]) -> tuple[SourceNote, ...]:
    """The notes named by context, in the keys that the file states."""
    timed = [(note.onset_quarters, note.duration_quarters, int(note.pitch.sounding_midi)) for note in notes]
    stated = [keys[note.bar] for note in notes]
    known = [key for key in stated if key is not None]
    named = respell(timed, known if len(known) == len(stated) else None)
    return tuple(replace(note, pitch=pitch) for note, pitch in zip(notes, named, strict=True))


def _nearest_signature(fifths: int) -> int:
    """The signature with at most seven signs that sounds the same."""
    return fifths - 12 * round(fifths / 12) if abs(fifths) > 7 else fifths


def _fitting_signature(notes: tuple[SourceNote, ...]) -> int:
    """The signature that leaves fewest notes with a sign of their own; between equals the simplest."""
    fifths = [note.pitch.name.fifths for note in notes]

    def strange(key: int) -> tuple[int, int]:
        return sum(not -1 <= name - key <= 5 for name in fifths), abs(key)

    return min(range(-7, 8), key=strange)


def _written(spec: ExcerptSpec) -> Source:
    """The music written in the book."""
    notes = [
        SourceNote(pitch, note.onset_quarters, note.duration_quarters, (number, ""), 0)
        for number, voice in enumerate(spec.written(), start=1)
        for note in voice
        for pitch in note.pitches
    ]
    notes.sort(key=lambda note: (note.onset_quarters, note.pitch.sounding_midi))
    length = spec.metre.bar_quarters
    end = max(note.onset_quarters + note.duration_quarters for voice in spec.written() for note in voice)
    if spec.respell:
        notes = list(_respelled(tuple(notes), [spec.key.signature_fifths if spec.key else None]))
    key = spec.key.signature_fifths if spec.key else _fitting_signature(tuple(notes))
    count = max(1, -int(-end // length))
    bars = tuple(PassageBar(number * length, length, spec.metre, key, str(number + 1)) for number in range(count))
    placed = tuple(replace(note, bar=int(note.onset_quarters // length)) for note in notes)
    dynamics = {
        note.onset_quarters: note.dynamic for voice in reversed(spec.written()) for note in voice if note.dynamic
    }
    return Source(placed, bars, dynamics=tuple(sorted(dynamics.items())), hairpins=_written_hairpins(spec, end))


def _written_hairpins(spec: ExcerptSpec, end: Fraction) -> tuple[Hairpin, ...]:
    """The hairpins written in the book: each ends at the next sign of loudness, at its own end sign, or with all."""
    notes = [note for voice in spec.written() for note in voice]
    points = [ReadSpanEnd(SpanKind.WEDGE, "", n.onset_quarters, n.grows) for n in notes if n.hairpin]
    signs = {note.onset_quarters for note in notes if note.dynamic}
    stops = [ReadSpanEnd(SpanKind.WEDGE, "", onset) for onset in signs]
    return hairpins_of([*stops, *points], sorted(signs), end)
