"""An editor's marks as pins for the fingering. What no hand can do is let go, and said."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from engraver.errors import EngraverError
from engraver.fingering.wishes import wishes_of
from engraver.fretboard.limits import LeftHandLimits, Pin
from engraver.fretboard.neck import spots
from engraver.fretboard.tuning import Player
from engraver.reading.guitar import Reading
from engraver.reading.playing import Stroke
from engraver.theory.passage import Passage

if TYPE_CHECKING:
    from engraver.fingering.search import Board


@dataclass(frozen=True, slots=True)
class Pinned:
    """The pins that can be kept, and a remark for each mark that cannot."""

    pins: tuple[Pin, ...]
    remarks: tuple[str, ...]


def workable_pins(passage: Passage, strokes: tuple[Stroke, ...], reading: Reading, player: Player) -> Pinned:
    """The editor's marks as pins; those that contradict the neck, the hand or each other in one chord are let go."""
    from engraver.fingering.candidates import Setting
    from engraver.fingering.costs import cost_table
    from engraver.fingering.search import board_for
    from engraver.fretboard.limits import OpenStrings

    board = board_for(Setting(reading.instrument, player, None), OpenStrings.ALLOW, cost_table())
    wished = [pin for index, stroke in enumerate(strokes) if (pin := _pin(index, stroke, reading))]
    alone = [pin for pin in wished if _possible(passage, [pin.note], [pin], reading, board)]
    kept = tuple(_together(passage, alone, reading, board))
    lost = sorted({pin.note for pin in wished} - {pin.note for pin in kept})
    return Pinned(kept, tuple(_remark(index, strokes, reading, passage) for index in lost))


def _pin(index: int, stroke: Stroke, reading: Reading) -> Pin | None:
    """The pin of a stroke's marks: a fret tells the string where the editor printed none."""
    marks = stroke.marks
    string = marks.string
    if string is None and marks.fret is not None:
        midi = reading.pitch(stroke).sounding_midi
        string = next((s.string for s in spots(reading.instrument, midi) if s.fret == marks.fret), None)
    return Pin(index, string, marks.finger) if string or marks.finger is not None else None


def _together(passage: Passage, pins: list[Pin], reading: Reading, board: "Board") -> Iterable[Pin]:
    """The pins that leave every chord holdable, taken from its lowest note up.

    A chord that cannot be held in any case keeps all its pins, because it will be rolled.
    """
    by_note = {pin.note: pin for pin in pins}
    for event in passage.events:
        chord = list(event)
        own = [by_note[index] for index in chord if index in by_note]
        if len(chord) > 1 and own and not _possible(passage, chord, own, reading, board):
            own = _holdable(passage, chord, own, reading, board)
        yield from own


def _holdable(passage: Passage, chord: list[int], pins: list[Pin], reading: Reading, board: "Board") -> list[Pin]:
    if not _possible(passage, chord, [], reading, board):
        return pins
    kept: list[Pin] = []
    for pin in pins:
        if _possible(passage, chord, [*kept, pin], reading, board):
            kept.append(pin)
    return kept


def _possible(passage: Passage, notes: list[int], pins: list[Pin], reading: Reading, board: "Board") -> bool:
    """True where a hand can hold these notes at once under these pins."""
    from engraver.fingering.events import events_of

    alone = replace(passage, notes=tuple(replace(passage.notes[index], onset_quarters=Fraction(0)) for index in notes))
    moved = tuple(replace(pin, note=notes.index(pin.note)) for pin in pins)
    try:
        wishes = wishes_of(alone, reading.instrument, LeftHandLimits(pins=moved))
    except EngraverError:
        return False
    (event,) = events_of(alone, wishes, reading.instrument.string_count)
    return board.set_id(event.sounds) is not None


def _remark(index: int, strokes: tuple[Stroke, ...], reading: Reading, passage: Passage) -> str:
    marks = strokes[index].marks
    finger = f"finger {marks.finger}" if marks.finger is not None else ""
    string = f"string {marks.string}" if marks.string is not None else f"fret {marks.fret}" if marks.fret else ""
    bar = reading.part.bar_number(strokes[index].lead.bar)
    printed = " on ".join(filter(None, (finger, string)))
    return (
        f"bar {bar}: {passage.notes[index].pitch} cannot be taken with {printed} as printed; planned without the mark"
    )
