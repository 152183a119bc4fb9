"""The numbers by which the trade orders a book: ISBN and ISMN, checked by their last digit."""

import re
from typing import Annotated, Any

from pydantic import BeforeValidator

from engraver.spec.fields import teacher_error

_DIGITS = 13
_KINDS = {"ISBN": ("978", "979"), "ISMN": ("9790",)}
"""How each kind begins. 979-0 belongs to music and is no ISBN. Source: ISO 2108:2017 (ISBN), ISO 10957:2021 (ISMN)."""


def check_digit(digits: str) -> int:
    """The last digit of a number of 13, from its first twelve.

    Source: GS1 General Specifications, weights 1 and 3 in turn; ISO 2108 and ISO 10957 refer to it.
    """
    total = sum(int(digit) * (3 if place % 2 else 1) for place, digit in enumerate(digits[: _DIGITS - 1]))
    return -total % 10


def _checked(kind: str) -> BeforeValidator:
    def read(value: Any) -> str:
        text = " ".join(str(value).split())
        digits = re.sub(r"[- ]", "", text.upper().removeprefix(kind).strip())
        if not re.fullmatch(r"\d{13}", digits) or not digits.startswith(_KINDS[kind]):
            begins = " or ".join(_KINDS[kind])
            raise teacher_error(f"'{text}' is not an {kind}", f"write its 13 digits; it begins with {begins}")
        if kind == "ISBN" and digits.startswith(_KINDS["ISMN"]):
            raise teacher_error(f"'{text}' is an ISMN", "write it under 'ismn'")
        if int(digits[-1]) != check_digit(digits):
            raise teacher_error(
                f"the {kind} '{text}' does not end with its check digit", "compare it with the paper it came on"
            )
        return text.upper().removeprefix(kind).strip(" -:")

    return BeforeValidator(read)


IsbnField = Annotated[str, _checked("ISBN")]
IsmnField = Annotated[str, _checked("ISMN")]
