"""A MusicXML tree as values: parts, bars and notes in time.

Source: MusicXML 4.0 schema and its documentation. `pitch` is as written; `transpose` leads to what sounds; an octave
in the clef changes nothing, because pitches under such a clef are already written as they sound.
"""

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

from engraver.errors import EngraverError, Place
from engraver.reading.hairpins import hairpins_of
from engraver.reading.measures import PartReader, RawBar, number_of
from engraver.reading.music import ReadBar, ReadMusic, ReadNote, ReadPart
from engraver.theory.signs import Way

if TYPE_CHECKING:
    from lxml.etree import _Element, _ElementTree

_BEATS = {"whole": Fraction(4), "half": Fraction(2), "quarter": Fraction(1), "eighth": Fraction(1, 2)}


def music_of(tree: "_ElementTree", file: str) -> ReadMusic:
    """The music of a partwise MusicXML tree. Raises EngraverError with the line of what cannot be read."""
    root = tree.getroot()
    readers = [PartReader(part, index, file) for index, part in enumerate(root.findall("part"))]
    if not readers:
        raise EngraverError("the file has no part", Place(file), "save or fetch it anew")
    raw = [reader.bars() for reader in readers]
    lengths = _lengths(raw)
    labels = {part.get("id", ""): part for part in root.iterfind("part-list/score-part")}
    parts = tuple(
        _part(reader, bars, lengths, labels.get(reader.id)) for reader, bars in zip(readers, raw, strict=True)
    )
    return ReadMusic(
        file,
        title=_text(root, "work/work-title") or _text(root, "movement-title"),
        composer=_creator(root, "composer"),
        rights=" ".join(_texts(root.iterfind("identification/rights"))),
        source=_text(root, "identification/source"),
        parts=parts,
        beats_a_minute=_tempo(root),
    )


def _lengths(raw: list[list[RawBar]]) -> list[Fraction]:
    """The length of each measure: of its fullest part, or of its metre where no part has anything.

    A last note that is written longer than its bar does not lengthen the bar; notes that begin beyond its end do.
    """
    count = max(map(len, raw))
    lengths = []
    for index in range(count):
        here = [bars[index] for bars in raw if index < len(bars)]
        filled, whole = max(bar.filled for bar in here), here[0].metre.bar_quarters
        begun = max((note.onset_quarters for bar in here for note in bar.notes), default=Fraction(0))
        lengths.append(whole if filled > whole > begun or not filled else filled)
    return lengths


def _part(reader: PartReader, raw: list[RawBar], lengths: list[Fraction], about: "_Element | None") -> ReadPart:
    onset, bars, notes, dynamics, spans, directions = Fraction(0), [], [], [], [], []
    for bar, length in zip(raw, lengths, strict=False):
        bars.append(_bar(bar, onset, length))
        directions += [direction.moved(onset) for direction in bar.directions]
        notes += [note.later(onset) for note in bar.notes]
        dynamics += [replace(sign, onset_quarters=onset + sign.onset_quarters) for sign in bar.dynamics]
        spans += [replace(end, onset_quarters=onset + end.onset_quarters) for end in bar.spans]
        onset += length
    program = about.findtext("midi-instrument/midi-program") if about is not None else None
    return ReadPart(
        name=_text(about, "part-name") if about is not None else "",
        notes=_with_copies_named(notes, reader.tablature_staves),
        bars=tuple(bars),
        tuning=reader.tuning,
        retuned=reader.retuned,
        capo=reader.capo,
        transposition=reader.transposition,
        octave_clef=reader.octave_clef,
        has_tablature=bool(reader.tablature_staves),
        program=int(program) - 1 if program and program.strip().isdigit() else None,
        dynamics=tuple(dynamics),
        directions=tuple(directions),
        hairpins=hairpins_of(spans, [sign.onset_quarters for sign in dynamics], onset),
    )


def _bar(bar: RawBar, onset: Fraction, length: Fraction) -> ReadBar:
    signs = bar.signs
    ways = tuple(way for way in Way if way in signs.ways)
    ends = (signs.repeat_start, signs.repeat_end, signs.double, signs.endings)
    return ReadBar(bar.number, onset, length, bar.metre, bar.key_fifths, bar.minor, *ends, ways)


def _with_copies_named(notes: list[ReadNote], tablature: frozenset[int]) -> tuple[ReadNote, ...]:
    """The notes, those on a tablature staff marked as copies where the part has a notation staff too."""
    if not any(note.staff not in tablature for note in notes):
        return tuple(notes)
    return tuple(replace(note, tablature=True) if note.staff in tablature else note for note in notes)


def _text(element: "_Element", path: str) -> str:
    return " ".join((element.findtext(path) or "").split())


def _texts(elements: "Iterable[_Element]") -> list[str]:
    found = [" ".join((element.text or "").split()) for element in elements]
    return [text for text in found if text]


def _creator(root: "_Element", kind: str) -> str:
    creators = root.findall("identification/creator")
    return ", ".join(_texts(element for element in creators if element.get("type", kind) == kind))


def _tempo(root: "_Element") -> Fraction | None:
    """Quarter notes a minute at the beginning, where the file says so."""
    for element in root.iter("sound", "metronome"):
        if element.tag == "sound":
            tempo = number_of(element.get("tempo"))
        else:
            beat = _BEATS.get(element.findtext("beat-unit") or "", Fraction(0))
            beat *= Fraction(3, 2) if element.find("beat-unit-dot") is not None else 1
            tempo = (number_of(element.findtext("per-minute")) or Fraction(0)) * beat
        if tempo and 0 < tempo < 1000:
            return tempo
    return None
