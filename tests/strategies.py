"""Hypothesis strategies for the whole suite: names, pitches, intervals, books."""

from hypothesis import strategies as st

from engraver.theory.pitch import Interval, PitchName, SpelledPitch

names = st.builds(PitchName.of, st.sampled_from("CDEFGAB"), st.integers(-2, 2))
pitches = st.builds(
    SpelledPitch, st.builds(PitchName.of, st.sampled_from("CDEFGAB"), st.integers(-1, 1)), st.integers(1, 6)
)
MAJOR_STEPS = (0, 2, 4, 5, 7, 9, 11, 12)
intervals = st.builds(
    lambda step, alter: Interval(step, MAJOR_STEPS[step] + alter), st.integers(0, 7), st.integers(-1, 1)
)

yaml_values = st.recursive(
    st.none() | st.booleans() | st.integers(-1000, 10_000) | st.floats(allow_nan=False) | st.text(max_size=12)
    | st.sampled_from(["E flat", "major", "4/4", "quavers", "C3", "i", "up and down", "scale", "avoid"]),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=6) | st.integers(0, 9), inner, max_size=4),
    max_leaves=8,
)  # fmt: skip
