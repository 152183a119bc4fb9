"""Technique is fingered as teachers know it: customary forms come out place by place and finger by finger."""

import pytest

from engraver.fingering.fingered import FingeredPassage
from engraver.fingering.left_hand import finger_left_hand
from engraver.fretboard.limits import LeftHandLimits
from engraver.theory.pitch import SpelledPitch
from tests.fingering.customary_forms import ALL_FORMS, HIGH, MEDIUM, Form
from tests.fingering.left_hand_helpers import GUITAR, PLAYER, passage, places
from tests.fingering.playable import faults

MEDIUM_FORMS = [form for form in ALL_FORMS if form.certainty is MEDIUM]
MEDIUM_THAT_MUST_HOLD = 28
"""Of the forms in which good teachers differ by a note or two; the others are playable and lie elsewhere."""


def spot(place: str) -> tuple[int, int, int]:
    """String, fret and finger of `6/3-2`."""
    string, rest = place.split("/")
    fret, finger = rest.split("-")
    return int(string), int(fret), int(finger)


def fingered(form: Form) -> FingeredPassage:
    """The form given only its start and its open-string policy."""
    string, _, finger = spot(form.places.split()[0])
    limits = LeftHandLimits(form.policy, start_string=string, start_finger=finger)
    return finger_left_hand(passage(form.notes, turn=form.turn), GUITAR, PLAYER, limits)


@pytest.mark.parametrize("form", ALL_FORMS, ids=lambda form: form.name)
def test_every_form_is_a_fact(form: Form) -> None:
    """Each place of a form sounds its note, and finger 0 stands for open strings and nothing else."""
    notes = form.notes.replace("+", " ").split()
    assert len(notes) == len(form.places.split())
    for note, place in zip(notes, form.places.split(), strict=True):
        string, fret, finger = spot(place)
        assert GUITAR.sounding(string, fret) == SpelledPitch.parse(note).sounding_midi
        assert (fret == 0) == (finger == 0)


@pytest.mark.parametrize("form", [form for form in ALL_FORMS if form.certainty is HIGH], ids=lambda form: form.name)
def test_forms_that_every_method_knows_come_out_exactly(form: Form) -> None:
    """Every string and every finger is the customary one."""
    assert places(fingered(form)) == form.places


def test_most_forms_in_which_teachers_differ_come_out_as_written() -> None:
    """All of them are playable, and as many as stated above come out exactly."""
    done = [fingered(form) for form in MEDIUM_FORMS]
    assert all(faults(each, GUITAR, PLAYER) == [] for each in done)
    exact = [form.name for form, each in zip(MEDIUM_FORMS, done, strict=True) if places(each) == form.places]
    assert len(exact) >= MEDIUM_THAT_MUST_HOLD, set(form.name for form in MEDIUM_FORMS) - set(exact)
