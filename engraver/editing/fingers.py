"""Fingers for a music file: what is missing is filled in, what the editor printed is kept and obeyed."""

from collections.abc import Iterable
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from engraver.editing.edited import Edited
from engraver.editing.guitars import PlayerWishes, instrument_for, player_for
from engraver.editing.patching import Sheet, put_marks
from engraver.editing.pins import Pinned, workable_pins
from engraver.errors import EngraverError, Place
from engraver.fingering.finger import finger
from engraver.fingering.fingered import BREAKING, FingeredNote, FingeredPassage
from engraver.fretboard.limits import LeftHandLimits
from engraver.fretboard.tuning import Player
from engraver.reading.files import MusicFile, read_music
from engraver.reading.guitar import Reading, check_range, guitar_parts, reading_of
from engraver.reading.music import ReadNote
from engraver.reading.playing import Stroke, strokes_of
from engraver.theory.graces import released_for_graces
from engraver.theory.passage import Grace, Note, Passage

if TYPE_CHECKING:
    from engraver.reading.music import ReadPart

NO_MARKS: dict[str, str] = {}


def finger_file(path: Path, wishes: PlayerWishes) -> Edited:
    """The music of a file with fretting fingers, strings, frets and plucking letters for every note.

    Raises EngraverError, with file and bar, for what cannot be read or does not lie on the guitar.
    """
    file, player = read_music(path), player_for(wishes)
    sheet = Sheet(file)
    changed, remarks = 0, []
    for part in guitar_parts(file.music):
        fingered, said = finger_part(file, part, wishes, player)
        remarks += said
        for stroke, note in fingered:
            changed += _write(sheet, stroke, note, wishes.replace)
    return Edited(sheet.data() if changed or file.converted else file.data, changed, tuple(remarks))


def finger_part(
    file: MusicFile, part: "ReadPart", wishes: PlayerWishes, player: Player
) -> tuple[list[tuple[Stroke, FingeredNote]], list[str]]:
    """Every stroke of a part with its fingers, and remarks. Raises EngraverError as `finger_file` does."""
    instrument = instrument_for(part, wishes, str(file.path))
    every = strokes_of(part)
    strokes = tuple(stroke for stroke in every if not stroke.marks.harmonic)
    reading = reading_of(part, strokes, instrument)
    check_range(reading, strokes, str(file.path), lines=not file.converted)
    remarks = [f"{file.path}: {reading.remark}"] if reading.remark else []
    if len(strokes) < len(every):
        remarks.append(f"{file.path}: {len(every) - len(strokes)} harmonics are left as they are")
    if not strokes:
        return [], remarks
    passage = passage_of(reading, strokes, keep_letters=not wishes.replace)
    pinned = Pinned((), ()) if wishes.replace else workable_pins(passage, strokes, reading, player)
    remarks += [f"{file.path}: {remark}" for remark in pinned.remarks]
    done = _fingered(passage, reading, player, LeftHandLimits(pins=pinned.pins), file)
    remarks += [f"{file.path}: {remark}" for remark in _rolled(done, strokes, part)]
    return list(zip(strokes, done.notes, strict=True)), remarks


def passage_of(reading: Reading, strokes: tuple[Stroke, ...], keep_letters: bool = True) -> Passage:
    """The strokes as a passage that begins on a bar line; a short first bar counts as an upbeat."""
    bars = reading.part.bars
    voices = {key: number for number, key in enumerate(sorted({_voice_key(s) for s in strokes}), start=1)}
    upbeat = bars[0].metre.bar_quarters - bars[0].length_quarters
    shift = upbeat if 0 < upbeat < bars[0].metre.bar_quarters else Fraction(0)
    notes = tuple(
        Note(
            reading.pitch(stroke),
            stroke.onset_quarters + shift,
            stroke.duration_quarters,
            voices[_voice_key(stroke)],
            plucking=stroke.marks.plucking if keep_letters else None,
            slurred=stroke.slurred,
            grace=Grace.SHORT if stroke.lead.grace else None,
        )
        for stroke in strokes
    )
    return Passage(released_for_graces(notes), bars[0].key_fifths or 0, bars[0].metre, repertoire=True)


def _voice_key(stroke: Stroke) -> tuple[int, int, str]:
    voice = stroke.lead.voice
    return stroke.lead.staff, int(voice) if voice.isdigit() else 0, voice


def _fingered(
    passage: Passage, reading: Reading, player: Player, limits: LeftHandLimits, file: MusicFile
) -> FingeredPassage:
    """Both hands; an error is told with the file."""
    try:
        return finger(passage, reading.instrument, player, limits)
    except EngraverError as error:
        raise error.at(Place(str(file.path))) from error


def _rolled(done: FingeredPassage, strokes: tuple[Stroke, ...], part: "ReadPart") -> Iterable[str]:
    """The chords that no hand holds at once."""
    for cost in done.account:
        if cost.name == BREAKING:
            stroke = strokes[cost.note]
            bar = part.bar_number(stroke.lead.bar)
            yield f"bar {bar}: no hand holds the chord under {done.notes[cost.note].note.pitch} at once; it is rolled"


def _write(sheet: Sheet, stroke: Stroke, note: FingeredNote, anew: bool) -> int:
    """Writes a note's marks on all its heads; gives how many heads changed."""
    marks = {"fingering": str(note.left_finger), "string": str(note.string), "fret": str(note.fret)}
    letter = {"pluck": note.plucking.value} if note.plucking else NO_MARKS
    changed = 0
    for head in stroke.heads:
        changed += put_marks(sheet.note(head.handle), _for(head, {**marks, **letter}), anew)
    for head in stroke.continued:
        changed += put_marks(sheet.note(head.handle), _for(head, marks), anew)
    return changed


def _for(head: ReadNote, marks: dict[str, str]) -> dict[str, str]:
    """A tablature copy bears string and fret alone."""
    return {name: marks[name] for name in ("string", "fret")} if head.tablature else marks
