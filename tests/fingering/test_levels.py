"""What the presets by level change on paper. Source: the families of exercise by level, common practice, from memory."""

from engraver.fingering.finger import finger
from engraver.fretboard.limits import Barres, LeftHandLimits
from engraver.spec.hands import LeftHandSpec
from tests.fingering.left_hand_helpers import GUITAR, PLAYER, passage

A_MINOR = "A2 B2 C3 D3 E3 F#3 G#3 A3 B3 C4 D4 E4 F#4 G#4 A4"
CADENCE = "C3+E3+G3+C4 G2+F3+G3+B3 C3+E3+G3+C4"


def hand(level: str, **said: str) -> LeftHandLimits:
    return LeftHandSpec.model_validate({"level": level, **said}).limits()


def opens(line: str, limits: LeftHandLimits) -> int:
    return sum(not note.fret for note in finger(passage(line), GUITAR, PLAYER, limits).notes)


def test_a_line_is_closed_for_intermediate_and_diploma_alone() -> None:
    """Beginners and advanced players use open strings in a scale; the two others learn the form that moves to any key."""
    found = {level: opens(A_MINOR, hand(level)) for level in ("beginner", "intermediate", "advanced", "diploma")}
    assert found["intermediate"] == found["diploma"] == 0
    assert found["beginner"] >= 4
    assert found["advanced"] >= 4


def test_chords_keep_their_open_strings_at_every_level() -> None:
    """The closed form is for lines; C and G7 sound with the open strings that every method gives them."""
    assert all(opens(CADENCE, hand(level)) >= 4 for level in ("beginner", "intermediate", "advanced", "diploma"))


def test_only_the_diploma_takes_closed_forms_with_full_barres() -> None:
    """An intermediate hand stops at four strings."""
    assert hand("diploma").shape.barre is Barres.ALLOW
    assert hand("intermediate").shape.barre is Barres.PARTIAL
