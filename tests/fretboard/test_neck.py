"""Where pitches lie, and how far apart frets are."""

import pytest

from engraver.fretboard.hand import can_reach, pair_reach_mm
from engraver.fretboard.neck import Spot, fret_mm, span_mm, spots
from engraver.fretboard.tuning import Instrument, Player, Tuning
from engraver.theory.pitch import SpelledPitch

STANDARD = Tuning("standard", tuple(SpelledPitch.parse(p) for p in ("E4", "B3", "G3", "D3", "A2", "E2")))


def test_first_string_open_is_found_on_five_strings() -> None:
    """E4 lies open on string 1 and at frets 5, 9, 14 and 19 of the next four strings."""
    found = spots(Instrument(STANDARD), SpelledPitch.parse("E4").sounding_midi)
    assert found == (Spot(1, 0), Spot(2, 5), Spot(3, 9), Spot(4, 14), Spot(5, 19))


def test_a_pitch_below_the_lowest_string_has_no_place() -> None:
    """E flat 2 is not on a guitar in standard tuning."""
    assert spots(Instrument(STANDARD), SpelledPitch.parse("Eb2").sounding_midi) == ()


@pytest.mark.parametrize(("fret", "mm"), [(1, 36.5), (2, 70.9), (3, 103.4), (5, 163.1), (12, 325.0), (19, 433.1)])
def test_frets_lie_at_the_equal_tempered_distances(fret: int, mm: float) -> None:
    """Distances from the nut at 650 mm, as printed in makers' tables."""
    assert round(fret_mm(Instrument(STANDARD), fret), 1) == mm


@pytest.mark.parametrize(("length", "position", "mm"), [(650, 1, 97.6), (650, 5, 77.5), (530, 1, 79.6), (640, 9, 60.5)])
def test_four_frets_span_less_on_short_strings_and_up_the_neck(length: int, position: int, mm: float) -> None:
    """From the fret under finger 1 to the fret under finger 4."""
    assert round(span_mm(Instrument(STANDARD, length), position, position + 3), 1) == mm


def test_a_capo_shortens_the_board() -> None:
    """With a capo at I, four frets span what they span on a 613.5 mm guitar."""
    capo = span_mm(Instrument(STANDARD, 650, capo=1), 1, 4)
    assert capo == pytest.approx(span_mm(Instrument(STANDARD, 613.52), 1, 4), abs=0.01)


def test_a_capo_takes_its_frets_from_the_neck() -> None:
    """With 19 frets and a capo at II the highest note is fret 17 above the capo."""
    assert spots(Instrument(STANDARD, capo=2), SpelledPitch.parse("A5").sounding_midi)[0] == Spot(1, 17)
    assert spots(Instrument(STANDARD, capo=2), SpelledPitch.parse("Bb5").sounding_midi) == ()


def test_one_finger_per_fret_fits_the_default_hand_in_every_position() -> None:
    """At 650 mm the default reach holds frets 1 to 4, and every pair between."""
    guitar, player = Instrument(STANDARD), Player()
    for low in range(1, 5):
        for high in range(low + 1, 5):
            assert can_reach(guitar, player, (low, low), (high, high))


def test_a_small_hand_does_not_hold_four_frets_in_first_position() -> None:
    """A reach of 80 mm falls short of frets 1 to 4 at 650 mm, but holds them on a 530 mm guitar."""
    small = Player(reach_mm=80)
    assert not can_reach(Instrument(STANDARD), small, (1, 1), (4, 4))
    assert can_reach(Instrument(STANDARD, 530), small, (1, 1), (4, 4))


def test_crossed_fingers_never_fit() -> None:
    """Finger 2 never lies on a lower fret than finger 1."""
    assert not can_reach(Instrument(STANDARD), Player(), (1, 5), (2, 4))


def test_outer_fingers_reach_farthest() -> None:
    """The pair 1-4 has the player's whole reach, neighbours less."""
    player = Player(reach_mm=100)
    assert pair_reach_mm(player, 1, 4) == 100
    assert pair_reach_mm(player, 2, 3) < pair_reach_mm(player, 2, 4) < 100
