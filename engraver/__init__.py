"""Engraver: fingered, engraved technique workbooks for classical guitar.

The names listed in `__all__` are the public interface; each is imported when first asked for, so that
`import engraver` costs nothing.
"""

from importlib import import_module
from typing import Any

_HOMES = {
    "BookSpec": "engraver.spec.book",
    "FingeredNote": "engraver.fingering.fingered",
    "FingeredPassage": "engraver.fingering.fingered",
    "Instrument": "engraver.fretboard.tuning",
    "LeftHandLimits": "engraver.fretboard.limits",
    "Note": "engraver.theory.passage",
    "Passage": "engraver.theory.passage",
    "PitchName": "engraver.theory.pitch",
    "Player": "engraver.fretboard.tuning",
    "Request": "engraver.press.request",
    "RightHandPlan": "engraver.fretboard.limits",
    "SpelledPitch": "engraver.theory.pitch",
    "build_book": "engraver.build",
    "compose": "engraver.exercises.compose",
    "finger": "engraver.fingering.finger",
    "read_book": "engraver.spec.reader",
    "respell": "engraver.theory.spelling",
}

__all__ = sorted(_HOMES)


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        return getattr(import_module(_HOMES[name]), name)
    raise AttributeError(f"module 'engraver' has no attribute '{name}'")
