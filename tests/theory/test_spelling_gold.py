"""Context spelling against open scores that lie beside the project (skipped where they do not)."""

import gzip
import json
from pathlib import Path

import pytest

from engraver.theory.pitch import PitchName
from engraver.theory.spelling import respell

GUITAR = Path(__file__).resolve().parents[2].parent / "shared" / "gold" / "spelling_guitar.jsonl.gz"


@pytest.mark.skipif(not GUITAR.exists(), reason="the scores are not here")
def test_guitar_scores_are_spelled_as_printed():
    """At least 99.8 % of all notes and 97.8 % of the chromatic ones, as they stand, and no score below 97 %."""
    right = chromatic_right = total = chromatic = 0
    with gzip.open(GUITAR, "rt", encoding="utf-8") as lines:
        for score in map(json.loads, lines):
            at = {name: index for index, name in enumerate(score["fields"])}
            rows = score["notes"]
            spelled = respell([(row[at["onset"]], row[at["dur"]], row[at["midi"]]) for row in rows])
            names = [PitchName.of(row[at["step"]], row[at["alter"]]).fifths for row in rows]
            hits = [pitch.name.fifths == name for pitch, name in zip(spelled, names, strict=True)]
            outside = [not -1 <= name - row[at["fifths"]] <= 5 for name, row in zip(names, rows, strict=True)]
            assert sum(hits) >= 0.97 * len(hits), score["id"]
            right, total = right + sum(hits), total + len(hits)
            chromatic_right += sum(hit and out for hit, out in zip(hits, outside, strict=True))
            chromatic += sum(outside)
    assert right / total >= 0.998
    assert chromatic_right / chromatic >= 0.978
