"""A scale as a ladder: its pitches by step, so that patterns and second voices can be read off it."""

from dataclasses import dataclass

from engraver.fretboard.tuning import Instrument
from engraver.theory.pitch import Midi, SpelledPitch
from engraver.theory.scale import Scale


@dataclass(frozen=True, slots=True)
class Ladder:
    """The pitches of one form of a scale over the whole instrument, and the step on which a line begins."""

    pitches: tuple[SpelledPitch, ...]
    first: int

    def at(self, step: int) -> SpelledPitch | None:
        """The pitch so many steps above the first, None outside the instrument."""
        index = self.first + step
        return self.pitches[index] if 0 <= index < len(self.pitches) else None


def ladder(scale: Scale, lowest: SpelledPitch, instrument: Instrument, descending: bool = False) -> Ladder:
    """The scale's ascending (or descending) form as a ladder that begins on `lowest`, a tonic."""
    span = Midi(instrument.highest + 12)
    bottom = Midi(lowest.sounding_midi - 24)
    line = scale.line_down(bottom, span)[::-1] if descending else scale.line_up(bottom, span)
    return Ladder(line, line.index(lowest))


def steps_in(scale: Scale, octaves: int) -> int:
    """How many steps lie between the tonic and the tonic so many octaves above."""
    return len(scale.up) * octaves
