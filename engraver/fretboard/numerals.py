"""Roman numerals for positions and frets: position V has finger 1 at fret 5."""

_ROMAN = ((10, "X"), (9, "IX"), (5, "V"), (4, "IV"), (1, "I"))


def position_numeral(fret: int) -> str:
    """The numeral of a position: 9 gives IX."""
    out = ""
    for value, letters in _ROMAN:
        count, fret = divmod(fret, value)
        out += letters * count
    return out
