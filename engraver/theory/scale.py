"""Scales: spelled pitches up and down from a tonic, as tables/scales.yaml says."""

from dataclasses import dataclass
from functools import cache
from typing import Literal

from pydantic import BaseModel, ConfigDict

from engraver.tables import Table, read_table
from engraver.theory.degrees import degree_intervals
from engraver.theory.key import check_signature
from engraver.theory.pitch import OCTAVE, Interval, Midi, PitchName, SpelledPitch, pitch_at_or_above


class ScaleRow(BaseModel):
    """One row of the scale table."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    up: tuple[str, ...]
    down: tuple[str, ...] = ()
    signature: int | Literal["none"]


class ScaleTable(Table):
    """The scale table."""

    scales: dict[str, ScaleRow]


@cache
def scale_names() -> tuple[str, ...]:
    """The names of all scales, in the table's order."""
    return tuple(read_table("scales", ScaleTable).scales)


@dataclass(frozen=True, slots=True)
class Scale:
    """A scale on a tonic: the intervals of one octave above the tonic, going up and going down."""

    tonic: PitchName
    name: str
    up: tuple[Interval, ...]
    down: tuple[Interval, ...]
    key_fifths: int

    @property
    def differs_down(self) -> bool:
        """True where the way down takes other notes."""
        return self.up != self.down

    def line_up(self, lowest: Midi, highest: Midi) -> tuple[SpelledPitch, ...]:
        """The ascending form from the first note not below `lowest` to the last not above `highest`."""
        return self._between(self.up, lowest, highest)

    def line_down(self, lowest: Midi, highest: Midi) -> tuple[SpelledPitch, ...]:
        """The descending form over the same range, from the top downwards."""
        return tuple(reversed(self._between(self.down, lowest, highest)))

    def _between(self, form: tuple[Interval, ...], lowest: Midi, highest: Midi) -> tuple[SpelledPitch, ...]:
        root = pitch_at_or_above(self.tonic, Midi(lowest - 24))
        pitches: list[SpelledPitch] = []
        while root.sounding_midi <= highest + 12:
            pitches += [root.up(interval) for interval in form]
            root = root.up(OCTAVE)
        return tuple(pitch for pitch in pitches if lowest <= pitch.sounding_midi <= highest)


def scale(name: str, tonic: PitchName) -> Scale:
    """The named scale on a tonic; each degree keeps its own letter.

    Raises SpellingError when the key signature would need more than seven signs.
    Source: the degree rule (common-practice theory); see tables/scales.yaml for each scale.

    >>> [str(p) for p in scale("harmonic minor", PitchName.parse("G#")).line_up(Midi(56), Midi(67))][-2:]
    ['E4', 'F##4']
    """
    row = read_table("scales", ScaleTable).scales[name]
    fifths = 0 if row.signature == "none" else tonic.fifths + row.signature
    check_signature(tonic, fifths, name)
    up = _fewest_signs(tonic, row.up)
    down = _fewest_signs(tonic, row.down) if row.down else up
    return Scale(tonic, name, up, down, fifths)


def other_spelling(name: str, tonic: PitchName) -> tuple[PitchName, ...]:
    """The notes of a symmetric scale in the next best spelling, empty for a scale that is spelled in one way only.

    >>> " ".join(str(name) for name in other_spelling("whole tone", PitchName.parse("C")))
    'C D E F# G# Bb'
    """
    formulas = read_table("scales", ScaleTable).scales[name].up
    if len(formulas) < 2:
        return ()
    chosen = _fewest_signs(tonic, formulas)
    others = tuple(formula for formula in formulas if degree_intervals(formula) != chosen)
    return tuple(PitchName(tonic.fifths + step.fifths) for step in _fewest_signs(tonic, others))


def _fewest_signs(tonic: PitchName, formulas: tuple[str, ...]) -> tuple[Interval, ...]:
    """The formula whose notes carry the fewest sharps and flats; the first on a tie."""
    forms = [degree_intervals(formula) for formula in formulas]
    return min(forms, key=lambda form: sum(abs(PitchName(tonic.fifths + step.fifths).alter) for step in form))
