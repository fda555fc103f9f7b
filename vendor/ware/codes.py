"""Short codes for forms, finishes and ware: suggested from names, never two that look alike. Pure.

Codes are read off tags and aloud. A suggestion has letters from the name and, where it must,
a digit from 2 to 9; 0 and 1 are never suggested, as they look like O and I.
"""

import unicodedata
from collections.abc import Collection, Iterator

LONGEST_WARE = 12
LONGEST_PART = 4
DIGITS = "23456789"
_LOOK_ALIKE = str.maketrans("0158LZ", "OISBI2")
_VOWELS = "AEIOU"


def fold(code: str) -> str:
    """Return a code as a quick eye reads it: O for 0, I for 1 and L, S for 5, B for 8, 2 for Z."""
    return code.upper().translate(_LOOK_ALIKE)


def letters_of(name: str) -> list[str]:
    """Return the words of a name in plain capital letters A–Z; other scripts give none."""
    plain = unicodedata.normalize("NFKD", name).upper()
    words = "".join(sign if "A" <= sign <= "Z" else "" if unicodedata.combining(sign) else " "
                    for sign in plain)  # fmt: skip
    return words.split()


def suggest(name: str, taken: Collection[str], *, otherwise: str) -> str:
    """Return a code of two to four signs for a form or finish that none in `taken` looks like.

    `otherwise` is one letter for names that have no plain letter. ValueError where all are taken.
    """
    seen = {fold(code) for code in taken}
    for code in _candidates(letters_of(name), otherwise):
        if fold(code) not in seen:
            return code
    raise ValueError("every code is taken")


def _candidates(words: list[str], otherwise: str) -> Iterator[str]:
    whole = "".join(words)
    if len(whole) >= 2:
        yield whole[:3]
        if len(words) > 1:
            yield (words[0][:2] + words[1][:1])[:3]
            yield "".join(word[0] for word in words)[:LONGEST_PART].ljust(2, whole[-1])
        skeleton = "".join(sign for sign in whole[1:] if sign not in _VOWELS)
        if skeleton:
            yield whole[0] + skeleton[:2]
        yield whole[:4]
        for at in range(1, len(whole) - 1):
            for later in range(at + 1, len(whole)):
                yield whole[0] + whole[at] + whole[later]
    stem = whole[:2] or otherwise
    for digit in DIGITS:
        yield stem + digit
    for first in DIGITS:
        for second in DIGITS:
            yield stem + first + second


def ware_code(form: str, finish: str, taken: Collection[str]) -> str:
    """Return a code for a form in a finish, such as TUM-CEL, that none in `taken` looks like.

    ValueError where all are taken.
    """
    seen = {fold(code) for code in taken}
    stem = f"{form}-{finish}"
    endings = ["", *(f"-{digit}" for digit in DIGITS)]
    endings += [f"-{first}{second}" for first in DIGITS for second in DIGITS]
    for ending in endings:
        if len(stem + ending) <= LONGEST_WARE and fold(stem + ending) not in seen:
            return stem + ending
    raise ValueError("every code is taken")


def looks_like(code: str, taken: Collection[str]) -> str | None:
    """Return a code in `taken` that is the same or is easily taken for this one, or None."""
    mine = fold(code)
    return next((other for other in sorted(taken) if fold(other) == mine), None)
