"""Signs that a composer prints over notes and bars: touches, words of tempo, and where to go back. Common practice."""

from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction


class Articulation(StrEnum):
    """How a note or chord is touched; the plain accent is a mark of its own."""

    STACCATO = "staccato"
    STACCATISSIMO = "staccatissimo"
    TENUTO = "tenuto"
    MARCATO = "marcato"
    FERMATA = "fermata"
    ROLLED = "rolled"


class Way(StrEnum):
    """Where the player goes at the end of a bar, or (sign and coda) a place to be gone to at its beginning."""

    FINE = "Fine"
    DA_CAPO = "D.C."
    DA_CAPO_AL_FINE = "D.C. al Fine"
    DA_CAPO_AL_CODA = "D.C. al Coda"
    DAL_SEGNO = "D.S."
    DAL_SEGNO_AL_FINE = "D.S. al Fine"
    DAL_SEGNO_AL_CODA = "D.S. al Coda"
    TO_CODA = "To Coda"
    SEGNO = "segno"
    CODA = "coda"

    @property
    def is_place(self) -> bool:
        """True for the signs that stand at the beginning of a bar."""
        return self in (Way.SEGNO, Way.CODA)

    @property
    def goes_back(self) -> bool:
        """True for the words that send the player back."""
        return self.value.startswith("D.")


@dataclass(frozen=True, slots=True)
class Direction:
    """Words over the music, from a list of our own: *Andante*, *poco rit.*; `onset_quarters` is where they begin."""

    onset_quarters: Fraction
    text: str

    def moved(self, quarters: Fraction) -> "Direction":
        """The same, later by so many quarters."""
        return replace(self, onset_quarters=self.onset_quarters + quarters)
