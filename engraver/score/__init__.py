"""The printed score: measures, values, beams, ties, marks."""
