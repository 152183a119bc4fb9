"""Keys and key signatures."""

from dataclasses import dataclass

from engraver.errors import SpellingError
from engraver.theory.pitch import PitchName

MOST_SIGNS = 7
"""Key signatures have at most seven sharps or flats (standard notation)."""


@dataclass(frozen=True, slots=True)
class Key:
    """A major or minor key by its tonic."""

    tonic: PitchName
    minor: bool = False

    @classmethod
    def parse(cls, text: str) -> "Key":
        """The key written `C minor`, `E flat major` or `G` (major). Raises SpellingError.

        >>> Key.parse("C sharp minor").signature_fifths
        4
        """
        words = text.strip()
        mode = words.lower().rsplit(" ", 1)[-1]
        name = words[: -len(mode)].strip() if mode in ("major", "minor") else words
        key = cls(PitchName.parse(name), minor=mode == "minor")
        key.check()
        return key

    @property
    def signature_fifths(self) -> int:
        """Sharps (+) or flats (-) of the signature."""
        return self.tonic.fifths - (3 if self.minor else 0)

    def check(self) -> None:
        """Raises SpellingError when the key has no printable signature, naming its enharmonic neighbour."""
        check_signature(self.tonic, self.signature_fifths, "minor" if self.minor else "major")

    def __str__(self) -> str:
        return f"{self.tonic.words} {'minor' if self.minor else 'major'}"


def check_signature(tonic: PitchName, fifths: int, what: str) -> None:
    """Raises SpellingError when `what` on `tonic` would need more than seven signs."""
    if abs(fifths) <= MOST_SIGNS:
        return
    other = PitchName(tonic.fifths + (12 if fifths < 0 else -12))
    signs = f"{abs(fifths)} {'flats' if fifths < 0 else 'sharps'}"
    raise SpellingError(
        f"{tonic.words} {what} would need a key signature of {signs}",
        hint=f"write {other.words} {what}, which sounds the same",
    )


def signature_alter(letter: str, key_fifths: int) -> int:
    """What a key signature does to a letter: -1, 0 or 1 (F in G major: 1)."""
    natural = PitchName.of(letter).fifths
    if key_fifths > 0:
        return 1 if natural + 1 < key_fifths else 0
    return -1 if natural + 1 >= 7 + key_fifths else 0
