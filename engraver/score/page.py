"""The measures of a page and of its music, in millimetres and points."""

from dataclasses import dataclass

PT_PER_MM = 72.27 / 25.4


@dataclass(frozen=True, slots=True)
class StringName:
    """An open string in the book's language: its letter, and the sign after it in semitones (-1 flat, 1 sharp)."""

    letter: str
    sign: int = 0


@dataclass(frozen=True, slots=True)
class EngravingStyle:
    """What the music engraver must know of the page: staff height in points and line width in mm.

    `measures_per_system` fixes the number of measures a system, 0 = as they fit. `little_finger_letter` is the
    letter printed for the plucking little finger, `barre_letter` the one for a barre. `open_strings` names the strings
    at the head of a tablature, string 1 first; empty where the tuning is the usual one.
    """

    staff_size_pt: float = 18.0
    line_width_mm: float = 170.0
    measures_per_system: int = 0
    little_finger_letter: str = "c"
    barre_letter: str = "C"
    open_strings: tuple[StringName, ...] = ()


@dataclass(frozen=True, slots=True)
class PageStyle:
    """A sheet of paper and its margins, in mm; `inner` is the binding side."""

    width_mm: float = 210.0
    height_mm: float = 297.0
    inner_mm: float = 20.0
    outer_mm: float = 20.0
    top_mm: float = 22.0
    bottom_mm: float = 20.0

    @property
    def line_width_mm(self) -> float:
        """The width of the text and of the music."""
        return self.width_mm - self.inner_mm - self.outer_mm
