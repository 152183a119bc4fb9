"""The events of a passage as the written pieces that stand in its bars, voice by voice."""

from dataclasses import dataclass, replace
from fractions import Fraction

from engraver.fingering.fingered import FingeredPassage
from engraver.score.model import NoteValue
from engraver.score.values import written_values
from engraver.theory.passage import PassageBar


@dataclass(frozen=True, slots=True)
class Part:
    """A written piece of an event inside one bar, numbered from 0."""

    bar: int
    onset: Fraction
    value: NoteValue
    notes: tuple[int, ...]
    first: bool
    last: bool


class Bars:
    """The bars of a passage, and which of them a time lies in; `grid_starts`: where their beats are counted from."""

    def __init__(self, bars: tuple[PassageBar, ...]) -> None:
        self.all = bars
        self._starts = [bar.onset_quarters for bar in bars]
        self._ends = [bar.end_quarters for bar in bars]
        self.grid_starts = [self._grid_start(number) for number in range(len(bars))]

    def number_at(self, quarters: Fraction, since: int = 0) -> int:
        """The number of the bar, from 0, in which a time lies; it does not lie before the bar `since`."""
        while since + 1 < len(self._starts) and self._starts[since + 1] <= quarters:
            since += 1
        return since

    def end_of(self, number: int) -> Fraction | None:
        """Where the next bar begins; None for the last bar, which holds what is left."""
        return self._ends[number] if number + 1 < len(self.all) else None

    def _grid_start(self, number: int) -> Fraction:
        """An upbeat counts as the end of a whole bar."""
        bar = self.all[number]
        return bar.end_quarters - bar.metre.bar_quarters if self.is_upbeat(number) else bar.onset_quarters

    def is_upbeat(self, number: int) -> bool:
        """True for a first bar that is shorter than its metre."""
        bar = self.all[number]
        return number == 0 and len(self.all) > 1 and bar.length_quarters < bar.metre.bar_quarters


def from_zero(fingered: FingeredPassage) -> FingeredPassage:
    """The passage moved so that its first bar begins at 0."""
    passage = fingered.passage
    start = passage.bars[0].onset_quarters if passage.bars else Fraction(0)
    if not start:
        return fingered
    notes = tuple(replace(note, onset_quarters=note.onset_quarters - start) for note in passage.notes)
    bars = tuple(replace(bar, onset_quarters=bar.onset_quarters - start) for bar in passage.bars)
    places = tuple(replace(place, note=note) for place, note in zip(fingered.notes, notes, strict=True))
    hairpins = tuple(hairpin.moved(-start) for hairpin in passage.hairpins)
    directions = tuple(words.moved(-start) for words in passage.directions)
    moved = replace(passage, notes=notes, bars=bars, hairpins=hairpins, directions=directions)
    return replace(fingered, passage=moved, notes=places)


def parts_of(fingered: FingeredPassage, bars: Bars, voice: int) -> list[Part]:
    """The events of one voice as written values, split at barlines and beats."""
    passage = fingered.passage
    out: list[Part] = []
    begun = 0
    for indices in _voice_events(fingered, voice):
        note = passage.notes[indices[0]]
        onset, end = note.onset_quarters, note.onset_quarters + note.duration_quarters
        pieces: list[tuple[int, Fraction, NoteValue]] = []
        number = begun = bars.number_at(onset, begun)
        while True:
            barline = bars.end_of(number)
            crosses = barline is not None and barline < end
            stop = barline if crosses and barline is not None else end
            for value in written_values(onset - bars.grid_starts[number], stop - onset, bars.all[number].metre):
                pieces.append((number, onset, value))
                onset += value.quarters
            if not crosses:
                break
            number += 1
        for index, (bar, start, value) in enumerate(pieces):
            out.append(Part(bar, start, value, indices, index == 0, index == len(pieces) - 1))
    return out


def by_bar(parts: list[Part]) -> dict[int, list[Part]]:
    """The parts of a voice by the number of their bar, from 0."""
    out: dict[int, list[Part]] = {}
    for part in parts:
        out.setdefault(part.bar, []).append(part)
    return out


def _voice_events(fingered: FingeredPassage, voice: int) -> list[tuple[int, ...]]:
    notes = fingered.passage.notes
    events = fingered.passage.events
    own = (tuple(i for i in event if notes[i].voice == voice and not notes[i].grace) for event in events)
    return [event for event in own if event]


def grace_events(fingered: FingeredPassage) -> dict[int, tuple[tuple[int, ...], ...]]:
    """The grace notes before each chord of a voice, by the first note of that chord."""
    notes = fingered.passage.notes
    out: dict[int, tuple[tuple[int, ...], ...]] = {}
    waiting: dict[int, list[tuple[int, ...]]] = {}
    for event in fingered.passage.events:
        for voice in {notes[i].voice for i in event}:
            graces = tuple(i for i in event if notes[i].voice == voice and notes[i].grace)
            plain = [i for i in event if notes[i].voice == voice and not notes[i].grace]
            if graces:
                waiting.setdefault(voice, []).append(graces)
            if plain and voice in waiting:
                out[plain[0]] = tuple(waiting.pop(voice))
    return out
