"""Names by context for a music file: every note whose name changes, with the reason, and the signs that follow."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from engraver.editing.edited import Edited
from engraver.editing.patching import Sheet, put_pitch, put_sign
from engraver.errors import EngraverError, Place
from engraver.reading.files import MusicFile, read_music
from engraver.reading.music import ReadNote, ReadPart
from engraver.reading.playing import Stroke, strokes_of
from engraver.theory.key import signature_alter
from engraver.theory.pitch import SpelledPitch
from engraver.theory.spelling import Respelling, spelling_reasons

MOST_ALTER = 2
MOST_STRANGE_SHARE = 0.25
"""A signature that so many notes contradict tells nothing: files without a key often bear an empty one (our choice)."""
_Line = tuple[int, str, int]


@dataclass(frozen=True, slots=True)
class _Change:
    """A note head with its new written pitch."""

    note: ReadNote
    part: ReadPart
    pitch: SpelledPitch


def respell_file(path: Path) -> Edited:
    """The music of a file with every note named by its context; the remarks list each change with its reason.

    Raises EngraverError, with file and place, for what cannot be read.
    """
    file = read_music(path)
    if not any(part.notes for part in file.music.parts):
        raise EngraverError("the file has no notes", Place(str(path)), "check that it is the file you mean")
    changes, remarks = [], []
    for part, stroke, respelling in _respellings(file):
        for head in (*stroke.heads, *stroke.continued):
            written = respelling.spelled.up(-part.transposition)
            if written != head.pitch and abs(written.name.alter) <= MOST_ALTER:
                changes.append(_Change(head, part, written))
        remarks.append(_remark(file, part, stroke.lead, respelling))
    sheet = Sheet(file)
    uses_signs = file.tree.getroot().find("part/measure/note/accidental") is not None
    for change in changes:
        put_pitch(
            sheet.note(change.note.handle), change.pitch.name.letter, change.pitch.name.alter, change.pitch.octave
        )
    if uses_signs:
        _put_signs(sheet, file, changes)
    return Edited(sheet.data() if changes or file.converted else file.data, len(changes), tuple(remarks))


def _respellings(file: MusicFile) -> Iterable[tuple[ReadPart, Stroke, Respelling]]:
    """What context says against the given names; heads tied to a note, and its copies, follow it."""
    strokes = [(part, stroke) for part in file.music.parts for stroke in strokes_of(part)]
    notes, given = [], []
    for _, stroke in strokes:
        assert stroke.lead.sounding is not None
        length = Fraction(0) if stroke.lead.grace else stroke.duration_quarters
        notes.append((stroke.onset_quarters, length, int(stroke.lead.sounding.sounding_midi)))
        given.append(stroke.lead.sounding)
    keys = _keys([(part, stroke.lead) for part, stroke in strokes])
    for respelling in spelling_reasons(notes, given, keys):
        yield (*strokes[respelling.index], respelling)


def _keys(heads: Sequence[tuple[ReadPart, ReadNote]]) -> list[int] | None:
    """The key signature at each note as it sounds; None where the file has none, or one that the notes contradict."""
    keys: list[int] = []
    for part, note in heads:
        written = part.bars[note.bar].key_fifths
        if written is None:
            return None
        sounding = written + part.transposition.fifths
        keys.append(sounding - 12 * round(sounding / 12) if abs(sounding) > 7 else sounding)
    if any(abs(key) > 7 for key in keys):
        return None
    strange = sum(not _in_signature(note.sounding, key) for (_, note), key in zip(heads, keys, strict=True))
    return keys if strange <= MOST_STRANGE_SHARE * len(keys) else None


def _in_signature(pitch: SpelledPitch | None, fifths: int) -> bool:
    """True where the key has a note that sounds so."""
    assert pitch is not None
    return (pitch.sounding_midi * 7 + 1 - fifths) % 12 < 7


def _remark(file: MusicFile, part: ReadPart, note: ReadNote, change: Respelling) -> str:
    where = f"{file.path}:{note.handle.line}" if not file.converted else str(file.path)
    name = f"{part.name}, " if part.name and len(file.music.parts) > 1 else ""
    return f"{where}: {name}bar {part.bar_number(note.bar)}: {change}"


def _put_signs(sheet: Sheet, file: MusicFile, changes: list[_Change]) -> None:
    """The printed signs of the changed notes, and of later notes in the bar that would otherwise be misread."""
    bars = sorted({(change.note.handle.part, change.note.bar) for change in changes})
    new = {change.note.handle: change.pitch for change in changes}
    for number, bar in bars:
        part = file.music.parts[number]
        state: dict[_Line, int] = {}
        touched: set[_Line] = set()
        here = [note for note in part.notes if note.bar == bar and note.pitch is not None and not note.tablature]
        for note in sorted(here, key=lambda n: (n.onset_quarters, not n.grace, n.handle.item)):
            pitch = new.get(note.handle, note.pitch)
            assert pitch is not None
            assert note.pitch is not None
            line = (note.staff, pitch.name.letter, pitch.octave)
            usual = signature_alter(pitch.name.letter, part.bars[bar].key_fifths or 0)
            needed = pitch.name.alter != state.get(line, usual) and not note.tie_stop
            element = sheet.note(note.handle)
            if note.handle in new:
                put_sign(element, pitch.name.alter if needed else None)
                touched |= {line, (note.staff, note.pitch.name.letter, note.pitch.octave)}
            elif line in touched and needed and element.find("accidental") is None:
                put_sign(element, pitch.name.alter)
            if not note.tie_stop:
                state[line] = pitch.name.alter
